package sim

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// Steps is a rig loaded to one value of a reference after the other, each held,
// for a calibration. No bar is in it.
const Steps Kind = "steps"

// DefaultLoads are the loads of Steps where none are given, in the unit of the
// place they are held at.
func DefaultLoads(on rig.Place) []float64 {
	one := 10 * si.Kilonewton
	if on == rig.AtGauge {
		one = 50 * si.Bar
	}
	return []float64{one, 2 * one, 3 * one, 2 * one, one}
}

// The steps' figures, all ours.
const (
	mostLoads    = 60
	waitHold     = 4 * time.Second // worked out of a hold that lasts until a point is taken
	stepRestless = 0.0001          // of the load, passed by at most before the valve closes: by more, and the friction turns
	stepBack     = 0.4             // s: it closes
	stepLeak     = 200e3           // s to 1/e: a good valve, and the person does not pump while the reference is read
	referenceOff = 0.0005          // of the load at most, either side: the reference's own error, the same at all loads
	readingOff   = 0.0002          // SD of the load: how the reference is read
	strokesFull  = 8               // strokes to the largest load
)

// TrueStep is one load as it truly was.
type TrueStep struct {
	Reference float64 // what the reference shows: N, or Pa at the gauge
	From, To  time.Duration
	Falling   bool
	Specimen  si.Force    // at From
	Ram       si.Force    // at From
	Gauge     si.Pressure // at From
}

// stepping is the person who loads a reference.
type stepping struct {
	model rigModel
	c     *course
	on    rig.Place
	rng   *rand.Rand

	force, gauge, side float64 // ram force but for the weight, N; oil
	most               float64 // the largest ram force
}

// steps works out a whole round of loads.
func (s *Sim) steps(acts []Act) error {
	o := &s.opt
	for _, a := range acts {
		if a.Kind.mechanical() {
			return fmt.Errorf("a simulated calibration holds no bar: the act %q cannot happen", a.Kind)
		}
	}
	rng := stream(o.Seed, streamPump)
	p := &stepping{model: o.unbarred(), c: &s.pull, on: o.On, rng: rng}
	c := p.c
	*c = course{idle: o.Idle, area: p.model.area, friction: p.model.friction, role: p.model.role, steps: c.steps[:0]}
	c.steps = append(c.steps, state{stage: stageIdle})
	off := referenceOff * (2*rng.Float64() - 1)
	loads := make([]float64, len(o.Loads))
	for i, l := range o.Loads {
		loads[i] = p.ramFor(l * (1 + off + readingOff*rng.NormFloat64()))
		if !(loads[i] > 0) {
			return fmt.Errorf("simulated load of %g at the %s: the ram would carry nothing", l, o.On)
		}
		p.most = max(p.most, loads[i])
	}
	hold := o.Hold
	if o.Wait {
		hold = waitHold
	}
	s.truth = Truth{Kind: Steps}
	for i, f := range loads {
		falling := f < p.force
		if falling {
			p.fall(f)
		} else {
			p.rise(f)
		}
		at := c.time(len(c.steps) - 1)
		end := c.steps[len(c.steps)-1]
		s.truth.Steps = append(s.truth.Steps, TrueStep{
			Reference: o.Loads[i], From: at, To: at + hold, Falling: falling,
			Specimen: si.Force(end.specimen), Ram: si.Force(end.ram), Gauge: si.Pressure(end.gauge),
		})
		p.hold(int(hold / step))
		if len(c.steps) > int(maxPull/step) {
			return errors.New("simulated calibration: it takes over 10 minutes; take fewer loads or a shorter hold")
		}
	}
	p.fall(0)
	c.outcome = OutcomeLetOff
	s.tellSteps()
	return nil
}

// tellSteps sets down the rest of the truth.
func (s *Sim) tellSteps() {
	c, tr := &s.pull, &s.truth
	peak := 0
	for i := range c.steps {
		if c.steps[i].ram > c.steps[peak].ram {
			peak = i
		}
	}
	top := &c.steps[peak]
	tr.PeakAt, tr.EndAt, tr.Outcome = c.time(peak), c.end(), c.outcome
	tr.PeakSpecimen, tr.PeakRam, tr.PeakGauge = si.Force(top.specimen), si.Force(top.ram), si.Pressure(top.gauge)
	tr.Events = append(tr.Events, Event{Kind: EventPeak, At: tr.PeakAt, Until: tr.PeakAt, From: tr.PeakSpecimen, To: tr.PeakSpecimen})
}

