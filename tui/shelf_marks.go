package tui

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/compare"
	"draghand/internal/shelf"
)

// mark puts the chosen record into a group: 0 takes its mark, whichever it has, or
// puts it into A where it has none.
func (m *ShelfScreen) mark(group byte) {
	dir, marks := m.entry().Dir, m.ownMarks()
	switch {
	case group != 0:
		marks[dir] = group
	case marks[dir] != 0:
		delete(marks, dir)
	default:
		marks[dir] = 'A'
	}
	m.marks = marks
	m.remember(dir)
}

// remember keeps what of the filter asked for a result while records are marked.
func (m *ShelfScreen) remember(dirs ...string) {
	by := m.filter.takes.ByResult()
	if by == "" && len(m.because) == 0 {
		return
	}
	m.because = maps.Clone(m.because)
	if m.because == nil {
		m.because = map[string]string{}
	}
	for _, dir := range dirs {
		if by == "" {
			delete(m.because, dir)
		} else {
			m.because[dir] = by
		}
	}
}

// chosenOf says how the records of a comparison were picked. Marks that were made while
// the filter asked for a result were picked by it, though it is gone.
func (m *ShelfScreen) chosenOf(of []shelf.Entry) compare.Chosen {
	var c compare.Chosen
	taken := map[string]bool{}
	var because []string
	for i := range of {
		taken[of[i].Dir] = true
		if by := m.because[of[i].Dir]; len(m.marks) > 0 && by != "" && !slices.Contains(because, by) {
			because = append(because, by)
		}
	}
	switch {
	case len(m.marks) > 0:
		c.How, c.ByResult = "marked by hand on the shelf, "+records(len(of)), strings.Join(because, "; ")
	case m.filter.takes.Empty():
		c.How = "the whole shelf"
		return c
	default:
		c.How, c.ByResult = "of the shelf, by the filter "+clean(m.filter.text), m.filter.takes.ByResult()
	}
	behind := shelf.Behind(m.all, taken)
	for i := range behind {
		c.Behind = append(c.Behind, compare.Behind{Record: behind[i].Name, Dir: behind[i].Dir, Bar: barName(&behind[i]), Melt: behind[i].Specimen.Melt, Simulated: behind[i].Specimen.Simulated})
	}
	c.Unread = shelf.Unread(m.all, taken)
	return c
}

// markAll puts all that are shown into A, but for those that have a mark.
func (m *ShelfScreen) markAll() {
	marks := m.ownMarks()
	var dirs []string
	for _, i := range m.shown {
		if dir := m.all[i].Dir; marks[dir] == 0 {
			marks[dir], dirs = 'A', append(dirs, dir)
		}
	}
	m.marks = marks
	m.remember(dirs...)
}

// ownMarks are the marks to be changed: those of an earlier model must not.
func (m *ShelfScreen) ownMarks() map[string]byte {
	if m.marks == nil {
		return map[string]byte{}
	}
	return maps.Clone(m.marks)
}

// unmark takes all marks, those of records that are away too.
func (m *ShelfScreen) unmark() { m.marks, m.because, m.away, m.unseen = nil, nil, nil, 0 }

// pruneMarks lays the marks of records aside that are no longer there, such as those
// in the trash, and gives those that are back theirs.
func (m *ShelfScreen) pruneMarks() {
	if len(m.marks)+len(m.away) == 0 {
		return
	}
	away := maps.Clone(m.away)
	if away == nil {
		away = map[string]byte{}
	}
	maps.Copy(away, m.marks)
	marks := map[string]byte{}
	for i := range m.listed {
		dir := m.listed[i].Dir
		if g := away[dir]; g != 0 {
			marks[dir] = g
			delete(away, dir)
		}
	}
	m.marks, m.away = marks, away
}

// marked are the marked records in the order of the list, those that the filter
// leaves out too.
func (m *ShelfScreen) marked() []shelf.Entry {
	out := make([]shelf.Entry, 0, len(m.marks))
	for i := range m.all {
		if m.marks[m.all[i].Dir] != 0 {
			out = append(out, m.all[i])
		}
	}
	return out
}

// wish makes a wish outside Update: of many marks it copies much of the shelf. It is
// about the marks of now, whatever is marked meanwhile.
func (m *ShelfScreen) wish(make func(*ShelfScreen) tea.Msg) tea.Cmd {
	now := *m
	return func() tea.Msg { return make(&now) }
}

// toOverlay is the wish to lay the marked records over each other, or to see the
// chosen one alone where none is marked.
func (m *ShelfScreen) toOverlay() openOverlay {
	if len(m.marks) > 0 {
		return openOverlay{m.marked()}
	}
	return openOverlay{[]shelf.Entry{*m.entry()}}
}

// toCompare is the wish to compare the marked records, or all that are shown where
// none is marked.
func (m *ShelfScreen) toCompare() openCompare {
	to := openCompare{of: m.marked(), groups: map[string]string{}, by: compare.By{Field: compare.ByAll}}
	foreign := 0
	if len(m.marks) == 0 {
		for _, i := range m.shown {
			if m.all[i].Condition == shelf.Foreign {
				foreign++
				continue
			}
			to.of = append(to.of, m.all[i])
		}
	}
	letters, melts := map[byte]bool{}, map[string]bool{}
	for i := range to.of {
		e := &to.of[i]
		if g := m.marks[e.Dir]; g != 0 {
			to.groups[e.Dir], letters[g] = string(g), true
		}
		if e.Readable() {
			melts[e.Specimen.Melt] = true
		}
	}
	switch {
	case len(letters) > 1:
		to.by.Field = compare.ByMarked
	case len(melts) > 1:
		to.by.Field = compare.ByMelt
	}
	to.chosen = m.chosenOf(to.of)
	to.chosen.Foreign = foreign
	return to
}

// markedText is how many records are marked, and how many of them are out of sight.
func (m *ShelfScreen) markedText() string {
	switch {
	case len(m.marks) == 0:
		return ""
	case m.unseen > 0:
		return fmt.Sprintf("%d marked, %d of them not shown", len(m.marks), m.unseen)
	}
	return fmt.Sprintf("%d marked", len(m.marks))
}

// records is a number of records in words.
func records(n int) string {
	if n == 1 {
		return "1 record"
	}
	return fmt.Sprintf("%d records", n)
}
