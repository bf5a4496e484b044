package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"draghand/internal/record"
	"draghand/internal/shelf"
)

// shelfDone is what came of an action on records.
type shelfDone struct {
	note      string        // in words
	kept      bool          // a label or a remark was written; else its line opens again
	of        string        // folder that is not what it was; empty: none
	trashed   shelf.Trashed // what is in the trash now
	untrashed bool          // the latest of the trash was to be taken back
	back      []string      // folders that came back
	left      shelf.Trashed // what of it is still in the trash
}

// labelled says that something may be written into a record.
func labelled(e *shelf.Entry) bool {
	return e.Condition == shelf.Whole || e.Condition == shelf.Unfinished
}

// act does something outside Update and says meanwhile what.
func (m *ShelfScreen) act(busy string, do func(desk Desk) shelfDone) tea.Cmd {
	m.busy = busy
	desk := m.desk
	return func() tea.Msg { return do(desk) }
}

// measure opens what is measured on the bar after its pull.
func (m *ShelfScreen) measure() tea.Cmd {
	e, desk := *m.entry(), m.desk
	m.opening = e.Name
	return func() tea.Msg {
		of, err := desk.Measure(e.Dir)
		if err != nil {
			return shelfNotMeasured{err}
		}
		return openMeasure{of}
	}
}

// recoverIt closes a record that was cut off.
func (m *ShelfScreen) recoverIt() tea.Cmd {
	e := *m.entry()
	return m.act("recovering "+e.Name, func(desk Desk) shelfDone {
		said, err := desk.Recover(e.Dir)
		if err != nil {
			return shelfDone{note: "not recovered: " + err.Error()}
		}
		return shelfDone{note: "recovered: " + said, of: e.Dir}
	})
}

// askTrash asks about the marked records, or about the chosen one where none is
// marked.
func (m *ShelfScreen) askTrash() {
	m.doomed = nil
	var last *shelf.Entry
	for i := range m.all {
		if e := &m.all[i]; m.marks[e.Dir] != 0 {
			m.doomed, last = append(m.doomed, e.Dir), e
		}
	}
	switch n := len(m.doomed); {
	case n == 0:
		e := m.entry()
		if e == nil {
			return
		}
		m.doomed, m.asked = []string{e.Dir}, "move "+m.oneBar(e, 47)+" to the trash?  y / n"
	case m.unseen > 0:
		m.asked = fmt.Sprintf("move the %s that are marked to the trash, %d of them not shown?  y / n", records(n), m.unseen)
		if ansi.StringWidth(m.asked) > m.width-4 { // the answer must be in sight
			m.asked = fmt.Sprintf("move %d marked to the trash, %d of them not shown?  y / n", n, m.unseen)
		}
	case n == 1:
		m.asked = "move the marked " + m.oneBar(last, 38) + " to the trash?  y / n"
	default:
		m.asked = fmt.Sprintf("move the %s that are marked to the trash?  y / n", records(n))
	}
	m.mode = trashing
}

// oneBar names one record among those of the same bar, by when it began, in w cells.
func (m *ShelfScreen) oneBar(e *shelf.Entry, w int) string {
	if !e.Readable() || e.When().IsZero() {
		return cutMiddle(barName(e), w)
	}
	of := " of " + m.began(e, beganSeconds)
	return cutMiddle(barName(e), w-len(of)) + of
}

// trash moves what was asked about.
func (m *ShelfScreen) trash() tea.Cmd {
	dirs := m.doomed
	return m.act("moving "+records(len(dirs))+" to the trash", func(desk Desk) shelfDone {
		moved, err := desk.Trash(dirs)
		done := shelfDone{trashed: moved}
		switch n := len(moved.Moved); {
		case err != nil && n == 0:
			done.note = "not moved: " + err.Error()
		case err != nil:
			done.note = fmt.Sprintf("%d of %s in the trash (U takes back); the rest is not: %v", n, records(len(dirs)), err)
		case n == 1:
			done.note = "in the trash: U takes it back; draghand trash back does later"
		default:
			done.note = records(n) + " in the trash: U takes them back; draghand trash back does later"
		}
		return done
	})
}

// backOnShelf begins what is said once all of it came back.
const backOnShelf = "back on the shelf: "

