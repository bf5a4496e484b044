package live

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/calib"
	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/sim"
)

func exampleRig(t *testing.T) *rig.Rig {
	t.Helper()
	r, err := rig.Parse("the example rig", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	r.Units = si.Metric
	return r
}

// bench is a run on a simulated rig, in a bubble of its own time.
type bench struct {
	*Taking
	t     *testing.T
	sim   *sim.Sim
	saved []calib.Run
}

// begin opens the simulated rig of o, whose rig is r.
func begin(t *testing.T, o sim.Options, run calib.Run, f func(*sim.Sim) feed.Feed) *bench {
	t.Helper()
	s, err := sim.New(o)
	if err != nil {
		t.Fatal(err)
	}
	b := &bench{t: t, sim: s}
	if f == nil {
		f = func(s *sim.Sim) feed.Feed { return sim.NewFeed(s, 1) }
	}
	b.Taking, err = New(Options{
		Feed: f(s), Run: run,
		Reckon: func(r calib.Run) (*calib.Answer, error) {
			if len(r.Points) < 3 {
				return nil, errors.New("fewer than three points")
			}
			return &calib.Answer{Suspect: len(r.Points)}, nil
		},
		Save: func(r calib.Run, _ *calib.Answer) (string, error) {
			b.saved = append(b.saved, r)
			return "a path", nil
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(b.Close)
	return b
}

// await waits in the bubble's time.
func (b *bench) await(what string, most time.Duration, ok func(*View) bool) *View {
	b.t.Helper()
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for begun := time.Now(); ; <-tick.C {
		v := b.View()
		if ok(v) {
			return v
		}
		if time.Since(begun) > most {
			b.t.Fatalf("no %s within %s: %+v", what, most, v)
		}
	}
}

func fresh(v *View) bool { return v.Steady != nil && !v.Taken }

// Each load is found by itself, up and down, its point told from its direction and
// run, and the zeros before and after.
func TestTakesAllPoints(t *testing.T) {
	for name, c := range map[string]struct {
		role rig.Role
		at   rig.Place
		far  bool
		o    sim.Options
		per  func(rising bool) float64 // Pa at the gauge for one of the reference
	}{
		"ram, sensor": {rig.SensorRam, rig.AtRam, false, sim.Options{TrueArea: 41.6 * si.SquareCM, TrueFriction: 0.015}, func(up bool) float64 {
			return 1 / 41.6e-4 / (1 + sign(up)*0.015)
		}},
		"ram, actuator": {rig.ActuatorRam, rig.AtRam, false, sim.Options{TrueArea: 41.6 * si.SquareCM, TrueFriction: 0.015}, func(up bool) float64 {
			return 1 / 41.6e-4 / (1 - sign(up)*0.015)
		}},
		"specimen": {rig.SensorRam, rig.AtSpecimen, false, sim.Options{TrueShare: 0.512}, func(bool) float64 { return 1 / 42e-4 / 0.512 }},
		"far":      {rig.SensorRam, rig.AtSpecimen, true, sim.Options{TrueShare: 0.512}, func(bool) float64 { return 1 / 42e-4 / 0.488 }},
		"gauge":    {rig.SensorRam, rig.AtGauge, false, sim.Options{SensorGain: 0.01}, func(bool) float64 { return 1.01 }},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				r := exampleRig(t)
				r.Ram.Role = c.role
				o := c.o
				o.Rig, o.Kind, o.On, o.Far, o.Wait, o.Seed = r, sim.Steps, c.at, c.far, true, 7
				b := begin(t, o, calib.Run{Rig: r, At: c.at, Far: c.far}, nil)
				v := b.await("zero", 4*time.Second, func(v *View) bool { return v.HaveZero })
				if off := v.Zero - b.sim.Truth().ZeroOffset; math.Abs(float64(off)) > 0.1*si.Bar {
					t.Errorf("the zero is off by %g Pa", float64(off))
				}
				for i, k := range b.sim.Truth().Steps {
					v := b.await("standstill", 15*time.Second, fresh)
					if want := map[bool]calib.Direction{true: calib.Falling, false: calib.Rising}[k.Falling]; v.Going != want || v.Steady.Direction != want {
						t.Errorf("load %d: %s, want %s", i+1, v.Going, want)
					}
					text := si.Force(k.Reference).Text(si.Metric)
					if c.at == rig.AtGauge {
						text = si.Pressure(k.Reference).Text(si.Metric)
					}
					if err := b.Take(text); err != nil {
						t.Fatalf("load %d: %v", i+1, err)
					}
					if v := b.View(); !v.Taken || (v.Answer != nil) != (i >= 2) {
						t.Errorf("after point %d: taken %v, answer %v", i+1, v.Taken, v.Answer)
					}
					if err := b.Take(text); err == nil || !strings.Contains(err.Error(), "same standstill") {
						t.Errorf("the same load was taken twice: %v", err)
					}
				}
				v = b.await("zero after", 15*time.Second, func(v *View) bool { return v.Run.ZeroAfter != nil })
				for i, p := range v.Run.Points {
					k := b.sim.Truth().Steps[i]
					want := k.Reference * c.per(!k.Falling)
					// The reference is off by 0.05 % and read to 0.02 % (SD), 300 readings of
					// SD 0.26 bar and the zero know 0.02 bar; friction does not turn at once.
					if off := float64(p.Gauge) - want; math.Abs(off) > 0.0015*want+0.06*si.Bar {
						t.Errorf("point %d: %.5g bar, want %.5g", i+1, p.Gauge/si.Bar, want/si.Bar)
					}
					if p.Run != 1 || p.Readings < 290 || p.SD <= 0 || p.Reference != k.Reference && math.Abs(p.Reference/k.Reference-1) > 1e-3 {
						t.Errorf("point %d: %+v", i+1, p)
					}
				}
				if path, err := b.Save(); err != nil || path != "a path" || b.View().Saved != "a path" || len(b.saved[0].Points) != 5 || b.saved[0].ZeroAfter == nil {
					t.Errorf("saved as %q, %v", path, err)
				}
			})
		})
	}
}

