package specimen

import (
	"math"
	"strings"
	"testing"

	"draghand/internal/si"
)

// The least strengths of the program's own table, by name: figures of alloys.csv
// with their standards; none where a name fits several alloys or no minimum.
func TestMinimums(t *testing.T) {
	for _, c := range []struct {
		name string
		want []float64 // ksi
		from string    // of the first
	}{
		{"C90500", []float64{40}, "C90500: minimum, as sand cast, ASTM B584"},
		{"grey iron 30", []float64{30}, "grey iron class 30: minimum, separately cast bar, ASTM A48"},
		{"356 T6", []float64{30}, "356.0: minimum, T6 sand cast, ASTM B26"},
		{"6061", []float64{38, 42}, "6061: minimum, T6 extruded bar at least 0.250 in, ASTM B221"},
		{"bronze", nil, ""},
		{"", nil, ""},
		{"unobtainium", nil, ""},
	} {
		got := Alloys().Minimums(c.name)
		if len(got) != len(c.want) {
			t.Errorf("%q: %+v, want %v", c.name, got, c.want)
			continue
		}
		for i, w := range c.want {
			if math.Abs(float64(got[i].Strength)-w*si.KSI) > 1 {
				t.Errorf("%q: %v, want %v ksi", c.name, got[i].Strength, w)
			}
		}
		if len(got) > 0 && got[0].From != c.from {
			t.Errorf("%q: from %q, want %q", c.name, got[0].From, c.from)
		}
	}
	own, err := ReadAlloys("mine", strings.NewReader("name,basis,strength\nC90500,minimum,44 ksi\n"))
	if err != nil {
		t.Fatal(err)
	}
	if got := Alloys().With(own).Minimums("C90500"); len(got) != 1 || !strings.HasSuffix(got[0].From, "(own table)") {
		t.Errorf("own: %+v", got)
	}
}