// untrash takes back what went to the trash last.
func (m *ShelfScreen) untrash() tea.Cmd {
	last := m.memory.trashed[len(m.memory.trashed)-1]
	return m.act("taking "+records(len(last.Moved))+" out of the trash", func(desk Desk) shelfDone {
		left, err := desk.Untrash(last)
		done := shelfDone{untrashed: true, left: left}
		all, still := len(last.Moved), len(left.Moved)
		for _, one := range last.Moved {
			if !slices.Contains(left.Moved, one) {
				done.back = append(done.back, one.From)
			}
		}
		switch {
		case err == nil:
			done.note = backOnShelf + records(all)
		case still == all:
			done.note = "not taken back: " + err.Error()
		case still == 0:
			done.note = "nothing of it is left in the trash; " + err.Error()
		default:
			done.note = fmt.Sprintf("%d of %s still in the trash: %v", still, records(all), err)
		}
		return done
	})
}

// remarkKey takes a key while a remark is typed.
func (m *ShelfScreen) remarkKey(msg tea.KeyMsg) tea.Cmd {
	switch k := &m.keys; {
	case key.Matches(msg, k.Keep):
		text, dir := clean(m.edit.text()), m.onto.Dir
		if text == "" {
			m.mode = listing
			return nil
		}
		return m.act("keeping the remark", func(desk Desk) shelfDone {
			if err := desk.AddRemark(dir, text); err != nil {
				return shelfDone{note: "the remark is NOT KEPT: " + err.Error()}
			}
			return shelfDone{note: "remark kept", kept: true, of: dir}
		})
	case key.Matches(msg, k.Drop):
		m.mode = listing
	default:
		m.edit.pressed(msg)
	}
	return nil
}

// keepLabel writes the label of the form.
func (m *ShelfScreen) keepLabel() tea.Cmd {
	to, err := m.form.label()
	switch {
	case err != nil:
		m.note = err.Error()
		return nil
	case sameLabel(to, m.target):
		m.mode = listing
		return nil
	}
	dir, was := m.onto.Dir, "that it was "+barName(&m.onto)+" stands"
	if to.Melt == m.target.Melt && to.ID == m.target.ID {
		was = "the tags it had stand"
	}
	return m.act("keeping the label", func(desk Desk) shelfDone {
		if err := desk.Relabel(dir, to); err != nil {
			return shelfDone{note: "the label is NOT KEPT: " + err.Error()}
		}
		return shelfDone{note: "label kept; " + was + " in the record", kept: true, of: dir}
	})
}

// done takes what came of an action. What was not kept stays to be sent again; the
// shelf is read anew.
func (m *ShelfScreen) done(msg shelfDone) tea.Cmd {
	m.memory.done(msg)
	m.busy, m.note = "", msg.note
	if msg.kept {
		m.mode = listing
	}
	m.back = slices.Concat(m.back, msg.back)
	if msg.of != "" {
		m.traces = m.traces.without(msg.of)
	}
	return m.lookAgain()
}

// returned chooses the first of what came back, once the list has it, and says what of it
// the filter hides: then the choice stays where it was.
func (m *ShelfScreen) returned() {
	if len(m.back) == 0 {
		return
	}
	hidden, chosen := 0, false
	for i := range m.listed {
		switch e := &m.listed[i]; {
		case !slices.Contains(m.back, e.Dir):
		case !m.filter.takes.Empty() && !m.filter.takes.Takes(e):
			hidden++
		case !chosen:
			m.want, chosen = e.Dir, true
		}
	}
	switch n := len(m.back); {
	case hidden == 0 || !strings.HasPrefix(m.note, backOnShelf): // another note stands there by now
	case hidden == n:
		m.note += ", hidden by the filter"
	default:
		m.note += fmt.Sprintf(", %d of them hidden by the filter", hidden)
	}
	m.back = nil
}

// labelOf is how people call a record.
func labelOf(e *shelf.Entry) record.Label {
	return record.Label{ID: e.Specimen.ID, Melt: e.Specimen.Melt, Tags: e.Specimen.Tags}
}

var errNoName = errors.New("not kept yet: a bar needs a number or a melt, so that it can be found")
