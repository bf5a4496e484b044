package finish

import (
	"slices"
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Where it broke is not asked of what was let off: nothing broke. Where the readings
// ended before the end of it, or nobody can tell, the person may know better; of a
// block in a crush a let-off is how it ends.
func TestNothingBroke(t *testing.T) {
	for _, c := range []struct {
		name string
		kind pull.Kind
		end  *record.Closing
		can  bool
	}{
		{"broken", pull.Tension, &record.Closing{Outcome: pull.Broken}, true},
		{"faded", pull.Tension, &record.Closing{Outcome: pull.Faded}, true},
		{"ended", pull.Tension, &record.Closing{Outcome: pull.Ended}, true},
		{"unclear", pull.Tension, &record.Closing{Outcome: pull.Unclear}, true},
		{"cut off", pull.Tension, nil, true},
		{"let off", pull.Tension, &record.Closing{Outcome: pull.LetOff}, false},
		{"let off, an early record", pull.Tension, &record.Closing{Phase: pull.LetOff}, false},
		{"proof held", pull.Proof, &record.Closing{Outcome: pull.LetOff}, false},
		{"proof broken", pull.Proof, &record.Closing{Outcome: pull.Broken}, true},
		{"crush", pull.Crush, &record.Closing{Outcome: pull.LetOff}, true},
	} {
		h := head(t, c.kind)
		h.Closing = c.end
		// An earlier program took it.
		h.Finished = []record.Finished{{After: specimen.After{Looks: []specimen.Look{specimen.Flat}}}}
		f := NewForm(h, si.Metric, nil)
		if got := slices.Contains(f.IDs(), FieldLooks); got != c.can {
			t.Errorf("%s: looks asked for: %v", c.name, got)
		}
		err := f.Set(FieldLooks, "flat, coarse")
		if (err == nil) != c.can || err != nil && !strings.Contains(err.Error(), "nothing broke in this pull: it was let off") {
			t.Errorf("%s: %v", c.name, err)
		}
		if c.kind != pull.Crush {
			if err := f.Set(FieldWhere, "middle"); (err == nil) != c.can {
				t.Errorf("%s: where: %v", c.name, err)
			}
		}
		if err := f.Set(FieldFailed, "upper pin"); err != nil {
			t.Errorf("%s: failed part: %v", c.name, err)
		}
		out, err := f.Finished()
		if err != nil || out.Failed != "upper pin" || (len(out.Looks) == 2) != c.can || !c.can && (len(out.Looks) != 0 || out.Where != specimen.NotLookedAt) {
			t.Errorf("%s: %+v, %v", c.name, out, err)
		}
	}
}
