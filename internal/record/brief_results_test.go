package record

import (
	"encoding/json"
	"strings"
	"testing"

	"draghand/internal/si"

	"github.com/google/go-cmp/cmp"
)

// What stands in the results is read field by field; what is of another type is not
// known and spoils no other.
func TestBriefResults(t *testing.T) {
	for text, want := range map[string]*BriefResults{
		``:       nil,
		`null`:   nil,
		`[1]`:    nil,
		`"text"`: nil,
		`{}`:     {},
		`{"strength_pa": 3e8, "strength_at_least_pa": null, "strength_expanded_pa": 6e6, "elongation": 0.12, "counts": "no", "counts_because": ["a", "b"]}`: {
			Strength: ptr[si.Stress](3e8), Expanded: ptr[si.Stress](6e6), Elongation: ptr(0.12), Counts: "no", Because: "a",
		},
		`{"elongation": 0, "counts": "yes", "counts_because": []}`:                                            {Elongation: ptr(0.0), Counts: "yes"},
		`{"strength_pa": "3e8", "strength_expanded_pa": 6e6, "elongation": [0.12], "counts": true}`:           {Expanded: ptr[si.Stress](6e6)},
		`{"strength_pa": 1e999, "elongation": {}, "counts": "yes", "counts_because": "it broke in the grip"}`: {Counts: "yes"},
		`{"counts_because": ["` + strings.Repeat("é", 300) + `", 7]}`:                                         {},
		`{"counts_because": ["` + strings.Repeat("é", 300) + `"]}`:                                            {Because: strings.Repeat("é", 128)},
	} {
		if d := cmp.Diff(want, briefResults(json.RawMessage(text))); d != "" {
			t.Errorf("%.60s (-want +got):\n%s", text, d)
		}
	}
}
