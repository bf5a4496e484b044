package tui

import (
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/shelf"
)

// shelfOrder is what the list is sorted by, with its words.
type shelfOrder struct {
	by             shelf.SortKey
	reverse        bool
	words, against string // as it is, and the other way round
	falls          bool   // the largest is on top where it is not reversed
}

// shelfOrders are the orders as the key goes through them.
var shelfOrders = [...]shelfOrder{
	{by: shelf.ByBegan, words: "newest first", against: "oldest first", falls: true},
	{by: shelf.ByBar, words: "by bar", against: "by bar, the last first"},
	{by: shelf.ByAlloy, words: "by alloy", against: "by alloy, the last first"},
	{by: shelf.ByDiameter, words: "thinnest first", against: "thickest first"},
	{by: shelf.ByStrength, words: "weakest first", against: "strongest first"},
	{by: shelf.ByElongation, words: "least elongation first", against: "most elongation first"},
	{by: shelf.ByCounts, words: "those that count first", against: "those that do not count first"},
	{by: shelf.ByOutcome, words: "by outcome", against: "by outcome, the last first"},
}

// text is the order in words.
func (o shelfOrder) text() string {
	if o.reverse {
		return o.against
	}
	return o.words
}

// sign marks the head of the column: upward where the least is on top.
func (o shelfOrder) sign() string {
	if o.falls != o.reverse {
		return "↓"
	}
	return "↑"
}

// next is the order after this one.
func (o shelfOrder) next() shelfOrder {
	at := slices.IndexFunc(shelfOrders[:], func(x shelfOrder) bool { return x.by == o.by })
	return shelfOrders[(at+1)%len(shelfOrders)]
}

// sortedAtOnce is how many records are sorted within a key's time; more are sorted
// outside Update.
const sortedAtOnce = 2000

// shelfSorting is how far the list is in its order, one order at a time.
type shelfSorting struct {
	number int  // of the last wish, so that an older answer is known for one
	behind bool // the list is not yet in its order
	busy   bool // an answer is under way
}

// shelfSorted is the answer: the list as it was read, in the order of the wish of the
// number.
type shelfSorted struct {
	number int
	all    []shelf.Entry
}

// sort puts the list into an order, those that are alike the newest first; the record
// that was chosen stays so. Of many what is shown stays until the answer comes.
func (m *ShelfScreen) sort(o shelfOrder) {
	n := &m.sorting
	m.order = o
	n.number++
	n.behind = false
	switch {
	case o.asRead():
		m.list(m.listed)
	case len(m.listed) <= sortedAtOnce:
		m.list(inOrderOf(m.listed, o))
	default:
		n.behind = true
		if len(m.all) == 0 { // there is nothing else to show
			m.list(m.listed)
		}
	}
}

// asRead says that it is the order in which a shelf is read.
func (o shelfOrder) asRead() bool { return o.by == shelf.ByBegan && !o.reverse }

// inOrderOf is a list in an order; the list itself stays as it is.
func inOrderOf(all []shelf.Entry, o shelfOrder) []shelf.Entry {
	out := slices.Clone(all)
	shelf.Sort(out, o.by, o.reverse)
	return out
}

// list takes a list for the one that is shown.
func (m *ShelfScreen) list(all []shelf.Entry) {
	m.all, m.shown = all, nil // its indices are into the list as it was
	m.narrow()
}

// sortBehind starts what sort left to do, unless an answer is still under way.
func (m *ShelfScreen) sortBehind() tea.Cmd {
	n := &m.sorting
	if !n.behind || n.busy {
		return nil
	}
	n.busy = true
	number, all, o := n.number, m.listed, m.order
	return func() tea.Msg { return shelfSorted{number, inOrderOf(all, o)} }
}

// sorted takes an answer; one to an older wish is dropped.
func (m *ShelfScreen) sorted(r shelfSorted) {
	n := &m.sorting
	n.busy = false
	if n.behind && r.number == n.number {
		n.behind = false
		m.list(r.all)
	}
}