func sign(up bool) float64 {
	if up {
		return 1
	}
	return -1
}

// What cannot be a point is refused with what to do, and a strange reference is
// taken where it is said again.
func TestRefusals(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := exampleRig(t)
		b := begin(t, sim.Options{Rig: r, Kind: sim.Steps, On: rig.AtRam, Wait: true, Seed: 3, Loads: []float64{4e3}}, calib.Run{Rig: r, At: rig.AtRam}, nil)
		refused := func(err error, want string) {
			t.Helper()
			if err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%v, want %q", err, want)
			}
		}
		refused(b.Take("10 kN"), "no zero yet")
		b.await("zero", 4*time.Second, func(v *View) bool { return v.HaveZero })
		refused(b.Take("10 kN"), "bring the load on first")
		refused(b.Drop(0), "none is taken yet")
		b.await("pumping", 5*time.Second, func(v *View) bool { return v.Live > 4*si.Bar && v.Moving != "" })
		refused(b.Take("10 kN"), "it rises, by")
		refused(b.Zero(), "it rises, by")
		v := b.await("standstill", 10*time.Second, fresh)
		if math.Abs(float64(v.Force)-4e3) > 130 { // ten readings of SD 0.26 bar
			t.Errorf("the rig tells %g N", float64(v.Force))
		}
		refused(b.Zero(), "it would hide")
		for _, c := range [][2]string{
			{"", "no number"},
			{"10", "no unit"},
			{"24 bar", `a force with its unit, such as "20 kN"`},
			{"1000 kg", "is a mass"},
			{"-10 kN", "of nothing"},
			{"0 N", "of nothing"},
			{"31 kN", "say it again"},
		} {
			refused(b.Take(c[0]), c[1])
		}
		refused(b.Take("31 kN"), "say it again") // a key pressed twice
		later := time.Now()
		b.await("a second", 2*time.Second, func(*View) bool { return time.Since(later) > 1100*time.Millisecond })
		if err := b.Take(" 31   kN"); err != nil {
			t.Errorf("said again: %v", err)
		}
		refused(b.Drop(1), "there is no point 2: they are 1 to 1")
		before := b.View()
		if err := b.Drop(0); err != nil || len(b.View().Run.Points) != 0 || len(before.Run.Points) != 1 {
			t.Errorf("dropped: %v, %d left; the view before has %d", err, len(b.View().Run.Points), len(before.Run.Points))
		}
	})
}

