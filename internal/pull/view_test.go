package pull

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// The noise in slack by slackNoise. White noise within 10 %, with lone readings
// 50 SD off every 20 to 100 readings, on drifts and in whole counts; of counts of
// a third of the noise and less nothing more is lost. Hum at half the sampling
// rate is no noise of what is judged: it must not be told as more than it is.
func TestSlackNoise(t *testing.T) {
	const n = 3000 // 5 % is 3 SD of such an estimate
	for name, tc := range map[string]struct {
		of       func(i int, r *rand.Rand) float64
		low, top float64 // allowed, of an SD of 1
	}{
		"white":           {func(_ int, r *rand.Rand) float64 { return r.NormFloat64() }, 0.9, 1.1},
		"white on a ramp": {func(i int, r *rand.Rand) float64 { return r.NormFloat64() + 0.02*float64(i) }, 0.9, 1.1},
		"lone spikes": {func(i int, r *rand.Rand) float64 {
			if i%37 == 5 {
				return 50
			}
			return r.NormFloat64()
		}, 0.9, 1.1},
		"lone spikes both ways on a ramp": {func(i int, r *rand.Rand) float64 {
			if i%61 == 5 {
				return 50 * float64(1-2*(i%2))
			}
			return r.NormFloat64() + 0.02*float64(i)
		}, 0.9, 1.1},
		"counts of a third": {func(_ int, r *rand.Rand) float64 { return math.Round(3*r.NormFloat64()) / 3 }, 0.9, 1.1},
		"counts of one":     {func(_ int, r *rand.Rand) float64 { return math.Round(r.NormFloat64() + 0.3) }, 0.85, 1.15},
		"hum at half the rate": {func(i int, r *rand.Rand) float64 {
			return float64(1-2*(i%2)) + 0.1*r.NormFloat64()
		}, 0, 1.65},
	} {
		t.Run(name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(7, 7))
			var m median3
			var s slackNoise
			for i := range n {
				v := spot{t: time.Duration(i) * time.Millisecond, p: tc.of(i, r)}
				if mid, ok := m.add(v); ok {
					s.add(mid.p)
				}
			}
			if got := s.sd(); got < tc.low || got > tc.top {
				t.Errorf("noise %.3f, want %g to %g", got, tc.low, tc.top)
			} else {
				t.Logf("noise %.3f", got)
			}
		})
	}
}

// A sensor whose noise is under 1 % of what is judged is judged on the median:
// nothing of the view may change. What is judged is the top, at the least twice
// the loading threshold, in slack a tenth of that; the noise is known to some 15 %
// after the first 20 readings, and the view follows the top by a bucket of 20 ms.
func TestQuietViewIsTheMedian(t *testing.T) {
	const threshold = 0.48 // kN, 1 % of the nearest limit
	for _, rate := range []float64{10, 100, 1000} {
		for _, noise := range []float64{0, 0.006, 0.03, 0.15} { // kN
			s := newScript(loopRig(), rate, noise)
			s.hold(3*time.Second, 0).pump(10, 0, 3).ramp(20*time.Millisecond, 30, 0).hold(2*time.Second, 0)
			e := New(Config{Kind: Tension, Rig: s.rig})
			sd, medians := math.Hypot(noise, 0.045/math.Sqrt(12)), 0 // of noise and count
			for _, r := range s.out {
				before := e.phase.top
				e.Step(r)
				judged := threshold / 10
				if e.phase.now != Slack {
					judged = 0.01 * max(0.9*before*e.perPa/1e3, 2*threshold)
				}
				if 1.3*sd > judged {
					continue
				}
				medians++
				if e.view.n > 1 || e.midOK && e.level() != e.mid.p {
					t.Fatalf("%g Hz, noise %g kN at %v: a mean of %d", rate, noise, r.T, e.view.n)
				}
			}
			if medians < len(s.out)/4 {
				t.Errorf("%g Hz, noise %g kN: only %d of %d readings", rate, noise, medians, len(s.out))
			}
		}
	}
}

// Lone readings before, in and after a break leave its time where it is, to a
// reading.
func TestLoneReadingsMoveNoBreak(t *testing.T) {
	for _, rate := range []float64{100, 1000} {
		for _, noise := range []float64{0.03, 0.3} {
			for _, fall := range []time.Duration{2 * time.Millisecond, 15 * time.Millisecond, 40 * time.Millisecond} {
				s := newScript(plainRig(), rate, noise)
				s.hold(3*time.Second, 0).pump(10, 0, 3)
				at := len(s.out)
				s.ramp(fall, 30, 0).hold(3*time.Second, 0)
				plain, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
				want := plain.State().Break
				if want == nil {
					t.Fatalf("%g Hz, noise %g, %v: no break", rate, noise, fall)
				}
				for _, spike := range []float64{-30, 60} {
					for _, off := range []int{-40, -7, -3, 4 + int(fall.Seconds()*rate), 9 + int(fall.Seconds()*rate), 60} {
						rs := append([]Reading(nil), s.out...)
						rs[at+off].Raw += rawOf(s.rig, spike)
						e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, rs)
						name := fmt.Sprintf("%g Hz, noise %g, %v, %g kN %d readings off", rate, noise, fall, spike, off)
						got := e.State().Break
						if got == nil {
							t.Errorf("%s: %q", name, e.State().Outcome)
							continue
						}
						if d := got.T - want.T; d.Abs() > s.dt() {
							t.Errorf("%s: break at %v, %v without", name, got.T, want.T)
						}
					}
				}
			}
		}
	}
}
