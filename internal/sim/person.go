package sim

import (
	"math"
	"slices"
	"time"

	"draghand/internal/si"
)

// person stands at the pump, and the script tells what happens there and in
// the fixture.
type person struct {
	press
	c       *course
	pending []deed // not yet begun
	mode    mode
	stop    int // the last step, where one is set; 0 none

	rest  resting
	fall  falling
	proof proof

	gauge, side float64
	n           int // steps done

	events  []Event
	yielded int // step at which the bar first yields
	upperAt int
	dropped int // step at which the drop through the bar is over
	upper   float64
}

type mode uint8

const (
	pumping mode = iota
	isResting
	isFalling
	isOff
)

// resting is a pump at rest.
type resting struct {
	until int     // step; 0 for good
	time  float64 // s to 1/e
	event int     // its index, −1 none
}

// falling is a force that takes a way of its own: let off, or a joint that slips.
type falling struct {
	from, to float64 // N on the ram
	begun    int     // step
	steps    int     // until it is at rest
	valve    float64 // of the whole time, in which the valve is opened; a slip has none
	slips    bool
	back     mode // of a slip: what goes on after it
	again    int  // steps from rest to the next stroke; 0 never
	event    int
}

// proof is a target force to be held.
type proof struct {
	target float64 // N on the specimen; 0 no proof
	hold   int     // steps
	until  int     // step; 0 until the target is reached
	event  int
	fall   time.Duration
	valve  float64
}

// deed is an Act of the person, the bar or the fixture with all draws done.
type deed struct {
	Act
	at     int     // step from which it may happen; −1: by force or strain
	force  float64 // N on the specimen; +Inf where by strain
	strain float64
	valve  float64 // let-off: see falling
	floor  float64 // let-off: fraction of the force left
}

// due says whether the deed happens now.
func (d *deed) due(p *person) bool {
	switch {
	case d.at >= 0:
		return p.n >= d.at
	case !math.IsInf(d.force, 0):
		return p.mode == pumping && p.m.share*p.force >= d.force
	}
	return p.strain >= d.strain
}

// run pulls until the bar parts, is let off for good, or is left alone.
func (p *person) run() {
	c := p.c
	c.steps = append(c.steps, state{stage: stageSlack})
	most := int(maxPull / step)
	for p.n = 1; ; p.n++ {
		last := p.force
		parted := p.once()
		if p.snapped {
			c.outcome = OutcomeBroken
			return
		}
		ram := max(0, p.force+p.m.weight*min(1, p.u/p.m.slack))
		p.gauge, p.side = p.m.oil(p.gauge, p.side, ram, p.force-last)
		s := state{specimen: p.m.share * p.force, ram: ram, gauge: p.gauge, stage: stageLetOff}
		if p.mode != isOff && (p.mode != isFalling || p.fall.slips) {
			s.stage = p.b.stage(&p.m, p.force, p.strain)
		}
		c.steps = append(c.steps, s)
		parted = parted && !p.b.block // a block only gets flatter
		switch {
		case parted && p.b.fades:
			c.outcome = OutcomeFaded
			p.thin()
			return
		case parted:
			c.outcome = OutcomeBroken
			return
		case p.mode == isOff:
			c.outcome = OutcomeLetOff
			return
		case p.stop > 0 && p.n >= p.stop:
			c.outcome = OutcomeWhole
			return
		case p.stop == 0 && p.n >= most:
			p.rest, p.mode, p.stop = resting{time: leakTime, event: -1}, isResting, p.n+int(holdShown/step)
		}
	}
}

// once is one step; true where the bar parts.
func (p *person) once() bool {
	if p.mode != isFalling {
		p.look()
	}
	switch p.mode {
	case pumping:
		p.stroke()
		p.leak(leakTime)
	case isResting:
		p.leak(p.rest.time)
		if p.rest.until > 0 && p.n >= p.rest.until {
			p.close(p.rest.event)
			p.mode = pumping
			p.nextStroke()
		}
	case isFalling:
		p.drive(p.fall.force(p.n))
		if p.n-p.fall.begun+1 >= p.fall.steps {
			p.close(p.fall.event)
			p.landed()
		}
		return false
	}
	if p.snapped {
		return true
	}
	before := p.strain
	parted := p.settle()
	if p.b.luders > 0 {
		p.watchYield(before)
	}
	return parted
}

// watchYield keeps the upper yield.
func (p *person) watchYield(before float64) {
	if before == 0 && p.strain > 0 && p.yielded == 0 {
		p.yielded = p.n
	}
	if p.dropped == 0 && p.strain >= p.b.dropEnd {
		p.dropped = p.n
	}
	if f := p.m.share * p.force; p.yielded > 0 && (p.dropped == 0 || p.dropped == p.n) && f > p.upper {
		p.upper, p.upperAt = f, p.n
	}
}

// look does the first deed that is due.
func (p *person) look() {
	if p.proof.target > 0 && p.mode != isOff {
		p.lookAtTarget()
	}
	for i := range p.pending {
		if d := &p.pending[i]; d.due(p) {
			one := *d
			p.pending = slices.Delete(p.pending, i, i+1)
			p.do(&one)
			return
		}
	}
}

