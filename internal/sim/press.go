package sim

import (
	"errors"
	"math"
	"math/rand/v2"
	"time"

	"draghand/internal/rig"
)

// The press and the rig around the bar. All figures are ours, of the size one
// meets on a small shop press.
const (
	step         = time.Millisecond // of the mechanics, whatever the sampling rate
	dt           = 1e-3             // s, the same
	rigStiffness = 12e6             // N/m at the ram: oil, frame and fixture in series, where the rig file gives none
	leakTime     = 25.0             // s: a held force sinks to 1/e past the pump's valves
	backTime     = 0.06             // s: the valve closes, some oil goes back
	backShare    = 0.03             // of a stroke, lost while the valve closes
	maxPlain     = 60 * time.Second // of pumping a bar with no script; the strokes are scaled long before
	maxPull      = 10 * time.Minute // of a scripted pull; the person gives up and leaves it under load
	holdShown    = 20 * time.Second // of a hold for good that is worked out; a formula after it
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

// rigModel is what the mechanics know of the rig.
type rigModel struct {
	area, friction, share float64
	stiffness             float64 // N/m at the ram
	weight                float64 // N on the ram, negative where it helps the press
	slack                 float64 // m of ram travel
	toe                   float64 // N: the force at which slack is taken up
	role                  rig.Role
}

func newRigModel(o *Options, b *bar, rng *rand.Rand) rigModel {
	r, share := o.Rig, o.share()
	m := rigModel{
		area: float64(o.area()), friction: o.friction(), share: share,
		stiffness: rigStiffness, role: r.Ram.Role, weight: float64(r.Path.Weight),
		slack: 0.8e-3 + 0.6e-3*rng.Float64(),
		toe:   min(1500, 0.03*b.peakForce/share),
	}
	if r.Drive != nil && r.Drive.Stiffness > 0 {
		m.stiffness = r.Drive.Stiffness
	}
	if r.Path.RamPushes == "down" {
		m.weight = -m.weight
	}
	return m
}

// press is rig, bar and pump at one moment. It goes on by steps of 1 ms.
type press struct {
	m          rigModel
	b          bar
	pump       []stroke
	size       float64 // m of ram travel, of the mean stroke
	compliance float64 // m/N at the ram, rig and bar in series

	u, force float64 // ram travel (m) and ram force but for the weight (N)
	strain   float64 // plastic, engineering
	flow     float64 // N at which the bar goes on stretching
	slope    float64 // N, of flow over strain
	give     float64 // m of ram travel taken up by a fixture that yields
	giveAt   float64 // N on the ram from which it does; 0 never
	giveUp   float64 // N/m, its hardening

	snapped bool // it parted before this step was over, not with it

	at, lever float64 // s into the present stroke, and how far the lever is
	i         int     // which stroke
}

func newPress(m rigModel, b bar, pump []stroke, size float64) press {
	p := press{m: m, b: b, pump: pump, size: size, compliance: 1/m.stiffness + m.share*m.share/b.stiffness()}
	p.flow, p.slope = b.flow(0)
	return p
}

// stroke moves the ram by what the pump gives in one step.
func (p *press) stroke() {
	k := &p.pump[p.i%len(p.pump)]
	before := p.lever
	p.at += dt
	p.lever = lever(p.at / k.push)
	p.u += p.size * k.size * (p.lever - before)
	if p.at > k.push && p.at <= k.push+backTime {
		p.u -= backShare * p.size * k.size * dt / backTime
	}
	if p.at >= k.push+k.pause {
		p.nextStroke()
	}
}

func (p *press) nextStroke() { p.at, p.lever, p.i = 0, 0, p.i+1 }

// leak lets a held force sink with a time, in seconds, to 1/e.
func (p *press) leak(time float64) { p.u = max(0, p.u-p.force*p.compliance*dt/time) }

// lever is the travel of a stroke as a fraction, at the fraction x of its
// time: it starts and ends at rest.
func lever(x float64) float64 {
	if x >= 1 {
		return 1
	}
	return x - math.Sin(2*math.Pi*x)/(2*math.Pi)
}

// settle lets the springs, the bar and the fixture agree on a force for the
// ram's travel; true where the bar parts.
func (p *press) settle() bool {
	m, b := &p.m, &p.b
	p.force = m.elastic(p.u-p.give-m.share*p.strain*b.length, p.compliance, p.force)
	if m.share*p.force > p.flow {
		// The bar stretches until the springs in series and the flow curve
		// agree again.
		stiff := m.share * m.share * b.length / m.slope(p.force, p.compliance)
		over := m.share*p.force - p.flow
		switch {
		case b.bandRate > 0 && p.strain < b.uniform:
			// A yield drop runs through the bar in its own time, or else a soft
			// rig would let it happen between two steps. A metal that has one
			// lags behind up to its peak, so that the plateau ends with no step.
			more := over / max(stiff+p.slope, 0.3*stiff) * b.bandRate
			p.strain += more
			p.flow, p.slope = b.flow(p.strain)
			p.force = max(0, p.force-more*stiff/m.share)
		case p.slope+stiff <= 0.02*stiff:
			// Where the curve falls faster than the springs relax, nothing holds
			// it: the bar snaps.
			p.snapped = true
			return true
		default:
			p.strain += over / (p.slope + stiff)
			p.flow, p.slope = b.flow(p.strain)
			p.force = p.flow / m.share
		}
	}
	if p.giveAt > 0 {
		if over := p.force - p.giveAt - p.giveUp*p.give; over > 0 {
			p.give += over / (p.giveUp + 1/p.compliance)
			p.force = p.giveAt + p.giveUp*p.give
		}
	}
	return p.strain >= b.fracture
}

// drive puts the ram where the force on it is f, the bar unyielding.
func (p *press) drive(f float64) {
	m := &p.m
	p.u = p.give + m.share*p.strain*p.b.length + f*p.compliance + m.slack*(1-math.Exp(-f/m.toe))
	p.force = f
}

// breaksAfter pumps a bar with no script to its break and says how many steps
// it took; false where it does not break.
func (p *press) breaksAfter() (int, bool) {
	for n := 1; n < int(maxPlain/step); n++ {
		p.stroke()
		p.leak(leakTime)
		if p.settle() {
			if p.snapped {
				n--
			}
			return n, true
		}
	}
	return 0, false
}

// suit finds the mean stroke with which the bar breaks 11.5 to 18.5 s after
// the first one, as if the pump suited the bar.
func suit(m rigModel, b bar, pump []stroke, target float64) (float64, error) {
	// First guess: the travel to the break spread over the strokes there is
	// time for; then corrected by what the leaks took.
	travel := m.slack + b.peakForce/m.share/m.stiffness + m.share*(b.fracture*b.length+b.peakForce/b.stiffness())
	size := 1.15 * travel / (target / 1.05)
	best, off := 0.0, math.Inf(1)
	for range 8 {
		p := newPress(m, b, pump, size)
		n, ok := p.breaksAfter()
		if !ok {
			size *= 2
			continue
		}
		took := float64(n) * dt
		if math.Abs(took-target) < 1 {
			return size, nil
		}
		if d := math.Abs(took - target); d < off {
			best, off = size, d
		}
		size *= took / target
	}
	// A brittle bar breaks near the crest of a stroke: one stroke more or less
	// may be more than the second allowed.
	if best > 0 {
		return best, nil
	}
	return 0, errors.New("simulated press: the bar could not be brought to a break in time; try another diameter")
}

// elastic solves y = F·compliance + slack·(1−exp(−F/toe)) for F, from a guess.
// The right side bends downwards, so Newton's steps come from below.
func (m *rigModel) elastic(y, compliance, guess float64) float64 {
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
func (m *rigModel) slope(f, compliance float64) float64 {
	if f > 16*m.toe {
		return compliance
	}
	return compliance + m.slack/m.toe*math.Exp(-f/m.toe)
}

// oil is the gauge pressure for a ram force. Seal friction opposes motion: a
// sensor ram is pushed in, so its oil carries less than the force while it
// rises and more while it falls, and keeps its pressure in between (a play).
// An actuator ram pushes itself: the other way round.
func (m *rigModel) oil(gauge, side, ram, change float64) (float64, float64) {
	f := m.friction
	if m.role != rig.ActuatorRam {
		low, high := ram/(m.area*(1+f)), ram/(m.area*(1-f))
		return min(max(gauge, low), high), side
	}
	side = min(1, max(-1, side+change/max(1, 0.002*ram)))
	return ram / (m.area * (1 - side*f)), side
}