// unbarred is the rig with nothing in it.
func (o *Options) unbarred() rigModel {
	m := rigModel{area: float64(o.area()), friction: o.friction(), share: o.share(), role: o.Rig.Ram.Role, weight: float64(o.Rig.Path.Weight)}
	if o.Rig.Path.RamPushes == "down" {
		m.weight = -m.weight
	}
	return m
}

// ramFor is the ram force but for the weight at which the reference has a load. At
// the gauge it is that of a rising load: the person pumps to a pressure.
func (p *stepping) ramFor(load float64) float64 {
	switch p.on {
	case rig.AtSpecimen:
		return load / p.model.share
	case rig.AtGauge:
		load *= p.model.area
		if p.model.role == rig.ActuatorRam {
			load *= 1 - p.model.friction
		} else {
			load *= 1 + p.model.friction
		}
	}
	return load - p.model.weight
}

// to puts the rig at a ram force, one step later.
func (p *stepping) to(force float64) {
	change := force - p.force
	p.force = force
	ram := max(0, force+p.model.weight*min(1, force/(0.02*p.most)))
	p.gauge, p.side = p.model.oil(p.gauge, p.side, ram, change)
	s := state{specimen: p.model.share * force, ram: ram, gauge: p.gauge, stage: stageElastic}
	if force <= 0 {
		s = state{stage: stageLetOff}
		p.gauge = 0
	}
	p.c.steps = append(p.c.steps, s)
}

// rise pumps to a force: whole strokes, and a last one with care.
func (p *stepping) rise(to float64) {
	from := p.force
	n := max(2, int(math.Ceil(strokesFull*(to-from)/p.most)))
	top := to
	if p.model.role != rig.ActuatorRam {
		top *= 1 + stepRestless*p.rng.Float64()
	}
	for i := range n {
		a, b := from+(top-from)*float64(i)/float64(n), from+(top-from)*float64(i+1)/float64(n)
		push := int((600 + 300*p.rng.Float64()))
		for k := 1; k <= push; k++ {
			p.to(a + (b-a)*lever(float64(k)/float64(push)))
		}
		for range int(250 + 100*p.rng.Float64()) {
			p.to(p.force)
		}
	}
	for k := 1; k <= int(stepBack*1000); k++ {
		p.to(top + (to-top)*lever(float64(k)/(stepBack*1000)))
	}
}

// fall lets off to a force through the valve.
func (p *stepping) fall(to float64) {
	from := p.force
	n := int(1000 + 600*p.rng.Float64())
	for k := 1; k <= n; k++ {
		p.to(from + (to-from)*lever(float64(k)/float64(n)))
	}
}

// hold rests at the load; it sinks a little. The valve of a pumped ram is taken to
// be tight: what goes back through it would turn the friction.
func (p *stepping) hold(steps int) {
	left := 1 - dt/stepLeak
	if p.model.role == rig.ActuatorRam {
		left = 1
	}
	for range steps {
		p.to(p.force * left)
	}
}

// describeSteps names the loads.
func (o *Options) describeSteps() string {
	var loads []string
	for _, l := range o.Loads {
		if o.On == rig.AtGauge {
			loads = append(loads, si.Pressure(l).Text(o.Rig.Units))
		} else {
			loads = append(loads, si.Force(l).Text(o.Rig.Units))
		}
	}
	return fmt.Sprintf("loads of %s at the %s", strings.Join(loads, ", "), o.On)
}

// inTime is the time of the course at a true time: what waits for a point to be
// taken lags behind.
func (s *Sim) inTime(t time.Duration) time.Duration {
	if !s.opt.Wait || s.held >= len(s.truth.Steps) {
		return t - s.late
	}
	h := &s.truth.Steps[s.held]
	if at := t - s.late; at >= h.To {
		if !s.taken {
			s.late += at - h.To
			return h.To
		}
		s.held, s.taken = s.held+1, false
	}
	return t - s.late
}

// Taken tells the person of Steps with Wait that the point at the load held now is
// taken: on to the next. While none is held it does nothing.
func (s *Sim) Taken() {
	if s.held < len(s.truth.Steps) && s.timeOf(s.n)-s.late >= s.truth.Steps[s.held].From {
		s.taken = true
	}
}
