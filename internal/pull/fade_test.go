package pull

import (
	"fmt"
	"math"
	"testing"
	"time"

	"draghand/internal/sim"
)

// TestFadeShapes holds the shapes of a force that goes away without a snap
// against what they are called: only a round beginning that does not slow down,
// or a fall that is pumped on, is a bar that fades. The rest a hand on the valve
// or a leak makes.
func TestFadeShapes(t *testing.T) {
	few := seeds(5, 8) // the longest ones take long
	type fall struct {
		name  string
		sec   float64
		f     func(x float64) float64 // of the level before, x from 0 to 1
		sure  bool                    // never faded, else always
		strok bool                    // somebody pumps on
	}
	var falls []fall
	cosine := func(x float64) float64 { return 0.5 * (1 + math.Cos(math.Pi*x)) }
	for _, sec := range []float64{60, 5, 7, 10, 15, 20, 30, 45}[:few] {
		falls = append(falls, fall{name: "half cosine", sec: sec, f: cosine})
		falls = append(falls, fall{name: "parabola", sec: sec, f: func(x float64) float64 { return 1 - x*x }})
		falls = append(falls, fall{name: "cosine, pumped", sec: sec, f: cosine, strok: true})
	}
	for _, tau := range []float64{0.2, 0.5, 1, 3, 10, 2, 20, 30}[:few] {
		falls = append(falls, fall{name: "valve, exponential", sec: 6 * tau, f: func(x float64) float64 { return math.Exp(-6 * x) }, sure: true})
		falls = append(falls, fall{name: "jet, parabola", sec: 4 * tau, f: func(x float64) float64 { return (1 - x) * (1 - x) }, sure: true})
		falls = append(falls, fall{name: "linear with a knee", sec: 4 * tau, f: func(x float64) float64 { return 1 - x }, sure: true})
	}
	wrong, all := map[string]int{}, map[string]int{}
	for _, k := range falls {
		for _, rate := range []float64{10, 100} {
			for _, noise := range []float64{0, 0.03, 0.1, 0.3} { // kN of 30
				for _, rest := range []time.Duration{0, 3 * time.Second} {
					if k.strok && rest > 0 {
						continue
					}
					s := newScript(loopRig(), rate, noise)
					s.hold(3*time.Second, 0).pump(10, 0, 3)
					if rest > 0 && k.sure {
						s.hold(rest, 30)
					}
					s.play(time.Duration(k.sec*float64(time.Second)), func(sec float64) float64 {
						v := 30 * k.f(sec/k.sec)
						if u := math.Mod(sec, 1.2); k.strok && v > 3 {
							v += 0.6 * (math.Min(u/0.5, 1) - math.Max(0, u-0.5)/0.7)
						}
						return v
					}).hold(3*time.Second, 0)
					e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
					all[k.name]++
					name := fmt.Sprintf("%s within %g s, %g Hz, noise %g kN, rest %v", k.name, k.sec, rate, noise, rest)
					switch got := e.State().Outcome; {
					case k.sure && (got == Faded || got == Broken):
						wrong[k.name]++
						t.Errorf("%s: %s", name, got)
					case !k.sure && got != Faded:
						wrong[k.name]++
						// 98 to 10 % of the shortest take fadeLeast, 5 s, or less: a
						// hand on the valve is as slow, and that is what is told.
						if must := k.sec > 8 && noise <= 0.03; must || got == Broken {
							t.Errorf("%s: %s", name, got)
						}
					}
				}
			}
		}
	}
	for name, n := range all {
		t.Logf("%-20s %3d of %3d not as they should be called", name, wrong[name], n)
	}
}

// TestSimulatedFade counts what the simulator's bars that fade are called. Never
// broken where nothing snaps; a third and more of them must be called faded, the
// rest claims less.
func TestSimulatedFade(t *testing.T) {
	r := readExample(t)
	var all []sim.Options
	for seed := range uint64(seeds(5, 100)) {
		for _, alloy := range sim.Alloys() {
			all = append(all, sim.Options{
				Rig: r, Alloy: alloy, Rate: []float64{10, 100, 1000}[seed%3], Seed: seed + 1, Script: []sim.Act{{Kind: sim.Fade}},
			})
		}
	}
	counts, others := map[Phase]int{}, 0
	pullAll(t, len(all), func(i int) simPull { return pullSim(Config{Kind: Tension}, all[i], nil) }, func(i int, p simPull) {
		got := p.e.State().Outcome
		if p.truth.Outcome != sim.OutcomeFaded {
			others++ // a brittle bar snaps before it fades
			return
		}
		counts[got]++
		if got == Broken {
			t.Errorf("%s: %s", p.name, got)
		}
	})
	n := 0
	for _, c := range counts {
		n += c
	}
	t.Logf("%d pulls, %d of them truly fade: %v; %d end otherwise", len(all), n, counts, others)
	if n == 0 || counts[Faded]*3 < n {
		t.Errorf("%d of %d called faded, want a third", counts[Faded], n)
	}
}

// TestOnlyTensionFades: a proof and a crush that go down round are let off.
func TestOnlyTensionFades(t *testing.T) {
	for _, kind := range []Kind{Proof, Crush} {
		for _, sec := range []float64{5, 10, 20, 60} {
			s := newScript(loopRig(), 100, 0.03)
			s.hold(3*time.Second, 0).pump(10, 0, 3).play(time.Duration(sec*float64(time.Second)), func(u float64) float64 {
				return 15 * (1 + math.Cos(math.Pi*u/sec))
			}).hold(3*time.Second, 0)
			e, _ := run(t, Config{Kind: kind, Rig: s.rig}, s.out)
			if got := e.State().Outcome; got == Faded || got == Broken || got == "" {
				t.Errorf("%s, round within %g s: %q", kind, sec, got)
			}
		}
	}
}
