package main

import (
	"strings"

	"draghand/internal/rig"
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
	const label = "calibrated "
	lines := []string{label}
	for _, word := range strings.Fields(words) {
		last := &lines[len(lines)-1]
		if len(*last) > len(label) && letters(*last)+1+letters(word) > resultsWide {
			lines = append(lines, strings.Repeat(" ", len(label)))
			last = &lines[len(lines)-1]
		}
		if len(*last) > len(label) {
			*last += " "
		}
		*last += word
	}
	return lines
}
