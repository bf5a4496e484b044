package record

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// A bar that is not round is kept with its sizes, as the schema describes it, and
// read again as it was; its section goes into the stress.
func TestShapes(t *testing.T) {
	loose, strict := compile(t, false), compile(t, true)
	for name, c := range map[string]struct {
		sizes string
		area  si.Area // by hand
	}{
		"rectangular": {"20 x 3 mm, 20.1 x 3 mm ± 0.01 mm", 60 * si.SquareMM},
		"tube":        {"tube 12 x 2 mm ± 0.02 mm", 62.83185307179586 * si.SquareMM}, // 20 π
	} {
		h := simulatedHead()
		z, err := specimen.ParseSizes(c.sizes)
		must(t, err)
		h.Specimen.Set(z)
		h.Specimen.ExpectLow, h.Specimen.ExpectHigh, h.Specimen.ExpectFrom = 275*si.Megapascal, 345*si.Megapascal, "the table"
		w, err := Create(t.TempDir(), h)
		must(t, err)
		text, err := os.ReadFile(filepath.Join(w.Dir(), HeadFile))
		must(t, err)
		if err := validate(t, loose, text); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if err := validate(t, strict, text); err != nil {
			t.Errorf("%s: a field is not described: %v", name, err)
		}
		must(t, w.Close(Closing{Reason: ByEnd, Ended: start(), Limits: []Limit{}, Alarms: []Alarm{}, Phase: pull.Slack, Zero: Zero{Quality: "none"}}))
		r, err := Open(w.Dir())
		must(t, err)
		if got := r.Head.Specimen; !reflect.DeepEqual(got, h.Specimen) {
			t.Errorf("%s is read as %+v, was %+v", name, got, h.Specimen)
		}
		if got := r.Head.Config().Area; max(got-c.area, c.area-got) > 1e-9*c.area {
			t.Errorf("%s: a section of %v, want %v", name, got, c.area)
		}
	}
}
