package sim

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"draghand/internal/si"
)

// script is all that happens in the pull by Fault, Script and Kind's own.
func (o *Options) script() ([]Act, error) {
	acts, err := named(o.Fault)
	if err != nil {
		return nil, err
	}
	if len(o.Script) > mostActs {
		return nil, fmt.Errorf("simulated rig: a script of %d acts, %d are the most", len(o.Script), mostActs)
	}
	for i := range o.Script {
		err = errors.Join(err, o.Script[i].check())
	}
	return append(acts, o.Script...), err
}

// refuse is what cannot be among the options of a kind.
func (o *Options) refuse() (errs []error) {
	switch o.Kind {
	case Tension, Crush, Proof, Steps:
	default:
		errs = append(errs, fmt.Errorf("no simulated pull is of the kind %q: choose tension, crush, proof or steps", o.Kind))
	}
	errs = append(errs, o.refuseTruth()...)
	if !(o.Noise >= 0 && o.Noise <= 0.25) {
		errs = append(errs, fmt.Errorf("simulated noise of %g of the peak: it must lie from 0 to 0.25", o.Noise))
	}
	if !(o.Target >= 0 && o.Target <= 10*si.Meganewton) {
		errs = append(errs, fmt.Errorf("simulated proof to %g N: the target must lie from 0 to 10 MN", float64(o.Target)))
	}
	if o.Hold < 0 || o.Hold > maxPull/2 {
		errs = append(errs, fmt.Errorf("simulated proof held for %s: it must lie from 0 to %s", o.Hold, maxPull/2))
	}
	return errs
}

// work works out the whole pull.
func (s *Sim) work(m *metal, acts []Act, random *rand.Rand) error {
	o := &s.opt
	turned := stream(o.Seed, streamBar)
	var b bar
	if o.Kind == Crush {
		b = m.saw(turned, o.Diameter)
	} else {
		b = m.turn(turned, o.Diameter)
	}

	rng := stream(o.Seed, streamPump)
	model := newRigModel(o, &b, rng)
	c := &s.pull
	*c = course{idle: o.Idle, area: model.area, friction: model.friction, role: model.role, steps: c.steps[:0]}
	c.fall = 1e-3 + 2e-3*rng.Float64()
	c.ringFreq = 45 + 35*rng.Float64()
	target := 12.5 + 5*rng.Float64() // s
	pump := strokes(rng)
	size, err := suit(model, b, pump, target)
	if err != nil {
		return err
	}

	p := &person{press: newPress(model, b, pump, size), c: c}
	s.truth = Truth{Alloy: m.name, Kind: o.Kind, Area: si.Area(b.area), Yield: b.yield(), Expected: si.Force(b.peakForce)}
	switch o.Kind {
	case Crush:
		acts = append(slices.Clone(acts), crushing(acts, stream(o.Seed, streamBlock))...)
	case Proof:
		p.proof = proof{target: float64(o.Target), hold: int(o.Hold / step), fall: seconds(spread(random, 0.4, 3)), valve: uniform(random, 0.02, 0.6)}
		if p.proof.target == 0 {
			p.proof.target = DefaultTarget * b.peakForce
		}
	}
	if len(acts) > 0 {
		p.pending = deeds(acts, random, p)
	}
	if c.steps == nil {
		c.steps = make([]state, 0, 20*int(time.Second/step))
	}
	p.run()
	s.tell(p)
	return nil
}

// crushing is what a block does where the script does not say: it cracks a few
// times past its first yield, and is let off in the end.
func crushing(acts []Act, r *rand.Rand) []Act {
	var more []Act
	if !slices.ContainsFunc(acts, func(a Act) bool { return a.Kind == Crack }) {
		for range 2 + r.IntN(4) {
			more = append(more, Act{Kind: Crack, Share: uniform(r, 1.05, 1.95), Size: uniform(r, 0.05, 0.35), For: seconds(spread(r, 0.003, 0.04))})
		}
	}
	return append(more, Act{Kind: LetOff, Share: 2, For: seconds(spread(r, 0.3, 3))})
}

// tell sets down the truth of the pull.
func (s *Sim) tell(p *person) {
	c, tr := &s.pull, &s.truth
	peak := 0
	for i := range c.steps {
		if c.steps[i].specimen > c.steps[peak].specimen {
			peak = i
		}
	}
	top, end := &c.steps[peak], &c.steps[len(c.steps)-1]
	tr.PeakAt, tr.EndAt = c.time(peak), c.end()
	tr.PeakSpecimen, tr.PeakRam, tr.PeakGauge = si.Force(top.specimen), si.Force(top.ram), si.Pressure(top.gauge)
	tr.Strength = si.Stress(top.specimen / p.b.area)
	tr.Strokes, tr.Elongation, tr.Outcome = p.i+1, min(p.strain, p.b.fracture), c.outcome
	tr.Events = append(p.events, Event{Kind: EventPeak, At: tr.PeakAt, Until: tr.PeakAt, From: tr.PeakSpecimen, To: tr.PeakSpecimen})

	c.rest = max(0, p.m.weight)
	switch c.outcome {
	case OutcomeBroken:
		c.ringAmp = 0.015 * end.ram * min(1, 3e-3/c.fall) // a slow tear rings less
		tr.BreakAt, tr.BreakForce = tr.EndAt, si.Force(end.specimen)
		tr.Fall = time.Duration(c.fall * 1e9)
		tr.Events = append(tr.Events, Event{Kind: EventBreak, At: tr.BreakAt, Until: tr.BreakAt + tr.Fall, From: tr.BreakForce})
	case OutcomeFaded:
		tr.Events = append(tr.Events, Event{Kind: EventKind(Fade), At: tr.PeakAt, Until: tr.EndAt, From: tr.PeakSpecimen})
	}
	if c.outcome != OutcomeWhole {
		c.rest = min(end.ram, c.rest)
	}
	if p.upperAt > 0 {
		s.tellYield(p)
	}
	if p.giveAt > 0 && p.give > 0 {
		if at, ok := c.reaches(p.giveAt * p.m.share); ok {
			f := si.Force(p.giveAt * p.m.share)
			tr.Events = append(tr.Events, Event{Kind: EventKind(Giving), At: at, Until: at, From: f, To: f})
		}
	}
	for _, b := range s.opt.Rig.Bounds() {
		level := float64(b.PressureAt(1))
		for i := range c.steps {
			if level > 0 && c.steps[i].gauge >= level {
				f := si.Force(c.steps[i].specimen)
				tr.Events = append(tr.Events, Event{Kind: EventOverLimit, Name: b.Limit.Name, At: c.time(i), Until: c.time(i), From: f, To: f})
				break
			}
		}
	}
}

// tellYield sets down the yield drop: the upper yield, and the first turn of
// the force after it.
func (s *Sim) tellYield(p *person) {
	c, tr := &s.pull, &s.truth
	if p.dropped == 0 {
		return // let off or broken before the drop was over
	}
	low := max(p.upperAt, p.dropped)
	for low+1 < len(c.steps) && c.steps[low+1].specimen < c.steps[low].specimen {
		low++
	}
	tr.Upper, tr.UpperAt = si.Force(p.upper), c.time(p.upperAt)
	tr.Lower, tr.LowerAt = si.Force(p.b.lower), c.time(low)
	tr.Events = append(tr.Events, Event{Kind: EventYieldDrop, At: tr.UpperAt, Until: tr.LowerAt, From: tr.Upper, To: si.Force(c.steps[low].specimen)})
}
