package main

import (
	"strings"
	"testing"

	"draghand/internal/budget"
	"draghand/internal/rig"
	"draghand/internal/si"
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

// Every source has its line, in the order of the budget, no line is too wide.
func TestBudgetLines(t *testing.T) {
	b := &budget.Budget{UPa: 1e6, Notes: []string{"not in it: a bar that is bent"}, Lines: []budget.Line{
		{Of: "share", Fraction: 0.725, Source: "the arms as measured, with a rule of a length that makes this a long text, evenly likely within"},
		{Of: "ram area", Fraction: 0.275, Source: "the rig file\x1b[31m"},
	}}
	got := budgetLines(b, si.Metric)
	text := strings.Join(got, "\n")
	first, second := strings.Index(text, "  72.5 %  share: the arms"), strings.Index(text, "  27.5 %  ram area: the rig file")
	if first < 0 || second < first || !strings.Contains(text, "1.0 MPa") || !strings.Contains(text, "not in it: a bar") {
		t.Errorf("%s", text)
	}
	for _, l := range got {
		if letters(l) > 80 || strings.Contains(l, "\x1b") {
			t.Errorf("%q", l)
		}
	}
	if got := budgetLines(nil, si.US); len(got) != 1 || !strings.Contains(got[0], "none") {
		t.Errorf("%q", got)
	}
}
