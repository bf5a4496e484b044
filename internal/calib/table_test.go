package calib

import (
	"errors"
	"math"
	"strings"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// The example rig's 12 bits over 5 V and a 250 Ω shunt: 1 V, 4 mA, is 819.2 and
// 700 bar are 3276.8 counts on.
const perCount = 700.0 / 3276.8 * si.Bar

func TestReadTable(t *testing.T) {
	r := example(t)
	raw := "reference [kN],reading,direction,run\n0,820,,\n10,1820,rising,1\n# a note\n20,2820,up,1\n\n10,1815,falling,1\n10,1821,rising,2\n0,824,,2\n"
	for name, c := range map[string]struct {
		text  string
		o     TableOptions
		after float64 // raw of the zero after; 0: none
		gauge []si.Pressure
		dir   string
		ref   float64 // of the first
	}{
		"raw numbers":     {raw, TableOptions{At: rig.AtSpecimen}, 824, []si.Pressure{1000 * perCount, 2000 * perCount, 995 * perCount, 1001 * perCount}, "rffr", 10e3},
		"a stated zero":   {"reference\treading\n10 kN\t1820\n20 kN\t2820\n", TableOptions{At: rig.AtRam, Zero: new(float64)}, 0, []si.Pressure{1820 * perCount, 2820 * perCount}, "rr", 10e3},
		"gauge pressures": {"gauge (psi);reference_lbf\r\n1000;2000,5\r\n3000;6000\r\n2000;4000\r\n", TableOptions{At: rig.AtRam}, 0, []si.Pressure{1000 * si.PSI, 3000 * si.PSI, 2000 * si.PSI}, "rrf", 2000.5 * si.PoundForce},
		"units by flag":   {"\ufeffreference,gauge\n100,101\n200,202\n", TableOptions{At: rig.AtGauge, ReferenceUnit: "bar", GaugeUnit: "bar"}, 0, []si.Pressure{101 * si.Bar, 202 * si.Bar}, "rr", 1e7},
		"a gauge's zero":  {"reference [bar],gauge [bar]\n0,1\n100,102\n200,203\n0,2\n", TableOptions{At: rig.AtGauge}, 819.2 + 2*si.Bar/perCount, []si.Pressure{101 * si.Bar, 202 * si.Bar}, "rr", 1e7},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := ReadTable([]byte(c.text), r, c.o)
			if err != nil {
				t.Fatal(err)
			}
			if len(got.Points) != len(c.gauge) {
				t.Fatalf("%d points, want %d", len(got.Points), len(c.gauge))
			}
			for i, p := range got.Points {
				want := c.gauge[i]
				if math.Abs(float64(p.Gauge-want)) > 1e-6*float64(want) {
					t.Errorf("point %d at %v, want %v", i+1, p.Gauge, want)
				}
				if d := string(p.Direction[0]); name != "raw numbers" && d != c.dir[i:i+1] {
					t.Errorf("point %d is %s", i+1, p.Direction)
				}
			}
			if math.Abs(got.Points[0].Reference-c.ref) > 1e-9*c.ref {
				t.Errorf("reference %v, want %v", got.Points[0].Reference, c.ref)
			}
			if (got.ZeroAfter != nil) != (c.after != 0) || got.ZeroAfter != nil && math.Abs(*got.ZeroAfter-c.after) > 1e-6 {
				t.Errorf("zero after %v, want %v", got.ZeroAfter, c.after)
			}
		})
	}
	got, err := ReadTable([]byte(raw), r, TableOptions{At: rig.AtSpecimen})
	if err != nil || got.Zero != 820 || got.Points[1].Direction != Rising || got.Points[2].Direction != Falling || got.Points[3].Run != 2 {
		t.Errorf("%+v, %v", got, err)
	}
}

