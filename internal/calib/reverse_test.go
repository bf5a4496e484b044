package calib

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// verified constructs three runs of five levels on a rig of 0.0021 N/Pa at the
// specimen: the gauge comes back to the same pressures, and the reference is less
// than what the rig tells by err on the way up and by err + back on the way down.
func verified(t *testing.T, err, back float64) Run {
	t.Helper()
	after := 819.2 * 16
	run := Run{
		Rig: example(t), At: rig.AtSpecimen, Made: day, Zero: after, ZeroAfter: &after,
		Reference: Reference{Text: "a borrowed cell", Certificate: "C-17, 2026-03-01", U: 0.0005},
	}
	run.Rig.Sensor.Bits, run.Rig.Sensor.Divisor = 16, 65536
	for n := range 3 {
		for i := range 10 {
			level, d, off := i+1, Rising, err
			if i >= 5 {
				level, d, off = 10-i, Falling, err+back
			}
			p := si.Pressure(level) * 45e5
			f := Indicated(run.Rig, run.At, false, p) / (1 + off)
			run.Points = append(run.Points, Point{Reference: f, Gauge: p, Direction: d, Run: n + 1})
		}
	}
	return run
}

// TestReversibility: falling points count at whatever force they stand; the rising
// error is taken where they do (ISO 7500-1 compares at one force; v of class 0.5, 1,
// 2 and 3 is 0.75, 1.5, 3 and 4.5 %, checks.md 5.2).
func TestReversibility(t *testing.T) {
	for _, c := range []struct {
		back  float64
		class string
	}{
		{0.005, "0.5"},
		{-0.0072, "0.5"},
		{0.0095, "1"},
		{0.0105, "1"},
		{-0.0105, "1"},
		{0.0149, "1"},
		{0.0195, "2"},
		{-0.0205, "2"},
		{0.0299, "2"},
		{0.035, "3"},
		{-0.04, "3"},
		{0.0449, "3"},
		{0.046, ""},
		{0.06, ""},
		{-0.06, ""},
		{0.15, ""},
	} {
		t.Run(fmt.Sprint(c.back), func(t *testing.T) {
			a := reckoned(t, verified(t, 0.001, c.back), Options{})
			all := strings.Join(a.Claims, "\n")
			if got := strings.Contains(all, "ISO 7500-1 class "+c.class+","); got != (c.class != "") || c.class == "" && strings.Contains(all, "class") {
				t.Errorf("claims %q, want class %q", all, c.class)
			}
			known := 0
			for _, l := range a.Levels {
				if v := l.Reversibility; v != nil {
					known++
					if math.Abs(*v-c.back) > 1e-9 {
						t.Errorf("at %v N reversibility %.4f %%, want %.4f", l.Reference, 100**v, 100*c.back)
					}
				}
			}
			if known < 3 || known < 5 && math.Abs(c.back) < 0.045 {
				t.Errorf("%d of 5 levels know their reversibility", known)
			}
		})
	}
}

// TestReversibilityBetween: the rising error is not the same at all levels, and a
// falling point halfway between two is held against the middle of theirs.
func TestReversibilityBetween(t *testing.T) {
	run := verified(t, 0, 0)
	for i := range run.Points {
		p := &run.Points[i]
		said := Indicated(run.Rig, run.At, false, p.Gauge)
		if p.Direction == Rising {
			p.Reference = said / (1 + 0.002*float64(p.Gauge)/45e5) // 0.2 % a level
		}
	}
	up := map[int]float64{}
	for i := range 5 {
		up[i] = run.Points[i].Reference
	}
	run.Points = run.Points[:5:5]
	half := (up[2] + up[3]) / 2                                                                             // rising error there: 0.7 %
	gauge := si.Pressure(half * 1.012 / Indicated(run.Rig, run.At, false, 1e7) * 1e7)                       // falling 1.2 %
	run.Points = append(run.Points, Point{Reference: half, Gauge: gauge, Direction: Falling, Run: 1})       // counts at the nearer one
	run.Points = append(run.Points, Point{Reference: 0.9 * up[0], Gauge: 4e6, Direction: Falling, Run: 1})  // too far under the lowest
	run.Points = append(run.Points, Point{Reference: 1.08 * up[4], Gauge: 3e7, Direction: Falling, Run: 1}) // and over the highest
	a := reckoned(t, run, Options{})
	known := 0
	for i, l := range a.Levels {
		if v := l.Reversibility; v != nil {
			known++
			if i != 2 && i != 3 || math.Abs(*v-0.005) > 1e-9 {
				t.Errorf("level %d: %.5f %%, want 0.5 at the third or fourth", i+1, 100**v)
			}
		}
	}
	if known != 1 {
		t.Errorf("%d levels know a reversibility, want 1", known)
	}
}

// TestNoneCompared: falling points are there and none can be compared: no class.
func TestNoneCompared(t *testing.T) {
	run := verified(t, 0, 0)
	var out []Point
	for _, p := range run.Points {
		if p.Direction == Falling {
			if p.Gauge > 45e5 {
				continue
			}
			p.Reference, p.Gauge = p.Reference/2, p.Gauge/2 // half of the lowest level
		}
		out = append(out, p)
	}
	run.Points = out
	a := reckoned(t, run, Options{})
	if all := strings.Join(a.Claims, "\n"); strings.Contains(all, "class") {
		t.Errorf("claims %q", all)
	}
	if all := strings.Join(a.Remarks, "\n"); !strings.Contains(all, "none of the falling points") {
		t.Errorf("remarks %q", all)
	}
}

// TestNoClassOfWhatIsLeft: a point that was left out speaks against a class.
func TestNoClassOfWhatIsLeft(t *testing.T) {
	run := verified(t, 0, 0)
	if all := strings.Join(reckoned(t, run, Options{}).Claims, "\n"); !strings.Contains(all, "class 0.5") || !strings.Contains(all, "E4") {
		t.Fatalf("claims %q", all)
	}
	live := verified(t, 0, 0)
	live.Dropped = 1
	for name, a := range map[string]Answer{
		"left out":     reckoned(t, run, Options{Drop: []int{12}}),
		"dropped live": reckoned(t, live, Options{}),
	} {
		all := strings.Join(a.Claims, "\n")
		if strings.Contains(all, "class") || strings.Contains(all, "E4") || !strings.Contains(all, "1 point left out") {
			t.Errorf("%s: claims %q", name, all)
		}
		if all := strings.Join(a.Remarks, "\n"); !strings.Contains(all, "no class is stated") {
			t.Errorf("%s: remarks %q", name, all)
		}
	}
}

// TestOverTheRange: a gauge of 600 bar cannot have told 999.
func TestOverTheRange(t *testing.T) {
	run := verified(t, 0, 0)
	top := run.Rig.Sensor.High
	run.Points[4].Gauge = top
	if _, err := Reckon(run, Options{Line: ThroughZero}); err != nil {
		t.Errorf("at the end of the range: %v", err)
	}
	run.Points[4].Gauge = top * 1.02
	_, err := Reckon(run, Options{Line: ThroughZero})
	if err == nil || !strings.Contains(err.Error(), "point 5") || !strings.Contains(err.Error(), "the sensor ends at") {
		t.Errorf("over the range: %v", err)
	}
}
