package pull_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/sim"
)

// track is a pull of the campaign played out: what truly was, and what the board
// sent of it. Its slices are used again for the next one.
type track struct {
	s    scenario
	rig  *campaignRig
	kind pull.Kind

	course []float64 // true gauge pressure of the simulated pull, Pa, courseRate to the second
	breaks float64   // s into the course
	area   si.Area
	yield  si.Stress // expected of the bar; 0: it breaks before

	now     float64   // s
	p       []float64 // true pressure above the zero at each reading, Pa
	spike   []bool
	out     []pull.Reading
	peak    float64       // largest true pressure, Pa
	sd      float64       // of the noise, Pa
	breakAt time.Duration // of the true break; 0: none
	letOff  []window      // true let-offs and preloads let off
	slips   []window      // true slips
	fading  window
}

// window is a span of true time.
type window struct{ from, to time.Duration }

func (w window) holds(t, slack time.Duration) bool { return t >= w.from-slack && t <= w.to+slack }

const courseRate = 250 // Hz: a stroke takes 0.6 s and more

// strengths are those of the simulated metals, found by pulling one bar of each.
func strengths(rigs map[int]*campaignRig) (map[string]float64, error) {
	out := map[string]float64{}
	for _, alloy := range sim.Alloys() {
		s, err := sim.New(sim.Options{Rig: rigs[12].rig, Alloy: alloy, Seed: 1, Rate: 10})
		if err != nil {
			return nil, err
		}
		out[alloy] = float64(s.Truth().Strength)
	}
	return out, nil
}

// play makes the readings of a scenario.
func (tr *track) play(s scenario, rigs map[int]*campaignRig, strength map[string]float64) error {
	tr.s, tr.rig, tr.kind = s, rigs[s.bits], pull.Tension
	tr.now, tr.peak, tr.breakAt = 0, 0, 0
	tr.p, tr.out, tr.spike = tr.p[:0], tr.out[:0], tr.spike[:0]
	tr.letOff, tr.slips, tr.fading = tr.letOff[:0], tr.slips[:0], window{}
	if err := tr.simulate(strength[s.alloy]); err != nil {
		return err
	}
	tr.segment(s.idle, func(float64) float64 { return 0 })
	top := tr.top()
	for _, c := range s.cycles {
		tr.preload(c, c.height*top)
	}
	at := 0.0
	for _, i := range s.stops {
		tr.pump(at, i.at)
		at = i.at
		tr.interrupt(i)
	}
	tr.pump(at, s.endAt)
	tr.finish()
	tr.read()
	return nil
}

// simulate takes the course of the pull up to its break from the simulator.
func (tr *track) simulate(strength float64) error {
	s := &tr.s
	d := math.Sqrt(s.share * tr.rig.force / strength * 4 / math.Pi)
	var sm *sim.Sim
	var err error
	for try := range uint64(8) { // a press whose strokes do not come out in time says so
		sm, err = sim.New(sim.Options{
			Rig: tr.rig.rig, Alloy: s.alloy, Diameter: si.Length(d), Seed: s.seed + try, Rate: courseRate, Idle: -1,
		})
		if err == nil {
			break
		}
	}
	if err != nil {
		return fmt.Errorf("%s: %w", s, err)
	}
	truth := sm.Truth()
	tr.breaks = truth.BreakAt.Seconds()
	tr.area, tr.yield = truth.Area, 0.9*truth.Yield // the least that a person would expect
	tr.course = tr.course[:0]
	for {
		smp, ok := sm.Next()
		if !ok || smp.Broken {
			break
		}
		tr.course = append(tr.course, float64(smp.TruePressure))
	}
	if len(tr.course) < courseRate {
		return fmt.Errorf("%s: the simulated pull breaks after %d readings", s, len(tr.course))
	}
	return nil
}

// at is the true pressure at a fraction of the course, Pa.
func (tr *track) at(f float64) float64 {
	x := f * tr.breaks * courseRate
	i := min(int(x), len(tr.course)-2)
	v := tr.course[i] + (x-float64(i))*(tr.course[i+1]-tr.course[i])
	if g := tr.s.giveAt; g > 0 {
		if y := g * tr.top(); v > y {
			v = y + 0.2*(v-y) // most of a stroke goes into what gives
		}
	}
	return v
}

// top is the highest pressure of the course, nothing giving.
func (tr *track) top() float64 {
	if tr.peak == 0 {
		for _, v := range tr.course {
			tr.peak = max(tr.peak, v)
		}
	}
	return tr.peak
}

// segment appends d seconds of a pressure over the seconds in them.
func (tr *track) segment(d float64, f func(sec float64) float64) {
	end := tr.now + d
	for n := len(tr.p); ; n++ {
		t := float64(n) / tr.s.rate
		if t >= end {
			break
		}
		tr.p = append(tr.p, f(t-tr.now))
	}
	tr.now = end
}

// pump goes along the course from one fraction to another.
func (tr *track) pump(from, to float64) {
	if to <= from {
		return
	}
	k := tr.s.pace / tr.breaks
	tr.segment((to-from)/k, func(t float64) float64 { return tr.at(from + t*k) })
}

