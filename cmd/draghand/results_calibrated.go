package main

import (
	"fmt"
	"strings"

	"draghand/internal/budget"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// resultsWide is what a line of results is broken at.
const resultsWide = 80

// calibratedLines say by which calibration the forces were reckoned, and what that
// one was held against; none where it was not used.
func calibratedLines(c *rig.Calibration, used bool) []string {
	if c == nil || !used {
		return nil
	}
	at := "the " + string(c.At)
	if c.Far {
		at = "the far side's place"
	}
	words := "by " + oneLine(c.ID) + " at " + at + ", against " + oneLine(c.Reference)
	if c.Certificate != "" {
		words += ", certificate " + oneLine(c.Certificate)
	}
	return broken("calibrated ", words)
}

// broken is a text behind a label, in lines of resultsWide with the label's room
// free.
func broken(label, words string) []string {
	lines := []string{label}
	for _, word := range strings.Fields(words) {
		last := &lines[len(lines)-1]
		if letters(*last) > letters(label) && letters(*last)+1+letters(word) > resultsWide {
			lines = append(lines, strings.Repeat(" ", letters(label)))
			last = &lines[len(lines)-1]
		}
		if letters(*last) > letters(label) {
			*last += " "
		}
		*last += word
	}
	return lines
}

// budgetLines are what a strength's doubt is made of, the largest first: the share
// of its square, the source, and where that is from.
func budgetLines(b *budget.Budget, sys si.System) []string {
	if b == nil {
		return []string{"budget     none: no strength, or nothing is known of its doubt"}
	}
	out := broken("budget     ", "standard uncertainty "+fineStressText(b.UPa, sys)+"; of its square")
	for _, l := range b.Lines {
		out = append(out, broken(fmt.Sprintf("  %5.1f %%  ", 100*l.Fraction), oneLine(l.Of)+": "+oneLine(l.Source))...)
	}
	for _, n := range b.Notes {
		out = append(out, broken("           ", oneLine(n))...)
	}
	return out
}