// TestReadTableRefuses: each fault with its line and what would be right.
func TestReadTableRefuses(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"nothing":           {"", "the table is empty"},
		"no header":         {"10,1820\n20,2820\n", "line 1: the header"},
		"no points":         {"reference [kN],reading\n", "has no points"},
		"both":              {"reference [kN],reading,gauge\n", "does not say what is what"},
		"twice":             {"reference,reference,reading\n", "the column reference is there twice"},
		"no unit":           {"reference,reading\n0,819\n10,1820\n", `line 3: reference: "10" has no unit; want a force, as in "12.5 kN"`},
		"a wrong unit":      {"reference [psi],reading\n0,819\n10,1820\n", "line 3: reference: "},
		"no number":         {"reference [kN],reading\n0,819\nten,1820\n", "line 3: reference:"},
		"a missing cell":    {"reference [kN],reading\n0,819\n10\n", `line 3: reading: "" is no number`},
		"over range":        {"reference [kN],reading\n0,819\n10,5000\n", `line 3: reading: "5000" is above range`},
		"a wire off":        {"reference [kN],reading\n0,819\n10,0\n", `line 3: reading: "0" is open circuit`},
		"no zero":           {"reference [kN],reading\n10,1820\n", "no zero"},
		"only zeros":        {"reference [kN],reading\n0,819\n", "every reference is nothing"},
		"direction":         {"reference [kN],reading,direction\n0,819,\n10,1820,sideways\n", `line 3: direction: "sideways" is none; want rising or falling`},
		"no direction":      {"reference [kN],reading,direction\n0,819,\n10,1820,\n", "line 3: direction: empty"},
		"run":               {"reference [kN],reading,run\n0,819,1\n10,1820,first\n", "line 3: run:"},
		"negative":          {"reference [kN],reading\n0,819\n-10,1820\n", "is under nothing"},
		"comma of thousand": {"reference [N];reading\n0;819\n10,000;1820\n", "a comma may mean thousands or decimals"},
		"a reading's unit":  {"reference [kN],reading [V]\n", "a reading has no unit"},
		"two at once":       {"reference [kN],reading\n0,819\nx,1820\n20,y\n", "line 4: reading"},
		"infinite":          {"reference [kN],reading\n0,819\ninf,1820\n", "line 3"},
	} {
		got, err := ReadTable([]byte(c.text), example(t), TableOptions{At: rig.AtSpecimen})
		if _, ok := errors.AsType[*TableError](err); !ok || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v %v, want %q", name, got, err, c.want)
		}
	}
}

// FuzzReadTable: what is read is finite, rises from 1 in its runs and has a
// direction; a fault names a line within the text.
func FuzzReadTable(f *testing.F) {
	f.Add("reference [kN],reading,direction,run\n0,820,,\n10,1820,rising,1\n20,2820,up,1\n10,1815,falling,1\n0,824,,2\n", false)
	f.Add("gauge (psi);reference_bar\r\n1000;69\r\n3000;207\r", true)
	r := example(f)
	f.Fuzz(func(t *testing.T, text string, gauge bool) {
		o := TableOptions{At: rig.AtSpecimen}
		if gauge {
			o.At = rig.AtGauge
		}
		got, err := ReadTable([]byte(text), r, o)
		if err != nil {
			te, ok := errors.AsType[*TableError](err)
			if !ok || len(te.Faults) == 0 {
				t.Fatalf("%T: %v", err, err)
			}
			most := 1 + strings.Count(text, "\n") + strings.Count(text, "\r")
			for _, one := range te.Faults {
				if one.Line < 0 || one.Line > most || one.Why == "" {
					t.Errorf("%+v of %d lines", one, most)
				}
			}
			return
		}
		if len(got.Points) == 0 {
			t.Fatal("no points and no error")
		}
		for _, p := range got.Points {
			if !(p.Reference > 0) || math.IsInf(p.Reference, 0) || math.IsNaN(float64(p.Gauge)) || math.IsInf(float64(p.Gauge), 0) ||
				p.Run < 1 || p.Direction != Rising && p.Direction != Falling {
				t.Errorf("point %+v", p)
			}
		}
	})
}
