package compare_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// A dial read by eye hides scatter finer than its division: bars within one are not
// alike, and the bound takes the division into the scatter where that is smaller. By
// hand of checks.md 7.2, SD 0.892749 ksi: with a step of 2.5465 ksi (500 lbf on 0.5 in)
// √(0.797 + 6.484662/12) = 1.156455, 44.82 − 3.406631·1.156455 = 40.880381.
func TestBoundOfCoarseReadings(t *testing.T) {
	for name, row := range map[string]struct {
		step   float64 // ksi
		of     int     // how many bars have it
		sd, at float64 // ksi
		told   bool
	}{
		"none":                {0, 0, 0.892749, 41.778733, false},
		"finer than the SD":   {0.89, 5, 0.892749, 41.778733, false},
		"coarser than the SD": {2.5465, 5, 1.156455, 40.880381, true},
		"of one bar alone":    {2.5465, 1, 1.156455, 40.880381, true},
	} {
		all := each(worked("M1"), func(i int, p *compare.Pull) {
			if i < row.of {
				p.ByEye, p.Step = true, si.Stress(row.step*si.KSI)
			}
		})
		c := compare.Of(all, byMelt(), compare.NewOptions())
		g := &c.Groups[0]
		if g.Alike || g.Bound == nil || g.CountOn == nil {
			t.Errorf("%s: %+v", name, g)
			continue
		}
		near(t, name+": SD of the bound", float64(g.Bound.SD)/si.KSI, row.sd, 1e-5)
		near(t, name+": bound", float64(g.Bound.At)/si.KSI, row.at, 1e-4)
		near(t, name+": SD", g.Strength.SD/si.KSI, 0.892749, 1e-5)
		text := words(&c, si.US)
		js, err := json.Marshal(c.JSON())
		if err != nil {
			t.Fatal(err)
		}
		if !row.told {
			hasNot(t, text, "what can be read", "with caution")
			has(t, string(js), `"step_pa":null`)
			continue
		}
		has(t, text, "k 3.41 times 1.16 ksi, the SD with the step of the readings, 2.55 ksi, taken into it", "with caution",
			"CAUTION: the scatter is hardly larger than what can be read")
		has(t, g.CountOn.Doubtful, "the scatter is hardly larger than what can be read")
		has(t, string(js), `"sd_pa":79734`, `"step_pa":175574`)
	}
}

// Readings by eye are alike where they are all the same, and not where one is a
// division off.
func TestAlikeByEye(t *testing.T) {
	for last, alike := range map[float64]bool{44: true, 44 + 1/si.KSI: true, 44.09: false, 44.1: false} {
		all := each(bars("M1", 44, 44, 44, 44, last), func(_ int, p *compare.Pull) { p.ByEye, p.Step = true, 0.1*si.KSI })
		c := compare.Of(all, byMelt(), compare.NewOptions())
		if g := &c.Groups[0]; g.Alike != alike || (g.Bound == nil) != alike {
			t.Errorf("%v: %+v", last, g)
		}
	}
}

// What would help of few bars is reckoned with the scatter that the bound takes.
func TestMoreBarsOfCoarseReadings(t *testing.T) {
	all := each(bars("M1", 10, 10, 13), func(_ int, p *compare.Pull) { p.ByEye, p.Step = true, 3*si.KSI })
	c := compare.Of(all, byMelt(), compare.NewOptions())
	// SD √3, with the step √(3 + 9/12) = 1.936492; 11 − 3.406631·1.936492 − 0.68 = 3.723
	has(t, words(&c, si.US), "of 5 the factor k is 3.41 and not 6.16, which would give about 3.7 ksi")
}

// Of bars read to a coarse division the bound holds at least as often as it says: of
// each 1,000 seeded melts read by a dial whose mark may lie anywhere beside the mean.
// Those that all read alike get none and promise nothing.
func TestCoverageOfCoarseReadings(t *testing.T) {
	const melts, z = 1000, 1.2815515655446004
	rng := rand.New(rand.NewPCG(7, 2026))
	for _, n := range []int{3, 5, 8} {
		for _, ratio := range []float64{0.9, 1.5, 4} { // division over SD
			name := fmt.Sprintf("%d bars, a division of %g SD", n, ratio)
			const sd = 5e6
			step := ratio * sd
			held, bounds := 0, 0
			for range melts {
				mean := 300e6 + rng.Float64()*step
				all := bars("M1", make([]float64, n)...)
				each(all, func(_ int, p *compare.Pull) {
					p.Strength = si.Stress(math.Round((mean+sd*rng.NormFloat64())/step) * step)
					p.ByEye, p.Step = true, si.Stress(step)
				})
				c := compare.Of(all, byMelt(), compare.NewOptions())
				if b := c.Groups[0].Bound; b != nil {
					bounds++
					if float64(b.At) <= mean-z*sd {
						held++
					}
				}
			}
			share := float64(held) / float64(bounds)
			if least := 0.95 - 3*math.Sqrt(0.95*0.05/float64(bounds)); bounds < melts/20 || share < least {
				t.Errorf("%s: the bound holds in %.4f of %d, want %.4f", name, share, bounds, least)
			}
			t.Logf("%s: %.3f of %d", name, share, bounds)
		}
	}
}

// A step that is no number takes part in nothing.
func TestStepThatIsNone(t *testing.T) {
	for _, step := range []float64{math.NaN(), math.Inf(1), -1} {
		c := compare.Of(each(worked("M1"), func(_ int, p *compare.Pull) { p.Step, p.ByEye = si.Stress(step), true }), byMelt(), compare.NewOptions())
		if text := words(&c, si.US); strings.Contains(text, "NaN") || c.Groups[0].Bound.Step != 0 {
			t.Errorf("%v: %s", step, text)
		}
	}
}
