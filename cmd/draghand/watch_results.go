package main

import (
	"fmt"
	"path/filepath"

	"draghand/internal/finish"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/strength"
	"draghand/internal/watch"
)

// reckoned are the results of a pull that is over.
type reckoned struct {
	results strength.Results
	notKept error // why they do not stand in its record; nil: they do, or it was not saved as it should be
}

// reckon gives the results of a pull once its record is closed, and keeps them in it
// where it was saved as it should be. It is done when the pull ends, not when the
// person leaves the screen.
func reckon(res *watch.Result) (out reckoned) {
	switch {
	case res.Record == "":
	case res.Save != nil:
		out.results = strength.From(finish.Pull(&res.Head, filepath.Base(res.Record), res.State, res.Told))
	default:
		out.results, out.notKept = finish.Closed(&res.Head, res.Record, res.State, res.Told)
	}
	return out
}

// printResult says what came of a pull and where its record is.
func printResult(w world, m manner, sys si.System, o watch.Options, res watch.Result, got *reckoned) {
	if res.Record == "" {
		return
	}
	sayNotKept(w, got.notKept)
	if m.asJSON {
		return
	}
	for _, l := range got.results.Lines(sys, o.Specimen) {
		fmt.Fprintln(w.out, clean(l))
	}
	if res.Reason == record.ByRest {
		fmt.Fprintf(w.out, "ended      by itself: the force had rested at zero for %.0f s\n", pull.RestFor.Seconds())
	}
	fmt.Fprintln(w.out, "saved as   "+clean(res.Record))
}

// sayNotKept says that a record is whole and lacks the results, which the list then does
// not have.
func sayNotKept(w world, err error) {
	if err != nil {
		fmt.Fprintf(w.err, "draghand: %s: the record is whole without them, draghand results reckons them\n", clean(err.Error()))
	}
}
