package calib

import (
	"strings"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// What a person wrote is told in the unit it was written in, and digits are swapped
// as they were written.
func TestTyped(t *testing.T) {
	for _, c := range []struct {
		name        string
		text        string
		value, want float64 // N: what the point says, what the others would have
		says, not   string
	}{
		{"a slip of a key", "32.4 kN", 32.4e3, 32e3, "says 32.4 kN where the others would have 3", "swapped"},
		{"digits swapped", "23 kN", 23e3, 32e3, "two digits swapped would make that, 32 kN in place of 23 kN", "lbf"},
		{"in pounds", "7,149 lbf", 7149 * si.PoundForce, 7419 * si.PoundForce, "two digits swapped would make that, 7419 lbf in place of 7,149 lbf", "kN"},
		{"not what the point has", "23 kN", 33e3, 32e3, "lbf", "23 kN"},
		{"no number", "\x1b]x kN", 33e3, 32e3, "lbf", "\x1b"},
	} {
		t.Run(c.name, func(t *testing.T) {
			run := taken(t, rig.AtSpecimen, truth{per: 0.0021, noise: 3e3, runs: 2}, 5)
			run.Rig.Units = si.US
			p := &run.Points[2]
			p.Reference, p.Gauge, p.Text = c.value, si.Pressure(c.want/0.0021), c.text
			a := reckoned(t, run, Options{})
			if a.Suspect != 2 || !strings.Contains(a.SuspectWhy, c.says) || strings.Contains(a.SuspectWhy, c.not) {
				t.Errorf("suspect %d: %s", a.Suspect, a.SuspectWhy)
			}
		})
	}
}

// No point is named of four, nor one that lies off by less than its readings scatter.
func TestNobodyNamed(t *testing.T) {
	bad := func(n int, sd si.Pressure) Run {
		run := taken(t, rig.AtSpecimen, truth{per: 0.0021, noise: 1e3, runs: 2}, 5)
		run.Points = run.Points[:n]
		for i := range run.Points {
			run.Points[i].SD = sd
		}
		run.Points[2].Reference *= 1.001 // 30 N of 30 kN
		return run
	}
	for _, c := range []struct {
		name string
		run  Run
		want int
	}{
		{"four", bad(4, 1e3), -1},
		{"five", bad(5, 1e3), 2},
		{"within the scatter of its readings", bad(5, 2e4), -1}, // 42 N
	} {
		if a := reckoned(t, c.run, Options{Line: ThroughZero}); a.Suspect != c.want {
			t.Errorf("%s: suspect %d, want %d: %s", c.name, a.Suspect, c.want, a.SuspectWhy)
		}
	}
}

// A table keeps how its references are written.
func TestTableText(t *testing.T) {
	text := "reference [kN];reading\n0;819\n8,5;995.7\n1900 lbf;1005\n24.0;1347.5\n"
	got, err := ReadTable([]byte(text), example(t), TableOptions{At: rig.AtSpecimen})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"8.5 kN", "1900 lbf", "24.0 kN"} {
		p := got.Points[i]
		if p.Text != want {
			t.Errorf("point %d: %q, want %q", i+1, p.Text, want)
		}
		if s := p.ReferenceText(rig.AtSpecimen, si.US); s != want {
			t.Errorf("point %d told as %q", i+1, s)
		}
	}
}
