package calib

import (
	"fmt"
	"math"
	"testing"

	"draghand/internal/gum"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// TestAreaU: of points on a line to the last bit the area is as sure as the reference.
func TestAreaU(t *testing.T) {
	run := taken(t, rig.AtRam, truth{per: 0.0042, friction: 0.01, falling: true}, 1)
	run.Reference.U = 0.003
	m := reckoned(t, run, Options{}).Rubbing
	if got, want := float64(m.AreaU), 0.003*0.0042; math.Abs(got/want-1) > 1e-6 {
		t.Errorf("the area is known to %v m², want %v", got, want)
	}
	// A zero off by δ makes p + δ of p, and turns a line through zero by δ Σp/Σp².
	run.ZeroU = 3000
	var sum, squares float64
	for _, p := range run.Points {
		if p.Direction == Rising {
			sum, squares = sum+float64(p.Gauge), squares+float64(p.Gauge)*float64(p.Gauge)
		}
	}
	m = reckoned(t, run, Options{Line: ThroughZero}).Rubbing
	if got, want := float64(m.AreaU), 0.0042*math.Hypot(0.003, 3000*sum/squares); math.Abs(got/want-1) > 1e-6 {
		t.Errorf("with the zero known to 3 kPa the area is known to %v m², want %v", got, want)
	}
}

// TestFrictionU: by the first-order rule with the derivatives taken as differences, at
// a friction so large that both slopes matter apart.
func TestFrictionU(t *testing.T) {
	run := taken(t, rig.AtRam, truth{per: 0.0042, friction: 0.15, noise: 5e4, falling: true}, 2)
	a := reckoned(t, run, Options{Line: ThroughZero})
	var x, y []float64
	for _, p := range run.Points {
		if p.Direction == Falling {
			x, y = append(x, float64(p.Gauge)), append(y, p.Reference)
		}
	}
	down, err := FitThroughZero(x, y)
	if err != nil {
		t.Fatal(err)
	}
	f := func(up, down float64) float64 { return (up - down) / (up + down) }
	up, h := a.Zero, 1e-7
	d1 := (f(up.Slope+h, down.Slope) - f(up.Slope-h, down.Slope)) / (2 * h)
	d2 := (f(up.Slope, down.Slope+h) - f(up.Slope, down.Slope-h)) / (2 * h)
	if want := math.Hypot(d1*up.SlopeU, d2*down.SlopeU); math.Abs(a.Rubbing.FrictionU/want-1) > 1e-4 {
		t.Errorf("u of the friction %v, want %v", a.Rubbing.FrictionU, want)
	}
}

// TestResolutionFluctuates: where the reading fluctuates by more than a count, the
// resolution is a count and twice that (ISO 7500-1 takes half of the span of the
// readings; two standard deviations either way hold 95 % of them).
func TestResolutionFluctuates(t *testing.T) {
	for _, counts := range []float64{0, 0.9, 1.1, 4} {
		run := taken(t, rig.AtRam, truth{per: 0.0042}, 1)
		step := float64(run.Rig.Chain().Step()) * float64(run.Rig.Ram.Area) // no friction in the example
		run.Points[2].SD = run.Rig.Chain().Step() * si.Pressure(counts)
		want := step
		if counts > 1 {
			want = step * (1 + 2*counts)
		}
		l := reckoned(t, run, Options{}).Levels[2]
		if got := l.Resolution * l.Reference; math.Abs(got/want-1) > 1e-9 {
			t.Errorf("fluctuating by %v counts the resolution is %v N, want %v", counts, got, want)
		}
	}
}

// TestStudentised: a point's residual over what the line through the others says of a
// new one there: another way to the same figure.
func TestStudentised(t *testing.T) {
	for _, ask := range []string{ThroughZero, Offset} {
		run := taken(t, rig.AtRam, truth{per: 0.0042, noise: 5e4, offset: 100}, 6)
		run.Points[4].Gauge *= 1.02 // of large leverage
		a := reckoned(t, run, Options{Line: ask})
		for j := range run.Points {
			var x, y []float64
			for i, p := range run.Points {
				if i != j {
					x, y = append(x, float64(p.Gauge)), append(y, p.Reference)
				}
			}
			l, err := FitThroughZero(x, y)
			if ask == Offset {
				l, err = Fit(x, y)
			}
			if err != nil {
				t.Fatal(err)
			}
			at := float64(run.Points[j].Gauge)
			want := (run.Points[j].Reference - l.At(at)) / l.NewU(at)
			if got := a.Residuals[j].Student; math.Abs(got/want-1) > 1e-6 {
				t.Errorf("%s, point %d: studentised %v, want %v", ask, j+1, got, want)
			}
		}
	}
}

// TestOffsetEdge: an offset a little over its 95 % makes a line with one, a little
// under it does not. Residuals that no line can take up make both known in advance.
func TestOffsetEdge(t *testing.T) {
	x := []float64{50, 100, 150, 200, 250, 300, 350, 400}         // bar
	e := []float64{100, -100, -100, 100, 100, -100, -100, 100}    // N; sum and slope 0
	u := math.Sqrt(8*1e4/6) * math.Sqrt(1.0/8+225*225/(42*2500.)) // N, of the offset
	edge := 2.446911851 * u                                       // Student's t at 6 degrees of freedom: any table of it
	if got := gum.T(0.95, 6); math.Abs(got-2.446911851) > 1e-8 {
		t.Fatalf("t %v", got)
	}
	for factor, want := range map[float64]string{0.95: ThroughZero, -0.95: ThroughZero, 1.05: Offset, -1.05: Offset, 1.9: Offset} {
		t.Run(fmt.Sprint(factor), func(t *testing.T) {
			run := taken(t, rig.AtRam, truth{per: 0.0042}, 1)
			run.Points = nil
			for i := range x {
				p := si.Pressure(x[i] * si.Bar)
				run.Points = append(run.Points, Point{Reference: 0.0042*float64(p) + factor*edge + e[i], Gauge: p, Direction: Rising, Run: 1})
			}
			if a := reckoned(t, run, Options{}); a.Taken != want || math.Abs(a.Line.OffsetU/u-1) > 1e-9 {
				t.Errorf("taken %s because %s; u %v, want %v", a.Taken, a.TakenWhy, a.Line.OffsetU, u)
			}
		})
	}
}
