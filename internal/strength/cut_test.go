package strength_test

import (
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

// A dial saw the whole pull: it is not held against the peak of what is left of the
// readings. The break that somebody looked at is then not in them.
func TestWhatIsIntact(t *testing.T) {
	p := sound(t)
	dial := si.Force(1.209 * float64(p.State.Peak.Specimen))
	p.Dial = &dial
	if r := strength.From(p); r.Dial == nil {
		t.Fatal("a whole pull has no dial check")
	}
	p.Damaged = true
	p.State.Outcome, p.State.Break = pull.Ended, nil
	p.After = &specimen.After{Where: specimen.MidGauge, Looks: []specimen.Look{specimen.CupCone}}
	r := strength.From(p)
	because := strings.Join(r.CountsBecause, "; ")
	if r.Dial != nil || strings.Contains(because, "before a break was seen") || !strings.Contains(because, "the break is not in what is intact") {
		t.Errorf("dial %+v, because %q", r.Dial, because)
	}
}

// The force a break begins at is one reading; where it lies above the drag hand, it
// is said why.
func TestBreakAbovePeak(t *testing.T) {
	p := sound(t)
	p.State.Break.Specimen = p.State.Peak.Specimen + 100
	text := strings.Join(strength.From(p).Lines(si.Metric, p.Bar), "\n")
	if !strings.Contains(text, "that is one reading, the peak a median of three") {
		t.Error(text)
	}
	p.State.Break.Specimen = p.State.Peak.Specimen
	if text := strings.Join(strength.From(p).Lines(si.Metric, p.Bar), "\n"); strings.Contains(text, "median of three") {
		t.Error(text)
	}
}
