package sim

import (
	"errors"
	"math"
	"math/rand/v2"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// The press and the rig around the bar. All figures are ours, of the size one
// meets on a small shop press.
const (
	step         = time.Millisecond // of the mechanics, whatever the sampling rate
	rigStiffness = 12e6             // N/m at the ram: oil, frame and fixture in series, where the rig file gives none
	leakTime     = 25.0             // s: a held force sinks to 1/e past the pump's valves
	backTime     = 0.06             // s: the valve closes, some oil goes back
	backShare    = 0.03             // of a stroke, lost while the valve closes
	maxPull      = 60 * time.Second // of pumping; the strokes are scaled long before
)

// stroke is one pump stroke of the person at the lever.
type stroke struct {
	push, pause float64 // s
	size        float64 // of the mean stroke
}

func strokes(r *rand.Rand) []stroke {
	s := make([]stroke, 96)
	for i := range s {
		s[i] = stroke{push: 0.6 + 0.3*r.Float64(), pause: 0.25 + 0.1*r.Float64(), size: 1 + 0.24*(r.Float64()-0.5)}
	}
	return s
}

// state is the rig at one step.
type state struct {
	specimen, ram float64 // N
	gauge         float64 // Pa
	phase         Phase
}

// course is the whole pull, step by step until the break, a formula after it.
type course struct {
	idle  time.Duration
	steps []state // at idle + i·step; the last is the instant before the break
	truth Truth

	area     float64 // of the ram, m²
	friction float64
	role     rig.Role
	rest     float64 // N on the ram after the break: the moving parts
	fall     float64 // s
	ringAmp  float64 // N
	ringFreq float64 // Hz
}

// rigModel is what the mechanics know of the rig.
type rigModel struct {
	area, friction, share float64
	stiffness             float64
	weight                float64 // N on the ram, negative where it helps the press
	slack                 float64 // m of ram travel
	toe                   float64 // N: the force at which slack is taken up
	role                  rig.Role
}

// runPress pumps the bar to its break. The mean stroke is chosen so that the
// break comes 11.5 to 18.5 s after the first stroke, as if the pump suited the bar.
func runPress(r *rig.Rig, b bar, rng *rand.Rand, idle time.Duration) (course, error) {
	m := rigModel{
		area: float64(r.Ram.Area), friction: r.Ram.Friction, share: r.Path.Share,
		stiffness: rigStiffness, role: r.Ram.Role, weight: float64(r.Path.Weight),
		slack: 0.8e-3 + 0.6e-3*rng.Float64(),
		toe:   min(1500, 0.03*b.peakForce/r.Path.Share),
	}
	if r.Drive != nil && r.Drive.Stiffness > 0 {
		m.stiffness = r.Drive.Stiffness
	}
	if r.Path.RamPushes == "down" {
		m.weight = -m.weight
	}
	c := course{idle: idle, area: m.area, friction: m.friction, role: m.role}
	c.fall = 1e-3 + 2e-3*rng.Float64()
	c.ringFreq = 45 + 35*rng.Float64()
	target := 12.5 + 5*rng.Float64() // s
	pump := strokes(rng)

	// First guess: the travel to the break spread over the strokes there is
	// time for; then corrected by what the leaks took.
	travel := m.slack + b.peakForce/m.share/m.stiffness + m.share*(b.fracture*b.length+b.peakForce/b.stiffness())
	size := 1.15 * travel / (target / 1.05)
	c.steps = make([]state, 0, 20*int(time.Second/step))
	for range 8 {
		if !c.pump(m, b, pump, size) {
			size *= 2
			continue
		}
		took := float64(len(c.steps)-1) * step.Seconds()
		if math.Abs(took-target) < 1 {
			c.finish(m, b)
			return c, nil
		}
		size *= took / target
	}
	return course{}, errors.New("simulated press: the bar could not be brought to a break in time; try another diameter")
}

// pump runs the mechanics until the bar breaks; false where it does not.
func (c *course) pump(m rigModel, b bar, pump []stroke, size float64) bool {
	dt := step.Seconds()
	compliance := 1/m.stiffness + m.share*m.share/b.stiffness()
	c.steps = append(c.steps[:0], state{phase: Slack})
	var (
		u, force float64 // ram travel (m) and ram force but for the weight (N)
		strain   float64 // plastic, engineering
		gauge    float64
		side     float64 // where in its friction band an actuator ram is, −1 to 1
		at       float64 // s into the present stroke
		i        int
	)
	flow, slope := b.flow(strain)
	for n := 1; n < int(maxPull/step); n++ {
		k := pump[i%len(pump)]
		before := at
		at += dt
		u += size * k.size * (lever(at/k.push) - lever(before/k.push))
		if at > k.push && at <= k.push+backTime {
			u -= backShare * size * k.size * dt / backTime
		}
		u = max(0, u-force*compliance*dt/leakTime)
		if at >= k.push+k.pause {
			at, i = 0, i+1
		}

		last := force
		force = m.elastic(u-m.share*strain*b.length, compliance, force)
		if m.share*force > flow {
			// The bar stretches until the springs in series and the flow curve
			// agree again. Where the curve falls faster than the springs relax,
			// nothing holds it: the bar snaps.
			stiff := m.share * m.share * b.length / m.slope(force, compliance)
			if slope+stiff <= 0.02*stiff {
				c.truth.Strokes, c.truth.Elongation = i+1, strain
				return true
			}
			strain += (m.share*force - flow) / (slope + stiff)
			flow, slope = b.flow(strain)
			force = flow / m.share
		}
		ram := max(0, force+m.weight*min(1, u/m.slack))
		gauge, side = m.oil(gauge, side, ram, force-last)
		c.steps = append(c.steps, state{specimen: m.share * force, ram: ram, gauge: gauge, phase: m.phase(b, force, strain)})
		if strain >= b.fracture {
			c.truth.Strokes, c.truth.Elongation = i+1, b.fracture
			return true
		}
	}
	return false
}

// lever is the travel of a stroke as a fraction, at the fraction x of its
// time: it starts and ends at rest.
func lever(x float64) float64 {
	x = min(1, max(0, x))
	return x - math.Sin(2*math.Pi*x)/(2*math.Pi)
}

// elastic solves y = F·compliance + slack·(1−exp(−F/toe)) for F, from a guess.
// The right side bends downwards, so Newton's steps come from below.
func (m rigModel) elastic(y, compliance, guess float64) float64 {
	// Past 16 toes the exponential is a ten millionth: a straight line.
	if f := (y - m.slack) / compliance; f > 16*m.toe {
		return f
	}
	if y <= 0 {
		return 0
	}
	f := guess
	for range 20 {
		e := math.Exp(-f / m.toe)
		df := (y - f*compliance - m.slack*(1-e)) / (compliance + m.slack/m.toe*e)
		f = max(0, f+df)
		if math.Abs(df) < 0.1 { // N; the next step would be far less still
			break
		}
	}
	return f
}

// slope is how far (m) the ram travels for one more newton.
func (m rigModel) slope(f, compliance float64) float64 {
	if f > 16*m.toe {
		return compliance
	}
	return compliance + m.slack/m.toe*math.Exp(-f/m.toe)
}

// oil is the gauge pressure for a ram force. Seal friction opposes motion: a
// sensor ram is pushed in, so its oil carries less than the force while it
// rises and more while it falls, and keeps its pressure in between (a play).
// An actuator ram pushes itself: the other way round.
func (m rigModel) oil(gauge, side, ram, change float64) (float64, float64) {
	f := m.friction
	if m.role != rig.ActuatorRam {
		low, high := ram/(m.area*(1+f)), ram/(m.area*(1-f))
		return min(max(gauge, low), high), side
	}
	side = min(1, max(-1, side+change/max(1, 0.002*ram)))
	return ram / (m.area * (1 - side*f)), side
}

func (m rigModel) phase(b bar, force, strain float64) Phase {
	switch {
	case strain > b.uniform:
		return Necking
	case strain > 1e-5: // a hundredth of a hair: rounding is no yield
		return Plastic
	case force > 2*m.toe:
		return Elastic
	}
	return Slack
}

// finish sets down the truth of the pull.
func (c *course) finish(m rigModel, b bar) {
	peak := 0
	for i, s := range c.steps {
		if s.specimen > c.steps[peak].specimen {
			peak = i
		}
	}
	top, end := c.steps[peak], c.steps[len(c.steps)-1]
	c.rest = max(0, m.weight)
	c.ringAmp = 0.015 * end.ram
	c.truth = Truth{
		Area:         si.Area(b.area),
		PeakAt:       c.idle + time.Duration(peak)*step,
		PeakSpecimen: si.Force(top.specimen),
		PeakRam:      si.Force(top.ram),
		PeakGauge:    si.Pressure(top.gauge),
		BreakAt:      c.idle + time.Duration(len(c.steps)-1)*step,
		BreakForce:   si.Force(end.specimen),
		Fall:         time.Duration(c.fall * 1e9),
		Strength:     si.Stress(top.specimen / b.area),
		Yield:        b.yield(),
		Elongation:   c.truth.Elongation,
		Strokes:      c.truth.Strokes,
	}
}

// at is the rig at a time of the pull, the sensor left out.
func (c *course) at(t time.Duration) Sample {
	smp := Sample{T: t, Phase: Idle}
	since := t - c.idle
	if since <= 0 {
		return smp
	}
	i := int(since / step)
	if i >= len(c.steps)-1 {
		c.after(&smp, (since - time.Duration(len(c.steps)-1)*step).Seconds())
		return smp
	}
	a, b := &c.steps[i], &c.steps[i+1]
	x := float64(since%step) / float64(step)
	smp.TrueSpecimen = si.Force(a.specimen + x*(b.specimen-a.specimen))
	smp.TrueRam = si.Force(a.ram + x*(b.ram-a.ram))
	smp.TruePressure = si.Pressure(a.gauge + x*(b.gauge-a.gauge))
	smp.Phase = b.phase
	return smp
}

// after is the rig t seconds past the break: the specimen's force falls along
// a half cosine, the rig springs back and rings out.
func (c *course) after(smp *Sample, t float64) {
	const (
		ringTime = 0.025  // s, decay of the ringing
		vacuum   = -0.9e5 // Pa: oil does not pull below the atmosphere
	)
	end := &c.steps[len(c.steps)-1]
	smp.Phase, smp.Broken = Broken, true
	left := 0.0
	if t < c.fall {
		left = 0.5 * (1 + math.Cos(math.Pi*t/c.fall))
	}
	ram := c.rest + (end.ram-c.rest)*left
	if past := t - c.fall; past > 0 && past < 40*ringTime {
		ram += c.ringAmp * math.Exp(-past/ringTime) * math.Sin(2*math.Pi*c.ringFreq*past)
	}
	smp.TrueSpecimen = si.Force(end.specimen * left)
	smp.TrueRam = si.Force(max(0, ram))
	gauge := ram / (c.area * (1 - c.friction))
	if c.role == rig.ActuatorRam {
		gauge = ram / (c.area * (1 + c.friction))
	}
	smp.TruePressure = si.Pressure(max(vacuum, min(gauge, end.gauge)))
}

// reaches is the first time the specimen's force is at the fraction of its
// peak, on the way up.
func (c *course) reaches(fraction float64) time.Duration {
	for i, s := range c.steps {
		if s.specimen >= fraction*float64(c.truth.PeakSpecimen) {
			return c.idle + time.Duration(i)*step
		}
	}
	return c.truth.BreakAt
}
