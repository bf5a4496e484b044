package pull_test

import (
	"fmt"
	"os"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/sim"
)

// restedAt steps an engine through readings and gives when a run that nobody can end
// by hand would have ended for rest, false where it would not have.
func restedAt(e *pull.Engine, readings []pull.Reading) (at time.Duration, ok bool) {
	for _, r := range readings {
		e.Step(r)
		if e.Rested() {
			return r.T, true
		}
	}
	return 0, false
}

// campaignEngine is the engine that judges a track.
func campaignEngine(tr *track) *pull.Engine {
	cfg := pull.Config{Kind: tr.kind, Rig: tr.rig.rig, Area: tr.area, Yield: tr.yield}
	if tr.s.last {
		zero := tr.rig.raw(tr.s.offset)
		cfg.LastZero = &zero
	}
	return pull.New(cfg)
}

// settledRest is what of a rest is held to the truth: its first seconds may be the
// last of a let-off, as far as the noise hides it.
const settledRest = pull.RestFor - 5*time.Second

// mostAtRest is how much of the nearest limit may truly be on in that time, in that many
// pulls, as the docs (engine.md) tell it: the rule allows 1 %, and the first 600 keep
// well under it.
func mostAtRest(pulls int) float64 {
	if pulls <= 600 {
		return 0.004
	}
	return 0.01
}

// endsByRest says whether a run of that outcome may end by rest.
func endsByRest(p pull.Phase) bool { return p == pull.LetOff || p == pull.Unclear }

// Random pulls of the campaign, each with a rest of two minutes after it and then
// loaded again: no run ends before the better part of a minute in which truly no load was on, none of
// another outcome ends by this rule, and of those let off or unclear that have a zero
// nine of ten end by it. DRAGHAND_CAMPAIGN=N takes N pulls.
func TestCampaignRests(t *testing.T) {
	pulls := 120
	if testing.Short() {
		pulls = 40
	}
	if os.Getenv("DRAGHAND_LONG") != "" {
		pulls = 3000
	}
	pulls = max(1, envInt(t, "DRAGHAND_CAMPAIGN", pulls))
	rigs, err := campaignRigs()
	if err != nil {
		t.Fatal(err)
	}
	strength, err := strengths(rigs)
	if err != nil {
		t.Fatal(err)
	}
	const tail = 120.0 // s
	var (
		tr          track
		ended, all  [2]int // without a zero, with one
		first, last = time.Hour, time.Duration(0)
		most        float64
	)
	for i := range pulls {
		if err := tr.play(newScenario(i, 100), rigs, strength); err != nil {
			t.Fatal(err)
		}
		gone := tr.now - 4 // finish rests for 4 s
		left := tr.p[len(tr.p)-1]
		tr.segment(tail-4, func(float64) float64 { return left })
		tr.pump(0, 0.3)
		tr.out, tr.spike = tr.out[:0], tr.spike[:0]
		tr.read()
		e := campaignEngine(&tr)
		at, ok := restedAt(e, tr.out)
		st := e.State()
		if ok && !endsByRest(st.Outcome) {
			t.Errorf("%s: rested as %q", tr.s, st.Outcome)
		}
		if ok {
			for k, r := range tr.out {
				if r.T <= at-settledRest || r.T > at {
					continue
				}
				on := tr.rig.ratio(tr.p[k], tr.p[k])
				most = max(most, on)
				if on > mostAtRest(pulls) {
					t.Errorf("%s: rested at %v, with %.2f %% of the limit on at %v", tr.s, at, 100*on, r.T)
					break
				}
			}
			first, last = min(first, at-seconds(gone)), max(last, at-seconds(gone))
		}
		// The outcome of the pull itself, before it is loaded again.
		n := len(tr.out)
		for n > 0 && tr.out[n-1].T > seconds(gone+tail-1) {
			n--
		}
		e = campaignEngine(&tr)
		for _, r := range tr.out[:n] {
			e.Step(r)
		}
		st = e.State()
		if !endsByRest(st.Outcome) {
			continue
		}
		k := 0
		if st.Zero.Set {
			k = 1
		}
		if all[k]++; ok {
			ended[k]++
		} else if k == 1 {
			t.Logf("%s: %s, never rested in %g s", tr.s, st.Outcome, tail)
		}
	}
	t.Logf("%d pulls: of %d let off or unclear with a zero %d ended for rest, %.1f to %.1f s after the force went; without a zero %d of %d; the most on in a rest was %.2f %% of the limit",
		pulls, all[1], ended[1], first.Seconds(), last.Seconds(), ended[0], all[0], 100*most)
	if all[1] == 0 || float64(ended[1]) < 0.9*float64(all[1]) {
		t.Errorf("%d of %d ended for rest, want nine of ten", ended[1], all[1])
	}
}

// The simulator's scripts on the example rig: a run ends by rest a minute after the
// true end where the engine says let off or unclear, and never else.
func TestSimulatedRests(t *testing.T) {
	r := exampleRig(t)
	limit := float64(r.FirstStop().Specimen)
	n := map[pull.Phase]int{}
	for _, rate := range []float64{10, 100} {
		for _, script := range []string{
			"", "let-off", "let-off-fast", "let-off-slow", "let-off-again", "preload", "slips", "pause", "fade", "flaw", "tear", "giving", "hold",
			"let-off,spike", "let-off,preload", "let-off,dropout", "let-off,reset", "let-off,unplug", "let-off,noise", "let-off,banner", "let-off,wrap", "let-off,slips",
		} {
			for seed := uint64(1); seed <= 4; seed++ {
				name := fmt.Sprintf("%q at %g Hz, seed %d", script, rate, seed)
				s, err := sim.New(sim.Options{Rig: r, Rate: rate, Seed: seed, Fault: script})
				if err != nil {
					t.Fatal(err)
				}
				e := pull.New(pull.Config{Rig: r})
				var rested, loaded time.Duration
				for end := s.Truth().EndAt + 150*time.Second; ; {
					smp, ok := s.Next()
					if !ok || smp.T > end {
						break
					}
					if float64(smp.TrueSpecimen) > 0.01*limit {
						loaded = smp.T
					}
					r := pull.Reading{T: smp.T, Raw: smp.Raw}
					if smp.Unplug {
						r.Mark = pull.Lost
					}
					if e.Step(r); e.Rested() {
						rested = smp.T
						break
					}
				}
				out := e.State().Outcome
				n[out]++
				switch wait := rested - loaded; {
				case (rested > 0) != endsByRest(out):
					t.Errorf("%s: rested at %v as %q", name, rested, out)
				case rested > 0 && (wait < settledRest || wait > pull.RestFor+6*time.Second):
					t.Errorf("%s: rested %v after the last load, want a minute", name, wait)
				}
			}
		}
	}
	t.Logf("outcomes %v", n)
	if n[pull.LetOff] == 0 || n[pull.Unclear] == 0 || n[pull.Broken] == 0 || n[pull.Faded] == 0 {
		t.Errorf("outcomes %v: one is missing", n)
	}
}
