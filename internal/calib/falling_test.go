package calib

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"draghand/internal/gum"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// TestSuspectFalling: the one bad point among good falling ones is named too: 5 % on
// any of them, and a tenfold slip.
func TestSuspectFalling(t *testing.T) {
	for at := 5; at < 10; at++ {
		for factor, want := range map[float64]string{1.05: "off", 10: "a slipped unit would make that", 1 / si.PoundForce: "pounds-force"} {
			for _, offset := range []float64{0, 2000} {
				run := taken(t, rig.AtRam, truth{per: 0.0042, noise: 1e4, friction: 0.01, offset: offset, falling: true, runs: 2}, 5)
				run.Points[at].Reference *= factor
				a := reckoned(t, run, Options{})
				if a.Suspect != at || !strings.Contains(a.SuspectWhy, want) {
					t.Errorf("point %d times %v, offset %v: suspect %d, %q", at, factor, offset, a.Suspect, a.SuspectWhy)
				}
				if all := strings.Join(a.Remarks, "\n"); !strings.Contains(all, "on the way down, does not fit the other falling ones") {
					t.Errorf("point %d times %v: remarks %q", at, factor, all)
				}
			}
		}
	}
	// A rising one is named first; the falling one is not forgotten.
	run := taken(t, rig.AtRam, truth{per: 0.0042, noise: 1e4, friction: 0.01, falling: true, runs: 2}, 5)
	run.Points[2].Reference *= 1.05
	run.Points[7].Reference *= 1.05
	a := reckoned(t, run, Options{})
	if all := strings.Join(a.Remarks, "\n"); a.Suspect != 2 || !strings.Contains(all, "point 8, on the way down,") {
		t.Errorf("suspect %d, remarks %q", a.Suspect, all)
	}
}

// TestNoSuspectFalling: of good runs no more than 5 % have a falling point named.
func TestNoSuspectFalling(t *testing.T) {
	named := 0
	const n = 1000
	for seed := range uint64(n) {
		a := reckoned(t, taken(t, rig.AtRam, truth{per: 0.0042, noise: 3e4, friction: 0.01, falling: true, runs: 2}, seed), Options{Line: ThroughZero})
		if strings.Contains(strings.Join(a.Remarks, "\n"), "on the way down, does not fit") {
			named++
		}
	}
	t.Logf("%d of %d good runs have a falling point named", named, n)
	if named > 5*n/100+3*7 || named == 0 { // three standard deviations of a count of 50
		t.Errorf("%d of %d good runs have a falling point named", named, n)
	}
}

// TestFrictionWithOffset: with an offset in the truth the friction comes from the
// slopes of lines with one. 200 draws of 95 % lie between 182 and 199 (3.3 SD).
func TestFrictionWithOffset(t *testing.T) {
	for _, role := range []rig.Role{rig.SensorRam, rig.ActuatorRam} {
		for _, offset := range []float64{-4e3, 4e3} {
			const area, n = 0.0042, 200
			in, sum, sumU, last := 0, 0.0, 0.0, 0
			for seed := range uint64(n) {
				run := taken(t, rig.AtRam, truth{per: area}, 0)
				run.Rig.Ram.Role = role
				run.Points = nil
				rnd := rand.New(rand.NewPCG(seed, uint64(len(role))+uint64(offset+4e3)))
				f := 0.018
				if role == rig.ActuatorRam {
					f = -f
				}
				for i := range 14 {
					p, d, k := float64(i+1)*5e6, Rising, 1+f
					if i >= 8 { // not the same pressures either way: 25 to 5 MPa, and one more
						p, d, k = float64(14-i)*4e6, Falling, 1-f
					}
					run.Points = append(run.Points, Point{Reference: area*k*p + offset + 100*rnd.NormFloat64(), Gauge: si.Pressure(p), Direction: d, Run: 1})
				}
				a := reckoned(t, run, Options{})
				m := a.Rubbing
				if m == nil || a.Taken != Offset {
					t.Fatalf("taken %s, friction %v", a.Taken, m)
				}
				last = len(a.Remarks)
				sum, sumU = sum+m.Friction/n, sumU+m.FrictionU/n
				if math.Abs(m.Friction-0.018) <= gum.T(0.95, m.DoF)*m.FrictionU {
					in++
				}
			}
			t.Logf("%s, offset %v: mean %.5f, u %.5f, within %d of %d (%d remarks)", role, offset, sum, sumU, in, n, last)
			if in < 182 || in > 199 || math.Abs(sum-0.018) > 4*sumU/math.Sqrt(n) {
				t.Errorf("%s, offset %v: mean %.5f where 0.018 is true, u %.5f, within %d of %d", role, offset, sum, sumU, in, n)
			}
		}
	}
}

// TestFrictionSaid: what is no friction is said, and so is why there is none.
func TestFrictionSaid(t *testing.T) {
	base := func(offset float64) Run {
		return taken(t, rig.AtRam, truth{per: 0.0042, noise: 1e4, friction: 0.01, offset: offset, falling: true}, 4)
	}
	for name, c := range map[string]struct {
		offset float64
		change func(*Run)
		line   string
		want   string
	}{
		"two slipped":          {0, func(r *Run) { r.Points[5].Reference /= 3; r.Points[6].Reference /= 3 }, "", "is none of a sound rig"},
		"all ten times":        {0, func(r *Run) { scaleFalling(r, 10) }, "", "give no friction"},
		"half again":           {0, func(r *Run) { scaleFalling(r, 1.6) }, "", "is none of a sound rig"},
		"the other way round":  {0, func(r *Run) { scaleFalling(r, 1.05) }, "", "under nothing"},
		"two with an offset":   {2000, func(r *Run) { r.Points = r.Points[:7] }, "", "three falling points"},
		"zero asked, but none": {2000, func(*Run) {}, ThroughZero, "the friction is from lines through zero"},
	} {
		run := base(c.offset)
		c.change(&run)
		a := reckoned(t, run, Options{Line: c.line})
		if all := strings.Join(a.Remarks, "\n"); !strings.Contains(all, c.want) {
			t.Errorf("%s: %+v, remarks %q, want %q", name, a.Rubbing, all, c.want)
		}
	}
	a := reckoned(t, base(0), Options{})
	if all := strings.Join(a.Remarks, "\n"); a.Rubbing == nil || strings.Contains(all, "riction") {
		t.Errorf("a good run: %+v, remarks %q", a.Rubbing, all)
	}
}

func scaleFalling(r *Run, by float64) {
	for i := range r.Points {
		if r.Points[i].Direction == Falling {
			r.Points[i].Reference *= by
		}
	}
}
