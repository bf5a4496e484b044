package tui

import (
	"slices"

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

// sort puts the list into an order, those that are alike the newest first; the record
// that was chosen stays so.
func (m *ShelfScreen) sort(o shelfOrder) {
	m.order, m.all, m.shown = o, m.listed, nil // its indices are into the list as it was
	if o.by != shelf.ByBegan || o.reverse {
		m.all = slices.Clone(m.listed)
		shelf.Sort(m.all, o.by, o.reverse)
	}
	m.narrow()
}