// smooth goes from 0 to 1 and is at rest at both ends.
func smooth(x float64) float64 {
	x = min(max(x, 0), 1)
	return 0.5 * (1 - math.Cos(math.Pi*x))
}

// strokes pumps from one pressure up to another.
func (tr *track) strokes(n int, from, to float64) {
	for i := range n {
		lo := from + (to-from)*float64(i)/float64(n)
		hi := from + (to-from)*float64(i+1)/float64(n)
		push, rest := 0.7/tr.s.pace, 0.3/tr.s.pace
		tr.segment(push+rest, func(t float64) float64 { return lo + (hi-lo)*smooth(t/push) })
	}
}

// valve lets a pressure off, 90 to 10 % within takes.
func (tr *track) valve(p, takes float64, shape int) {
	from := seconds(tr.now)
	switch shape {
	case 0: // evenly
		d := takes / 0.8
		tr.segment(d, func(t float64) float64 { return p * (1 - t/d) })
	case 1: // through an orifice: the flow goes with the root of the pressure
		d := takes / (math.Sqrt(0.9) - math.Sqrt(0.1))
		tr.segment(d, func(t float64) float64 { return p * (1 - t/d) * (1 - t/d) })
	default: // through a long thin gap: it goes with the pressure
		tau := takes / math.Log(9)
		tr.segment(6*tau, func(t float64) float64 { return p * math.Exp(-t/tau) })
	}
	tr.letOff = append(tr.letOff, window{from, seconds(tr.now)})
}

func (tr *track) preload(c cycle, height float64) {
	tr.strokes(c.strokes, 0, height)
	tr.segment(c.hold, func(float64) float64 { return height })
	tr.valve(height, c.unload, c.strokes%3)
	tr.segment(c.hold, func(float64) float64 { return 0 })
}

// interrupt plays a pause or a slip; the force is what it was when it ends.
func (tr *track) interrupt(i interruption) {
	p := tr.at(i.at)
	low := p * (1 - i.depth)
	if i.pause > 0 {
		// An interrupted drive: 2 to 4 % over 20 s (design 5).
		sag := func(t float64) float64 { return p * (1 - i.depth*(1-math.Exp(-t/7))) }
		tr.segment(i.pause, sag)
		low = sag(i.pause)
	} else {
		from := seconds(tr.now)
		tr.segment(i.fall, func(t float64) float64 { return p + (low-p)*smooth(t/i.fall) })
		tr.slips = append(tr.slips, window{from, seconds(tr.now)})
		tr.segment(i.rest, func(float64) float64 { return low })
	}
	tr.strokes(max(1, int(math.Ceil((p-low)/p/i.gain))), low, p)
}

// finish plays the end and 4 s after it.
func (tr *track) finish() {
	s := &tr.s
	p := tr.at(s.endAt)
	tr.peak = p // the instant of the end itself lies between two readings
	for _, v := range tr.p {
		tr.peak = max(tr.peak, v)
	}
	rest := 0.0
	switch s.end {
	case endBreak:
		tr.breakAt = seconds(tr.now)
		tr.segment(s.takes, func(t float64) float64 { return p * (1 - smooth(t/s.takes)) })
		rest = s.sags
		const decay = 0.025 // s
		tr.segment(0.5, func(t float64) float64 {
			return rest + 0.015*p*math.Exp(-t/decay)*math.Sin(2*math.Pi*s.ring*t)
		})
	case endLetOff:
		tr.segment(s.wait, func(t float64) float64 { return p * (1 - 0.003*t) })
		tr.valve(p*(1-0.003*s.wait), s.takes, s.shape)
	case endFade:
		from := seconds(tr.now)
		tr.segment(s.takes, func(t float64) float64 { return p * (1 - math.Pow(t/s.takes, 1.5)) })
		tr.fading = window{from, seconds(tr.now)}
	}
	tr.segment(4, func(float64) float64 { return rest })
}

// read turns the true pressures into what the board sends, with its noise and
// its spikes.
func (tr *track) read() {
	s := &tr.s
	r := rand.New(rand.NewPCG(s.seed, 77))
	tr.sd = s.noise * tr.peak
	span := float64(tr.rig.chain.Range())
	next := math.Inf(1)
	if s.spikes > 0 {
		next = s.spikes * (0.5 + r.Float64())
	}
	phase := 2 * math.Pi * r.Float64()
	late := 0.0
	for n, p := range tr.p {
		t := float64(n) / s.rate
		abs := p + s.offset
		if s.hum > 0 {
			abs += tr.sd * math.Sqrt2 * math.Sin(2*math.Pi*s.hum*t+phase)
		} else {
			abs += tr.sd * r.NormFloat64()
		}
		spike := t >= next
		if spike {
			size := span * (0.1 + 0.7*r.Float64())
			if r.IntN(3) == 0 {
				size = -size
			}
			abs += size
			next = t + max(4/s.rate, s.spikes*(0.5+r.Float64()))
		}
		if s.jitter {
			late = 0.25 * r.Float64() / s.rate
		}
		tr.spike = append(tr.spike, spike)
		tr.out = append(tr.out, pull.Reading{T: seconds(t + late), Raw: tr.rig.raw(abs)})
	}
}
