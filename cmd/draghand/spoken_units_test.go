package main

import (
	"bytes"
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// What is told of a running pull by itself or when asked is in the units of the
// sitting, as its break is.
func TestSpokenInTheUnitsOfTheSitting(t *testing.T) {
	s := &watch.Snapshot{Source: watch.Source{Status: "live"}, State: pull.State{
		Phase: pull.Loading, Seen: true, Live: pull.Point{Specimen: 20e3}, Peak: pull.Point{Specimen: 21e3, Stress: 171e6},
		Limits: []pull.Limit{{Name: "link", At: rig.AtSpecimen, Load: 20e3, Allowable: 60e3, Ratio: 0.33}},
	}}
	for _, sys := range []si.System{si.Metric, si.US} {
		v := viewer{sys: si.US, unitsOf: func() si.System { return sys }}
		var out bytes.Buffer
		v.w.out = &out
		v.tellState(s)
		v.tellLimits(s)
		if !strings.Contains(out.String(), "link") || !strings.Contains(out.String(), "drag hand") {
			t.Fatalf("it tells only %q", out.String())
		}
		if us := strings.Contains(out.String(), "lbf") || strings.Contains(out.String(), "ksi"); us != (sys == si.US) {
			t.Errorf("%v: %s", sys, out.String())
		}
	}
}
