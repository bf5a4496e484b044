package pull

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"draghand/internal/sim"
)

// off is what several pulls make of one figure, in SDs of the noise.
type off []float64

func (o off) mean() float64 {
	sum := 0.0
	for _, v := range o {
		sum += v
	}
	return sum / float64(len(o))
}

func (o off) String() string {
	s := slices.Clone(o)
	slices.Sort(s)
	return fmt.Sprintf("%+.2f (5 %% %+.2f, 95 %% %+.2f)", o.mean(), s[len(s)/20], s[len(s)-1-len(s)/20])
}

// TestBiasOfAFlatTop holds the expected excess of the drag hand over a flat top
// of so many readings against what it truly is. The load rises there within one
// reading and goes away within one, so that nothing but the top can be largest.
//
// The mean of what is left must lie within 0.35 SD: the formula takes n medians
// for n/2 independent ones. Of fewer than 30 readings the smoothing of 0.1 s lets
// the top count in part only.
func TestBiasOfAFlatTop(t *testing.T) {
	const pulls = 400
	for _, n := range []int{30, 100, 300, 1000} {
		var raw, left off
		for seed := range uint64(seeds(60, pulls)) {
			s := newScript(plainRig(), 100, 0.3)
			s.rng = rand.New(rand.NewPCG(seed, 99))
			s.hold(5*time.Second, 0).ramp(time.Second, 10, 20).hold(time.Duration(n)*s.dt(), 30).hold(time.Second, 0)
			e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
			st := e.State()
			zero := float64(st.Zero.Pressure) * e.perPa // the true one is nothing
			d := (float64(st.Peak.Specimen) + zero - 30e3) / 300
			raw, left = append(raw, d), append(left, d-float64(st.PeakBias)/300)
		}
		t.Logf("%4d readings: drag hand less truth %s SD, less its bias %s SD", n, raw, left)
		if math.Abs(left.mean()) > 0.35 {
			t.Errorf("%d readings: %.2f SD are left in the mean", n, left.mean())
		}
	}
}

// TestBiasOfSimulatedPulls is the same of whole simulated pulls with strokes, at
// 0.1 to 9 % noise.
func TestBiasOfSimulatedPulls(t *testing.T) {
	r := readExample(t)
	for _, rate := range []float64{100, 1000} {
		for _, noise := range []float64{0.001, 0.003, 0.01, 0.03, 0.09} {
			n := seeds(4, 20)
			if rate > 100 {
				n = seeds(1, 8)
			}
			var all []sim.Options
			for seed := range uint64(n) {
				for _, alloy := range sim.Alloys() {
					all = append(all, sim.Options{Rig: r, Alloy: alloy, Rate: rate, Noise: noise, Seed: seed + 1})
				}
			}
			var raw, left off
			pullAll(t, len(all), func(i int) simPull { return pullSim(Config{Kind: Tension}, all[i], nil) }, func(i int, p simPull) {
				st := p.e.State()
				sd := float64(p.truth.NoiseSD) * p.e.perPa
				zero := float64(st.Zero.Pressure-p.truth.ZeroOffset) * p.e.perPa
				d := (float64(st.Peak.Specimen-p.truth.PeakSpecimen) + zero) / sd
				raw, left = append(raw, d), append(left, d-float64(st.PeakBias)/sd)
			})
			t.Logf("%4g Hz, noise %.1f %%: drag hand less truth %s SD, less its bias %s SD", rate, 100*noise, raw, left)
			if most := 1.0; math.Abs(left.mean()) > most {
				t.Errorf("%g Hz, noise %g: %.2f SD are left in the mean, %.1f allowed", rate, noise, left.mean(), most)
			}
		}
	}
}
