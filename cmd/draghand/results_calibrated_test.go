package main

import (
	"strings"
	"testing"

	"draghand/internal/rig"
)

// The calibration that counted is named, with what it was held against.
func TestCalibratedLines(t *testing.T) {
	c := &rig.Calibration{ID: "2026-11-20-example-specimen", At: rig.AtSpecimen, Reference: "borrowed 50 kN cell \x1b[2J with a rather long name", Certificate: "C-17"}
	got := calibratedLines(c, true)
	whole := strings.Join(strings.Fields(strings.Join(got, " ")), " ")
	for _, want := range []string{"calibrated by 2026-11-20-example-specimen at the specimen, against borrowed 50 kN cell", "certificate C-17"} {
		if !strings.Contains(whole, want) {
			t.Errorf("%q lacks %q", whole, want)
		}
	}
	for _, l := range got {
		if letters(l) > 80 || strings.Contains(l, "\x1b") {
			t.Errorf("%q", l)
		}
	}
	if len(got) < 2 {
		t.Errorf("not broken: %q", got)
	}
	c.Far = true
	if got := strings.Join(calibratedLines(c, true), " "); !strings.Contains(got, "far side's place") {
		t.Errorf("%q", got)
	}
	if calibratedLines(c, false) != nil || calibratedLines(nil, true) != nil {
		t.Error("named, though it was not used")
	}
}
