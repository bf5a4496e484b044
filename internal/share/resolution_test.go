package share_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/share"
	"draghand/internal/si"
)

// Bars more alike than the dial is fine are mostly read alike, and what scatter
// there is comes from their diameters, which say nothing of the force: the
// division must carry the interval. Bars that scatter by 0.2 %, of diameters
// within 0.02 mm, and a dial in divisions of some 2 % of the peak.
func TestCoarseDial(t *testing.T) {
	const trials, division = 1000, 1500.0 // N on the ram, of some 73,000 N
	random := rand.New(rand.NewPCG(5, 6))
	in, found := 0, 0
	base := six(t)[0].Bar.Area()
	for range trials {
		truth := 0.48 + 0.04*random.Float64()
		bars := six(t)
		strength := 36500 + 1000*random.Float64()
		for i := range bars {
			b := &bars[i]
			part := truth
			if b.Far() {
				part = 1 - truth
			}
			b.Bar.Diameters = []si.Length{si.Length(12.5e-3 + 0.01e-3*float64(random.IntN(5)-2))}
			area := float64(b.Bar.Area() / base)
			ram := strength * area * (1 + 0.002*random.NormFloat64()) / part
			ram = math.Round(ram/division) * division
			b.State.Peak.Specimen = si.Force(ram * b.Rig.Path.BarShare())
			b.State.Eye = &pull.Eye{Error: si.Force(division / 2 * b.Rig.Path.BarShare())}
		}
		a, err := share.Of(bars)
		if err != nil { // all read alike: nothing is claimed
			continue
		}
		found++
		if math.Abs(a.Share-truth) <= a.Expanded {
			in++
		}
	}
	t.Logf("%d of %d within, %.1f %%", in, found, 100*float64(in)/float64(found))
	if found < trials/10 || in < chance(found, 2) {
		t.Errorf("%d of %d only", in, found)
	}
}

// By hand: six bars without a word of the reading, and the same read by counts
// of 300 kPa at a peak of 30 MPa: u of a reading is 0.01/√12 = 0.288675 % on
// each side, so u² grows by (s(1 − s))² · 2 · 0.00288675².
func TestCountsInTheInterval(t *testing.T) {
	plain, err := share.Of(six(t))
	if err != nil {
		t.Fatal(err)
	}
	bars := six(t)
	for i := range bars {
		r := *bars[i].Rig
		r.Sensor = rig.Sensor{Kind: rig.PressureOut, Bits: 1, UnitFactor: 300e3}
		bars[i].Rig = &r
		bars[i].State.Peak.Gauge = 30e6
	}
	got, err := share.Of(bars)
	if err != nil {
		t.Fatal(err)
	}
	s := plain.Share
	want := math.Sqrt(plain.Standard*plain.Standard + s*s*(1-s)*(1-s)*2*0.00288675*0.00288675)
	if math.Abs(got.Standard/want-1) > 1e-5 || math.Abs(got.Near.Reading-0.00288675) > 1e-8 || got.DOF <= plain.DOF || got.Share != s {
		t.Errorf("%+v, want u %.6g; without %+v", got.Found, want, plain.Found)
	}
}
