package main

import (
	"strings"
	"time"

	"draghand/internal/bench"
	"draghand/internal/shelf"
)

// bars tells how the check bars stand, those of every stock, for the ear.
func (d *dialogue) bars() {
	all, err := d.desk.Shelf()
	if err != nil {
		d.say("the shelf cannot be read: " + err.Error())
		return
	}
	stocks := shelf.Stocks(all)
	if len(stocks) == 0 {
		d.say("no check bars yet: fill in stock before a bar of bought stock is pulled")
		return
	}
	for i := range stocks {
		s := &stocks[i]
		d.say("check bars of " + s.Title() + ", on " + s.Rig + ": " + s.Short(time.Now()))
		for _, t := range s.Look() {
			d.say("look at " + t)
		}
	}
	d.say("draghand checkbar NAME tells each bar")
}

// isStock says that a line sets the field of the stock by the name it is shown
// with, which begins as another word does.
func isStock(v *bench.View, line string) bool {
	f, _ := fieldNamed(v, strings.TrimSpace(line))
	return f != nil && f.ID == bench.FieldStock
}
