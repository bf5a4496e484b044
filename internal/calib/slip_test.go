package calib

import (
	"errors"
	"strings"
	"testing"

	"draghand/internal/rig"
)

// A table in a mistaken unit is told, with the unit that would fit.
func TestFar(t *testing.T) {
	const readings = "995.7,rising,1\n%2%,1172.2,rising,1\n%3%,1347.5,rising,1\n"
	for name, c := range map[string]struct{ header, cells, what, next string }{
		"as it is": {"kN", "8 16 24", "", ""},
		"in lbf":   {"lbf", "1798 3597 5395", "", ""},
		"N":        {"N", "8 16 24", "3 of 3 points are off by more than a factor of 3; point 1: the reference is said to show 0.01 kN where the rig makes 7.91 kN of it: in kN it would fit", "--reference-unit kN"},
		"kN for N": {"kN", "8000 16000 24000", "in N it would fit", "--reference-unit N"},
		"kN, kgf":  {"kN", "816 1632 2447", "in kgf it would fit", "--reference-unit kgf"},
		"one only": {"kN", "8 1.6 24", "point 2: the reference is said to show 1.60 kN where the rig makes 15.83", "look at the units"},
		"no unit":  {"kN", "24.1 50 75", "off by more than", "--sure"},
	} {
		v := strings.Fields(c.cells)
		table := "reference [" + c.header + "],reading,direction,run\n0,819.3,,\n" + v[0] + "," + strings.NewReplacer("%2%", v[1], "%3%", v[2]).Replace(readings)
		r := *example(t)
		tab, err := ReadTable([]byte(table), &r, TableOptions{At: rig.AtSpecimen})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		err = Far(Run{Rig: &r, At: rig.AtSpecimen, Points: tab.Points}, tab.ReferenceUnit, tab.GaugeUnit)
		if c.what == "" {
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		var m *MissingError
		if !errors.As(err, &m) || !strings.Contains(m.What, c.what) || !strings.Contains(m.Do, c.next) {
			t.Errorf("%s: %+v", name, err)
		}
	}
	r := *example(t)
	tab, err := ReadTable([]byte("reference [bar],gauge [bar]\n10,1\n20,2\n30,3\n"), &r, TableOptions{At: rig.AtGauge})
	if err != nil {
		t.Fatal(err)
	}
	err = Far(Run{Rig: &r, At: rig.AtGauge, Points: tab.Points}, "", tab.GaugeUnit)
	if err == nil || !strings.Contains(err.Error(), "with the gauge in MPa it would fit") {
		t.Errorf("at the gauge: %v", err)
	}
}
