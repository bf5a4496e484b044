package main

import (
	"errors"
	"strings"
	"testing"

	"draghand/internal/bench"
)

// A sitting ends as badly as its worst bar, whichever that was.
func TestUnsavedBarsEndWith5(t *testing.T) {
	whole := bench.Bar{Record: "r1", Melt: "M1", Specimen: "1"}
	lost := bench.Bar{Melt: "M1", Specimen: "2", Saved: "NOT SAVED: no room"}
	moved := bench.Bar{Record: "r3", Melt: "M1", Specimen: "3", Saved: "saved in elsewhere instead: no room"}
	for name, one := range map[string]struct {
		bars []bench.Bar
		says string // empty: nothing is wrong
	}{
		"no bar":            {nil, ""},
		"all whole":         {[]bench.Bar{whole, whole}, ""},
		"lost, then saved":  {[]bench.Bar{lost, whole}, "M1-2 is saved nowhere"},
		"saved elsewhere":   {[]bench.Bar{moved, whole}, "M1-3 is not where it should be"},
		"lost is the worst": {[]bench.Bar{moved, lost, whole}, "M1-2 is saved nowhere"},
	} {
		err := unsaved(one.bars)
		if one.says == "" {
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		if f := new(fault); !errors.As(err, &f) || f.code != exitSave || f.next == "" || !strings.Contains(err.Error(), one.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if got := barWords(lost); strings.Contains(got, "saved as") || !strings.Contains(got, "NOT SAVED: no room") {
		t.Errorf("told as %q", got)
	}
}