// lookAtTarget holds a proof: rests at the target, pumps up what has leaked,
// and lets off when the time is over.
func (p *person) lookAtTarget() {
	const low = 0.985 // of the target, pumped up again
	f, pr := p.m.share*p.force, &p.proof
	switch {
	case pr.until > 0 && p.n >= pr.until:
		p.close(pr.event)
		pr.target = 0
		p.pending = p.pending[:0]
		p.letOff(&deed{Act: Act{Kind: LetOff, For: pr.fall}, valve: pr.valve})
	case p.mode == pumping && f >= pr.target:
		if pr.until == 0 {
			pr.until = p.n + pr.hold
			pr.event = p.note(EventHeld)
		}
		p.nextStroke()
		p.rest, p.mode = resting{until: math.MaxInt, time: leakTime, event: -1}, isResting
	case p.mode == isResting && p.rest.until == math.MaxInt && f < low*pr.target:
		p.mode = pumping
	}
}

func (p *person) do(d *deed) {
	switch d.Kind {
	case LetOff, Preload:
		p.letOff(d)
	case Slip, Crack:
		if p.force <= 0 {
			return
		}
		p.fall = falling{
			from: p.force, to: p.force * (1 - d.Size), begun: p.n, steps: max(1, int(d.For/step)),
			slips: true, back: p.mode, event: p.note(EventKind(d.Kind)),
		}
		p.mode = isFalling
	case Pause:
		p.nextStroke()
		p.rest = resting{
			until: p.n + max(1, int(d.For/step)), time: d.For.Seconds() / -math.Log1p(-d.Size),
			event: p.note(EventKind(d.Kind)),
		}
		p.mode = isResting
	case Hold:
		p.rest = resting{time: leakTime, event: p.note(EventKind(d.Kind))}
		p.mode, p.stop = isResting, p.n+int(holdShown/step)
		p.pending = p.pending[:0]
	case Flaw:
		p.note(EventKind(d.Kind))
		p.snapped = true
	}
}

// letOff opens the valve. A jet through it goes with the root of the pressure,
// so the force falls along a parabola; while the valve is being opened, slower.
func (p *person) letOff(d *deed) {
	f := falling{from: p.force, to: d.floor * p.force, begun: p.n, valve: d.valve, event: p.note(EventKind(d.Kind))}
	// The parabola would end at nothing; force cuts it off at to.
	f.steps = max(1, int(math.Round(float64(d.For/step)/letOffShare(f.valve))))
	if d.Again > 0 {
		f.again = max(1, int(d.Again/step))
	}
	p.fall, p.mode = f, isFalling
}

// The jet's share of its way at which 90 and 10 % of the force are left:
// 1 − √0.9 and 1 − √0.1.
const (
	jet90 = 0.05131670194948623
	jet10 = 0.683772233983162
)

// opened is how far the jet has come when the fraction x of the whole time has
// gone, the valve being opened during the fraction v of it.
func opened(x, v float64) float64 {
	if x < v {
		return x * x / (2 * v) / (1 - v/2)
	}
	return (x - v/2) / (1 - v/2)
}

// letOffShare is the part of the whole let-off between 90 and 10 % of the force.
func letOffShare(v float64) float64 {
	at := func(jet float64) float64 {
		if x := math.Sqrt(jet * (1 - v/2) * 2 * v); x < v {
			return x
		}
		return jet*(1-v/2) + v/2
	}
	return at(jet10) - at(jet90)
}

// force is the force on the ram at a step of the fall.
func (f *falling) force(n int) float64 {
	x := min(1, float64(n-f.begun+1)/float64(f.steps))
	if f.slips {
		return f.to + (f.from-f.to)*0.5*(1+math.Cos(math.Pi*x))
	}
	left := 1 - opened(x, f.valve)
	return max(f.to, f.from*left*left)
}

// landed is after a fall: pumped again, at once after a slip.
func (p *person) landed() {
	switch {
	case p.fall.slips:
		p.mode = p.fall.back
	case p.fall.again > 0:
		p.rest, p.mode = resting{until: p.n + p.fall.again, time: leakTime, event: -1}, isResting
	default:
		p.mode = isOff
	}
}

// thin is the last thread of a faded bar, gone in a fifth of a second.
func (p *person) thin() {
	const steps = 200
	last := p.c.steps[len(p.c.steps)-1]
	for i := 1; i <= steps; i++ {
		left := 1 - float64(i)/steps
		s := last
		ram := max(0, last.specimen*left/p.m.share+max(0, p.m.weight))
		s.specimen, s.ram, s.stage = last.specimen*left, min(ram, last.ram), stageNecking
		p.gauge, p.side = p.m.oil(p.gauge, p.side, s.ram, -1)
		s.gauge = p.gauge
		if i == steps {
			s.stage = stageBroken
		}
		p.c.steps = append(p.c.steps, s)
	}
}

// note notes an event that begins with this step.
func (p *person) note(kind EventKind) int {
	at := p.c.time(p.n - 1)
	f := si.Force(p.m.share * p.force)
	p.events = append(p.events, Event{Kind: kind, At: at, Until: at, From: f, To: f})
	return len(p.events) - 1
}

// close notes that an event is over with this step.
func (p *person) close(event int) {
	if event >= 0 {
		e := &p.events[event]
		e.Until, e.To = p.c.time(p.n), si.Force(p.m.share*p.force)
	}
}
