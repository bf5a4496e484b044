package shelf

import (
	"testing"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/strength"
)

// A pull that nobody finished is open only while somebody could still say something:
// how it was closed may rule it out, with the words of its results.
func TestSettled(t *testing.T) {
	outcome := func(o pull.Phase) func(*pull.State) {
		return func(s *pull.State) { s.Phase, s.Outcome = o, o }
	}
	for name, c := range map[string]struct {
		head   func(h *record.Head)
		state  func(s *pull.State)
		counts string
		why    string
	}{
		"broken":       {nil, nil, "", ""},
		"faded":        {nil, outcome(pull.Faded), "", ""},
		"let off":      {nil, outcome(pull.LetOff), strength.CountsNot, "let off, it did not break"},
		"ended":        {nil, outcome(pull.Ended), strength.CountsNot, "ended under load before a break was seen"},
		"unclear":      {nil, outcome(pull.Unclear), strength.CountsNot, "it is unclear whether the bar broke"},
		"never loaded": {nil, func(s *pull.State) { s.LoadedAt, s.Outcome = 0, "" }, strength.CountsNot, "no load was seen"},
		"imported, never loaded": {
			func(h *record.Head) { h.Imported = &record.Imported{} }, func(s *pull.State) { s.LoadedAt, s.Outcome = 0, "" }, strength.CountsNot, "no load was made sure of",
		},
		"no section":               {func(h *record.Head) { h.Specimen.Diameters = nil }, nil, strength.CountsNot, "no section was measured"},
		"a crush that was let off": {func(h *record.Head) { h.Kind = pull.Crush }, outcome(pull.LetOff), "", ""},
		"a proof that was let off": {func(h *record.Head) { h.Kind = pull.Proof }, outcome(pull.LetOff), "", ""},
	} {
		dir := t.TempDir()
		h := head(t, 1)
		h.Specimen.Simulated = true
		if c.head != nil {
			c.head(&h)
		}
		e := Read(keep(t, dir, h, c.state))
		if e.Counts != c.counts || e.Because != c.why {
			t.Errorf("%s: %q because %q, want %q because %q", name, e.Counts, e.Because, c.counts, c.why)
		}
	}
}
