package tui

import (
	"sort"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/shelf"
)

// shelfNarrowing is how far the list is what the filter takes. A filter that could take
// longer than a key may is held against the list outside Update, one at a time.
type shelfNarrowing struct {
	words  int  // bytes that the Words of the list hold
	number int  // of the last wish, so that an older answer is known for one
	behind bool // the list is not yet what the filter takes
	busy   bool // an answer is under way
	typed  bool // a person changed the filter: where the chosen record goes, the list begins at the top
}

// shelfNarrowed is the answer: indices into the list as it was at the wish of the number.
type shelfNarrowed struct {
	number int
	shown  []int
}

// narrow finds anew what the filter takes, at once where that is quick. Else what is
// shown stays until the answer comes.
func (m *ShelfScreen) narrow() {
	n := &m.narrowing
	n.number++
	if n.behind = m.filter.takes.Work(len(m.all), n.words) > shelf.AtOnce; !n.behind {
		m.show(takenOf(m.all, m.filter.takes))
	}
}

// takenOf are the indices of what a filter takes.
func takenOf(all []shelf.Entry, takes shelf.Filter) []int {
	shown, every := make([]int, 0, len(all)), takes.Empty()
	for i := range all {
		if every || takes.Takes(&all[i]) {
			shown = append(shown, i)
		}
	}
	return shown
}

// show takes what the filter takes for the list. The record that a person chose stays
// chosen where it is shown, else the one after its place.
func (m *ShelfScreen) show(shown []int) {
	m.shown = shown
	at, marked := -1, 0
	m.aside = 0
	if m.foreign > 0 {
		for _, i := range shown {
			if m.all[i].Condition == shelf.Foreign {
				m.aside++
			}
		}
	}
	for i := range m.all {
		if m.want != "" && m.all[i].Dir == m.want {
			at = i
		}
	}
	if len(m.marks) > 0 {
		for _, i := range shown {
			if m.marks[m.all[i].Dir] != 0 {
				marked++
			}
		}
	}
	m.unseen = len(m.marks) - marked
	typed := m.narrowing.typed
	m.narrowing.typed = false
	place, there := m.chosen, false
	if at >= 0 {
		place = sort.SearchInts(shown, at)
		there = place < len(shown) && shown[place] == at
	}
	switch {
	case typed && there: // in the middle, what is about it in sight
		m.top = place - m.rows()/2
	case typed:
		place, m.top = 0, 0
	}
	m.place(place)
}

// narrowBehind starts what narrow left to do, unless an answer is still under way.
func (m *ShelfScreen) narrowBehind() tea.Cmd {
	n := &m.narrowing
	if !n.behind || n.busy {
		return nil
	}
	n.busy = true
	number, all, takes := n.number, m.all, m.filter.takes
	return func() tea.Msg { return shelfNarrowed{number, takenOf(all, takes)} }
}

// narrowed takes an answer; one to an older wish is dropped.
func (m *ShelfScreen) narrowed(r shelfNarrowed) {
	n := &m.narrowing
	n.busy = false
	if n.behind && r.number == n.number {
		n.behind = false
		m.show(r.shown)
	}
}