// After the load was off a new round begins, whose points bear its number.
func TestNewRound(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := exampleRig(t)
		points := []calib.Point{{Reference: 10e3, Gauge: 24 * si.Bar, Direction: calib.Rising, Run: 1}}
		b := begin(t, sim.Options{Rig: r, Kind: sim.Steps, On: rig.AtRam, Wait: true, Loads: []float64{20e3, 40e3}}, calib.Run{Rig: r, At: rig.AtRam, Points: points}, nil)
		v := b.await("standstill", 15*time.Second, fresh)
		if v.Steady.Run != 2 {
			t.Errorf("round %d", v.Steady.Run)
		}
		if err := b.Take("20 kN"); err != nil {
			t.Fatal(err)
		}
		if n := len(b.View().Run.Points); n != 2 {
			t.Errorf("%d points", n)
		}
		// the same noise, and as many readings, as those of the point
		p := b.View().Run.Points[1]
		if u, want := float64(b.View().Run.ZeroU), float64(p.SD)/math.Sqrt(float64(p.Readings)); !(u > 0.7*want && u < 1.3*want) {
			t.Errorf("the zero is known to %v Pa, want about %v", u, want)
		}
		for _, want := range []int{1, 0} { // one of two; with none left the run begins anew
			if err := b.Drop(0); err != nil || b.View().Run.Dropped != want {
				t.Errorf("dropped: %v, %d counted, want %d", err, b.View().Run.Dropped, want)
			}
		}
	})
}

// A source that goes away, one that fails, a wire that comes off, a limit that is
// reached: each is told, and no point is taken of it.
func TestTrouble(t *testing.T) {
	for name, c := range map[string]struct {
		fault string
		loads []float64
		want  func(*View) bool
		take  string
	}{
		"unplugged": {"unplug", nil, func(v *View) bool { return strings.Contains(v.Fault, "went away") }, "went away"},
		"wire off":  {"open", nil, func(v *View) bool { return v.Signal == rig.Open && v.Steady == nil }, "cannot be read"},
		"clipped":   {"clipped", nil, func(v *View) bool { return v.Signal == rig.AboveBand }, "above range"},
		"ended":     {"end", nil, func(v *View) bool { return strings.Contains(v.Fault, "has ended") }, "has ended"},
		"limit":     {"", []float64{100e3}, func(v *View) bool { return len(v.Alarms) > 0 && v.Alarms[0].Level == pull.Stop }, ""},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				r := exampleRig(t)
				b := begin(t, sim.Options{Rig: r, Kind: sim.Steps, On: rig.AtRam, Hold: 8 * time.Second, Loads: c.loads, Fault: c.fault}, calib.Run{Rig: r, At: rig.AtRam}, nil)
				b.await("what goes wrong", time.Minute, c.want)
				if c.take != "" {
					if err := b.Take("20 kN"); err == nil || !strings.Contains(err.Error(), c.take) {
						t.Errorf("%v, want %q", err, c.take)
					}
				}
				if c.fault == "unplug" {
					b.await("way back", 10*time.Second, func(v *View) bool { return v.Fault == "" && v.Steady != nil })
				}
			})
		})
	}
}

type absent struct{}

func (absent) Name() string { return "serial:nowhere" }

func (absent) Run(context.Context, func(feed.Chunk)) error {
	return errors.New("there is no such port")
}

func TestNoSource(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := exampleRig(t)
		b := begin(t, sim.Options{Rig: r, Kind: sim.Steps}, calib.Run{Rig: r, At: rig.AtRam}, func(*sim.Sim) feed.Feed { return absent{} })
		b.await("fault", time.Second, func(v *View) bool { return strings.Contains(v.Fault, "no such port") })
	})
	if _, err := New(Options{}); err == nil {
		t.Error("a run with no rig")
	}
}
