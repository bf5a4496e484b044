package share_test

import (
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"sync"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/share"
	"draghand/internal/si"
	"draghand/internal/sim"
	"draghand/internal/specimen"
)

// How a person measures the bars of a trial, all ours. Bars are turned to
// 12.5 ± 0.1 mm; the micrometer is off by up to 0.02 mm, one error in all bars of
// a trial, and it is read to 0.01 mm by a hand of 4 µm.
const (
	turned     = 0.1e-3  // m, at most, either side
	micrometer = 0.02e-3 // m, at most, either side
	hand       = 0.004e-3
	reading    = 0.01e-3
	trialRate  = 100 // readings a second
)

// shop is a simulated rig and who measures: what a trial takes over from the
// one before.
type shop struct {
	rig [2]*rig.Rig // near, far
	sim sim.Sim
}

// trial is one swap on the simulated rig: n bars of one alloy on each side in
// turns, each with a strength of its own, on a rig whose true share is not what
// its file says. As of a record, only what the board sent goes on: through the
// rig's chain and an engine (noise, whole counts, a zero that is off and that
// the engine takes), with diameters as a person measured them. The answer is
// that of the verb share.
func (s *shop) trial(alloy string, seed uint64, n int) (a share.Answer, truth float64, err error) {
	random := rand.New(rand.NewPCG(seed, 77))
	truth = 0.46 + 0.08*random.Float64()
	off := micrometer * (2*random.Float64() - 1)
	var bars []share.Bar
	for i := range 2 * n {
		side := i % 2
		d := 12.5e-3 + turned*(2*random.Float64()-1)
		o := sim.Options{Rig: s.rig[0], Alloy: alloy, Seed: 1000*seed + uint64(i), TrueShare: truth, Far: side == 1, Diameter: si.Length(d), Rate: trialRate}
		if err = s.sim.Renew(o); err != nil {
			return a, truth, err
		}
		read := math.Round((d+off+hand*random.NormFloat64())/reading) * reading
		b := share.Bar{
			Record: string(rune('a' + i)), Kind: pull.Tension, Rig: s.rig[side],
			Bar: specimen.Specimen{Melt: "M1", Alloy: alloy, Simulated: true, Diameters: []si.Length{si.Length(read)}},
		}
		e := pull.New(pull.Config{Kind: b.Kind, Rig: b.Rig, Area: b.Bar.Area()})
		for end := s.sim.Truth().EndAt + 3e9; ; {
			smp, ok := s.sim.Next()
			if !ok || smp.T > end {
				break
			}
			e.Step(pull.Reading{T: smp.T, Raw: smp.Raw})
		}
		e.Step(pull.Reading{T: e.State().T, Mark: pull.End})
		b.State = e.State().Clone()
		bars = append(bars, b)
	}
	a, err = share.Of(bars)
	return a, truth, err
}

// covered counts in how many trials, seeds 1 to seeds, the true share lies
// within the stated interval.
func covered(t *testing.T, seeds, n int) (in int) {
	t.Helper()
	r, err := rig.Parse("the example rig", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	alloys := sim.Alloys()
	type outcome struct {
		a     share.Answer
		truth float64
		err   error
	}
	out := make([]outcome, seeds)
	var wg sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		wg.Go(func() {
			s := &shop{rig: [2]*rig.Rig{r.BarOn(false), r.BarOn(true)}}
			for i := w; i < seeds; i += workers {
				o := &out[i]
				o.a, o.truth, o.err = s.trial(alloys[i%len(alloys)], uint64(i+1), n)
			}
		})
	}
	wg.Wait()
	wide, missed := 0.0, 0.0
	for i, o := range out {
		if o.err != nil {
			t.Fatalf("seed %d: %v", i+1, o.err)
		}
		if math.Abs(o.a.Share-o.truth) <= o.a.Expanded {
			in++
		}
		wide += o.a.Expanded / float64(seeds)
		missed += (o.a.Share - o.truth) / float64(seeds)
	}
	p := float64(in) / float64(seeds)
	t.Logf("%d bars a side, seeds 1 to %d: %d within, %.1f ± %.1f %% (binomial, one SD); mean interval ± %.4f, mean error %+.5f",
		n, seeds, in, 100*p, 100*math.Sqrt(p*(1-p)/float64(seeds)), wide, missed)
	return in
}

// chance is how far below the coverage a count of so many trials may lie by
// chance, given as standard deviations of the binomial.
func chance(seeds int, sd float64) int {
	n := float64(seeds)
	return int(math.Ceil(n*share.Coverage - sd*math.Sqrt(n*share.Coverage*(1-share.Coverage))))
}

// The goal is held as it stands, 190 of the seeds 1 to 200, for the bars a side
// that are advised.
func TestCoverage(t *testing.T) {
	if in := covered(t, 200, share.Advised); in < 190 {
		t.Errorf("the true share lies within the stated interval in %d of 200 only", in)
	}
}

// The other numbers of bars, and what 200 seeds leave to chance: an interval that
// covers exactly 95 % comes below 190 of 200 two times in five.
func TestCoverageLong(t *testing.T) {
	if os.Getenv("DRAGHAND_LONG") == "" {
		t.Skip("works out some 45,000 simulated pulls: set DRAGHAND_LONG")
	}
	covered(t, 200, 2)
	covered(t, 200, 5)
	for _, c := range []struct{ seeds, n int }{{2000, 3}, {3000, 5}} {
		if in := covered(t, c.seeds, c.n); in < chance(c.seeds, 2) {
			t.Errorf("%d bars a side: %d of %d only", c.n, in, c.seeds)
		}
	}
}

// The interval itself, without a rig: bars that scatter by 1 to 4 % after the
// normal distribution, not alike on both sides.
func TestIntervalOfNormalBars(t *testing.T) {
	const trials = 20000
	random := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{2, 3, 5, 10} {
		in := 0
		for range trials {
			truth := 0.46 + 0.08*random.Float64()
			var x [2][]si.Stress
			for side, part := range []float64{truth, 1 - truth} {
				sd := 0.01 + 0.03*random.Float64()
				for range n {
					x[side] = append(x[side], si.Stress(300e6*(1+sd*random.NormFloat64())/part))
				}
			}
			f, err := share.Estimate(x[0], x[1])
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(f.Share-truth) <= f.Expanded {
				in++
			}
		}
		p := float64(in) / trials
		t.Logf("%d bars a side: %d of %d within, %.2f ± %.2f %%", n, in, trials, 100*p, 100*math.Sqrt(p*(1-p)/trials))
		if in < chance(trials, 3) {
			t.Errorf("%d bars a side: %d of %d only", n, in, trials)
		}
	}
}
