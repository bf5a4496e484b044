package record

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/strength"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// Records as the program made them before the closing had a yield drop, a hold,
// strokes and the bias of the peak. Both are simulated, no metal was pulled.
const (
	earlierExample = "2026-11-25T140322Z-M1-3-earlier" // the worked example, as it was
	earlierPull    = "2026-11-25T122446Z-M1-5-earlier" // a whole pull to the break, 50 readings a second
)

// What was recorded before fields were added is whole, fits the schema, and
// gives the outcome, peak and break that were kept when it was closed.
func TestEarlierRecords(t *testing.T) {
	// A few roundings of a float64, which may be other ones on another processor.
	rounding := cmpopts.EquateApprox(1e-12, 0)
	for name, outcome := range map[string]pull.Phase{earlierExample: pull.Ended, earlierPull: pull.Broken} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(fixtures, name)
			text, err := os.ReadFile(filepath.Join(dir, HeadFile))
			must(t, err)
			for _, field := range []string{"yield_drop", "hold", "strokes", "peak_bias_n"} {
				if bytes.Contains(text, []byte(`"`+field+`"`)) {
					t.Fatalf("it has %q: it is no earlier record", field)
				}
			}
			for _, strict := range []bool{false, true} {
				if err := validate(t, compile(t, strict), text); err != nil {
					t.Errorf("schema (strict %v): %v", strict, err)
				}
			}
			if r := Check(dir); r.Status != Whole || r.SHA256 != "match" {
				t.Errorf("check: %s", r.Text())
			}
			rec, err := Open(dir)
			must(t, err)
			var told strength.Remarks
			s, err := rec.ReplayLines(func(l Line) bool {
				told.Add(l.Events)
				return true
			})
			must(t, err)
			kept, now := *rec.Head.Closing, ClosingFrom(s, rec.Head.Closing.Reason)
			if s.Outcome != outcome || kept.Outcome != now.Outcome {
				t.Errorf("outcome kept %q, replayed %q, want %q", kept.Outcome, now.Outcome, outcome)
			}
			type facts struct {
				Samples, Faults, Gaps, BadLines int
				Peak, PeakRaw                   *Point
				Break                           *Break
			}
			was := facts{kept.Samples, kept.Faults, kept.Gaps, kept.BadLines, kept.Peak, kept.PeakRaw, kept.Break}
			is := facts{now.Samples, now.Faults, now.Gaps, now.BadLines, now.Peak, now.PeakRaw, now.Break}
			if d := cmp.Diff(was, is, rounding); d != "" {
				t.Errorf("kept (-) and replayed (+) differ:\n%s", d)
			}
			r := strength.From(strength.Pull{Record: rec.Name(), State: s, Config: rec.Head.Config(), Bar: rec.Head.Specimen, Told: told})
			if (r.StrengthPa != nil) != (outcome == pull.Broken) {
				t.Errorf("results: strength %v of a pull that is %q", r.StrengthPa, outcome)
			}
			if r.StrengthPa != nil {
				if d := cmp.Diff(float64(*kept.Peak.Stress), *r.StrengthPa, rounding); d != "" {
					t.Errorf("results: strength (-kept peak +now):\n%s", d)
				}
			}
		})
	}
}
