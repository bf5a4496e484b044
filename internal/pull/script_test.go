package pull

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// The rig of all tests: simulated, a 250 kN ram of 42 cm² under an even two-sided
// path, link bars of 48 kN a side. The loop rig reads a 0 to 700 bar transducer
// of 4 to 20 mA over 250 Ω with 12 bits of 5 V: 0.2136 bar a count.
func loopRig() *rig.Rig {
	r := plainRig()
	r.Sensor = rig.Sensor{
		Kind: rig.CurrentLoop, Low: 0, High: 700 * si.Bar, SigLow: 4e-3, SigHi: 20e-3,
		Shunt: 250, Bits: 12, Reference: 5, Divisor: 4096, Divider: 1,
	}
	return r
}

// plainRig sends bar as a number, without counts.
func plainRig() *rig.Rig {
	return &rig.Rig{
		Name:   "simulated test rig",
		Ram:    rig.Ram{Area: 42 * si.SquareCM, RatedForce: 250 * si.Kilonewton, Role: rig.SensorRam},
		Sensor: rig.Sensor{Kind: rig.PressureOut, Low: 0, High: 700 * si.Bar, UnitFactor: si.Bar},
		Path:   rig.Path{Kind: rig.TwoSided, Share: 0.5},
		Limits: []rig.Limit{
			{Name: "ram", Kind: rig.Rated, At: rig.AtRam, Force: 250 * si.Kilonewton, Factor: 1},
			{Name: "transducer", Kind: rig.PressureLimit, At: rig.AtGauge, Pressure: 700 * si.Bar, Factor: 1},
			{Name: "link bar, specimen side", Kind: rig.Rated, At: rig.AtSpecimen, Force: 48 * si.Kilonewton, Factor: 1},
			{Name: "link bar, far side", Kind: rig.Rated, At: rig.AtFar, Force: 48 * si.Kilonewton, Factor: 1},
			{Name: "pins", Kind: rig.Unknown},
		},
		Alarm: rig.Alarm{Caution: 0.75, Warning: 0.90, Stop: 1.00},
		Units: si.Metric,
	}
}

// kN on the specimen as the raw number of a rig.
func rawOf(r *rig.Rig, kN float64) float64 {
	bar := kN * 1e3 / (0.5 * 42e-4) / si.Bar
	if r.Sensor.Kind == rig.CurrentLoop {
		amp := 4e-3 + 16e-3*bar/700
		return math.Round(amp * 250 / 5 * 4096)
	}
	return bar
}

// script builds readings from a force over time.
type script struct {
	rig   *rig.Rig
	rate  float64 // Hz
	noise float64 // SD in kN on the specimen
	rng   *rand.Rand
	t     time.Duration
	out   []Reading
}

func newScript(r *rig.Rig, rate, noise float64) *script {
	return &script{rig: r, rate: rate, noise: noise, rng: rand.New(rand.NewPCG(1, 2))}
}

func (s *script) dt() time.Duration { return time.Duration(float64(time.Second) / s.rate) }

// play appends readings of the force f (kN at seconds from now) for d.
func (s *script) play(d time.Duration, f func(sec float64) float64) *script {
	from := s.t
	for s.t-from < d {
		kN := f((s.t - from).Seconds())
		if s.noise > 0 {
			kN += s.noise * s.rng.NormFloat64()
		}
		s.out = append(s.out, Reading{T: s.t, Raw: rawOf(s.rig, kN)})
		s.t += s.dt()
	}
	return s
}

func (s *script) hold(d time.Duration, kN float64) *script {
	return s.play(d, func(float64) float64 { return kN })
}

// ramp goes from one force to another within d.
func (s *script) ramp(d time.Duration, from, to float64) *script {
	return s.play(d, func(t float64) float64 { return from + (to-from)*t/d.Seconds() })
}

// pump goes up in strokes of 1.2 s: 0.5 s of push, then a rest with 4 % of the
// stroke's gain leaking back.
func (s *script) pump(strokes int, from, gain float64) *script {
	for i := range strokes {
		lo := from + gain*float64(i)
		s.play(1200*time.Millisecond, func(t float64) float64 {
			if t < 0.5 {
				return lo + 1.04*gain*t/0.5
			}
			return lo + 1.04*gain - 0.04*gain*(t-0.5)/0.7
		})
	}
	return s
}

func (s *script) mark(m Mark) *script {
	s.out = append(s.out, Reading{T: s.t, Mark: m})
	return s
}

// raws appends readings as sent.
func (s *script) raws(raw ...float64) *script {
	for _, v := range raw {
		s.out = append(s.out, Reading{T: s.t, Raw: v})
		s.t += s.dt()
	}
	return s
}

// run steps an engine through readings and keeps all events.
func run(t *testing.T, cfg Config, rs []Reading) (*Engine, []Event) {
	t.Helper()
	e := New(cfg)
	var evs []Event
	for _, r := range rs {
		evs = append(evs, e.Step(r)...)
	}
	return e, evs
}

func phasesOf(evs []Event) []Phase {
	var out []Phase
	for _, ev := range evs {
		if ev.Kind == EvPhase {
			out = append(out, ev.Phase)
		}
	}
	return out
}

func eventsOf(evs []Event, k EventKind) []Event {
	var out []Event
	for _, ev := range evs {
		if ev.Kind == k {
			out = append(out, ev)
		}
	}
	return out
}
