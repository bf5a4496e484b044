package sim

import (
	"math"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// state is the rig at one step.
type state struct {
	specimen, ram float64 // N
	gauge         float64 // Pa
	stage         stage
}

// stage is a Phase, kept small: a pull has tens of thousands of states.
type stage uint8

const (
	stageIdle stage = iota
	stageSlack
	stageElastic
	stagePlastic
	stageNecking
	stageBroken
	stageLetOff
)

func (s stage) phase() Phase {
	switch s {
	case stageSlack:
		return Slack
	case stageElastic:
		return Elastic
	case stagePlastic:
		return Plastic
	case stageNecking:
		return Necking
	case stageBroken:
		return Broken
	case stageLetOff:
		return Released
	}
	return Idle
}

// course is the whole pull, step by step until its end, a formula after it.
type course struct {
	idle    time.Duration
	steps   []state // at idle + i·step; the last is the instant before the break
	outcome Outcome

	area     float64 // of the ram, m²
	friction float64
	role     rig.Role
	rest     float64 // N on the ram after the break: the moving parts
	fall     float64 // s
	ringAmp  float64 // N
	ringFreq float64 // Hz
}

// end is when the last step is.
func (c *course) end() time.Duration { return c.time(len(c.steps) - 1) }

// time is the true time of a step.
func (c *course) time(i int) time.Duration { return c.idle + time.Duration(i)*step }

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
	x := float64(since-time.Duration(i)*step) / float64(step)
	smp.TrueSpecimen = si.Force(a.specimen + x*(b.specimen-a.specimen))
	smp.TrueRam = si.Force(a.ram + x*(b.ram-a.ram))
	smp.TruePressure = si.Pressure(a.gauge + x*(b.gauge-a.gauge))
	smp.Phase = b.stage.phase()
	return smp
}

// after is the rig t seconds past the last step.
func (c *course) after(smp *Sample, t float64) {
	end := &c.steps[len(c.steps)-1]
	if c.outcome == OutcomeBroken {
		c.broken(smp, t)
		return
	}
	// Whole, or thinned to nothing: what force is left sinks past the valves,
	// down to what rests on the ram.
	left := math.Exp(-t / leakTime)
	smp.Phase, smp.Broken = end.stage.phase(), c.outcome == OutcomeFaded
	smp.TrueSpecimen = si.Force(end.specimen * left)
	smp.TrueRam = si.Force(c.rest + (end.ram-c.rest)*left)
	smp.TruePressure = si.Pressure(end.gauge)
	if end.ram > 0 {
		smp.TruePressure *= si.Pressure(float64(smp.TrueRam) / end.ram)
	}
}

// broken is the rig after the break: the specimen's force falls along a half
// cosine, the rig springs back and rings out.
func (c *course) broken(smp *Sample, t float64) {
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

// reaches is the first time the specimen's force is at a value, false where it
// never is.
func (c *course) reaches(force float64) (time.Duration, bool) {
	for i := range c.steps {
		if c.steps[i].specimen >= force {
			return c.time(i), true
		}
	}
	return 0, false
}
