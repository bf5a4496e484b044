package pull_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/sim"
)

// ending is how a pull of the campaign truly ends.
type ending string

const (
	endBreak  ending = "break"
	endLetOff ending = "let-off"
	endFade   ending = "fade"
)

// interruption is what may interrupt the way up, at a fraction of the course to the
// simulated break.
type interruption struct {
	at    float64
	pause float64 // s; 0: a slip
	depth float64 // of the force, lost in the slip, or by the end of a pause
	fall  float64 // s that the slip takes
	rest  float64 // s before the pump goes on
	gain  float64 // of the force before, regained by each stroke
}

// cycle is one preload: pumped up, held, let off again.
type cycle struct {
	height       float64 // of the true peak of the course
	strokes      int
	hold, unload float64 // s; unload from 90 to 10 %
}

// scenario is one pull of the campaign. It follows from its index and its rate
// alone.
type scenario struct {
	index  int
	rate   float64 // Hz
	bits   int     // of the converter; 0: the board sends milliamperes
	alloy  string
	share  float64 // strength of the bar over the nearest limit
	pace   float64 // of the pump, times the simulator's
	noise  float64 // SD of one reading over the true peak
	hum    float64 // Hz: the noise is mains hum; 0: it is white
	idle   float64 // s at zero before the first stroke
	offset float64 // Pa, of the transducer at no pressure
	last   bool    // the engine is told the zero of the last pull
	jitter bool    // the time stamps come by up to a quarter of a period late

	cycles []cycle
	stops  []interruption
	giveAt float64 // of the peak: from here on something else gives; 0: nothing
	spikes float64 // s from one lone spike to the next, in the mean; 0: none

	end    ending
	endAt  float64 // fraction of the course at which it is let off or begins to fade
	wait   float64 // s of holding before a let-off
	takes  float64 // s: 90 to 10 % of a let-off, the whole of a fade, the whole fall of a break
	shape  int     // of a let-off
	ring   float64 // Hz, of the rig after a break
	sags   float64 // Pa that the zero moves with the break
	seed   uint64
	script string // what the simulator itself was told to do; else empty
}

const (
	campaignNoiseLow  = 1e-5 // of the peak (the issue: noise up to 9 %; design 5: from 0.001 %)
	campaignNoiseHigh = 0.09
)

// newScenario draws the pull of an index.
func newScenario(index int, rate float64) scenario {
	r := rand.New(rand.NewPCG(uint64(index), uint64(rate)))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	logBetween := func(a, b float64) float64 { return a * math.Pow(b/a, r.Float64()) }
	chance := func(p float64) bool { return r.Float64() < p }
	alloys := sim.Alloys()
	s := scenario{
		index: index, rate: rate, seed: r.Uint64(),
		bits:   []int{0, 10, 12, 12, 12, 16, 24}[r.IntN(7)],
		alloy:  alloys[r.IntN(len(alloys))],
		share:  between(0.2, 1.25),
		pace:   logBetween(0.5, 2),
		noise:  logBetween(campaignNoiseLow, campaignNoiseHigh),
		idle:   between(2.5, 5),
		offset: between(-0.003, 0.003) * 700 * si.Bar,
		last:   chance(0.3),
		jitter: chance(0.2),
		ring:   between(45, 80), sags: between(-0.0003, 0.0003) * 700 * si.Bar,
	}
	if chance(0.1) {
		s.idle = between(0, 2) // too short for a zero
	}
	if chance(0.1) {
		s.hum = []float64{50, 60}[r.IntN(2)] + between(-0.2, 0.2)
	}
	if chance(0.15) {
		for range 1 + r.IntN(3) {
			s.cycles = append(s.cycles, cycle{
				height: logBetween(0.05, 0.5), strokes: 1 + r.IntN(4),
				hold: between(0.5, 3), unload: logBetween(0.2, 3),
			})
		}
	}
	if chance(0.3) {
		for range 1 + r.IntN(3) {
			d := between(0.05, 0.95)
			s.stops = append(s.stops, interruption{
				at: between(0.1, 0.95), depth: d, fall: logBetween(0.005, 0.1),
				rest: between(0.1, 1.5), gain: between(0.08, 0.25),
			})
		}
	}
	if chance(0.15) {
		s.stops = append(s.stops, interruption{
			at: between(0.2, 0.98), pause: logBetween(1, 20), depth: between(0.02, 0.04), gain: between(0.08, 0.25),
		})
	}
	slices.SortFunc(s.stops, func(a, b interruption) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		}
		return 0
	})
	if chance(0.05) {
		s.giveAt = between(0.5, 0.9)
	}
	if chance(0.2) {
		s.spikes = logBetween(0.5, 5)
	}
	switch p := r.Float64(); {
	case p < 0.65:
		s.end, s.endAt, s.takes = endBreak, 1, logBetween(0.001, 0.040)
	case p < 0.92:
		s.end, s.endAt = endLetOff, between(0.3, 0.99)
		s.takes = []float64{0.2, 1, 5, logBetween(0.2, 10)}[r.IntN(4)]
		s.shape = r.IntN(3)
		if !chance(0.1) { // else the valve is opened while the pump still goes
			s.wait = between(0.3, 3)
		}
	default:
		s.end, s.endAt, s.takes = endFade, between(0.7, 0.99), logBetween(3, 30)
	}
	s.stops = slices.DeleteFunc(s.stops, func(i interruption) bool { return i.at >= s.endAt })
	return s
}

// String is the scenario in a line, for the list of failures.
func (s scenario) String() string {
	var b strings.Builder
	if s.script != "" {
		fmt.Fprintf(&b, "script at %g Hz #%d: %s, strength %.0f %% of limit, noise %.3g %% of peak, %d bits, %s",
			s.rate, s.index, s.alloy, 100*s.share, 100*s.noise, s.bits, s.script)
		return b.String()
	}
	fmt.Fprintf(&b, "%g Hz #%d: %s, strength %.0f %% of limit, noise %.3g %% of peak, %d bits, pace ×%.2f, idle %.1f s",
		s.rate, s.index, s.alloy, 100*s.share, 100*s.noise, s.bits, s.pace, s.idle)
	if s.hum > 0 {
		fmt.Fprintf(&b, ", hum %.2f Hz", s.hum)
	}
	for _, c := range s.cycles {
		fmt.Fprintf(&b, ", preload to %.0f %% off in %.2g s", 100*c.height, c.unload)
	}
	for _, i := range s.stops {
		if i.pause > 0 {
			fmt.Fprintf(&b, ", pause %.1f s at %.2f", i.pause, i.at)
		} else {
			fmt.Fprintf(&b, ", slip of %.0f %% in %.0f ms at %.2f", 100*i.depth, 1e3*i.fall, i.at)
		}
	}
	if s.giveAt > 0 {
		fmt.Fprintf(&b, ", something gives at %.0f %%", 100*s.giveAt)
	}
	if s.spikes > 0 {
		fmt.Fprintf(&b, ", spikes every %.1f s", s.spikes)
	}
	fmt.Fprintf(&b, ", %s", s.end)
	switch s.end {
	case endBreak:
		fmt.Fprintf(&b, " in %.1f ms", 1e3*s.takes)
	case endLetOff:
		fmt.Fprintf(&b, " at %.2f after %.1f s, 90 to 10 %% in %.2g s, shape %d", s.endAt, s.wait, s.takes, s.shape)
	case endFade:
		fmt.Fprintf(&b, " from %.2f within %.1f s", s.endAt, s.takes)
	}
	return b.String()
}

// campaignRig is the example rig with a converter of another width.
type campaignRig struct {
	rig    *rig.Rig
	chain  rig.Chain
	bounds []rig.Bound
	full   float64 // Pa at the nearest limit
	force  float64 // N on the specimen there
	rawAt0 float64 // raw number at no pressure
	perPa  float64 // raw numbers per Pa
	most   float64 // largest number the converter sends; 0: no converter
}

func newCampaignRig(bits int) (campaignRig, error) {
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		return campaignRig{}, err
	}
	r.Sensor.Bits = bits
	if bits > 0 {
		r.Sensor.Divisor = math.Ldexp(1, bits)
	} else {
		r.Sensor.Reference, r.Sensor.Divisor, r.Sensor.Divider, r.Sensor.Shunt = 0, 0, 0, 0
	}
	if err := r.Validate(); err != nil {
		return campaignRig{}, fmt.Errorf("example rig with %d bits: %w", bits, err)
	}
	c := campaignRig{rig: r, chain: r.Chain(), bounds: r.Bounds(), full: math.Inf(1)}
	for _, b := range c.bounds {
		c.full = min(c.full, float64(b.PressureAt(1)))
	}
	c.force = float64(c.chain.Specimen(si.Pressure(c.full)))
	p0, _ := c.chain.Pressure(0)
	p1, _ := c.chain.Pressure(1)
	c.perPa = 1 / float64(p1-p0)
	c.rawAt0 = -float64(p0) * c.perPa
	if bits > 0 {
		c.most = math.Ldexp(1, bits) - 1
	}
	return c, nil
}

// campaignRigs are the rigs by their bits.
func campaignRigs() (map[int]*campaignRig, error) {
	rigs := map[int]*campaignRig{}
	for _, bits := range []int{0, 10, 12, 16, 24} {
		r, err := newCampaignRig(bits)
		if err != nil {
			return nil, err
		}
		rigs[bits] = &r
	}
	return rigs, nil
}

// raw is what the board sends at an absolute pressure.
func (c *campaignRig) raw(p float64) float64 {
	v := c.rawAt0 + p*c.perPa
	if c.most > 0 {
		return min(max(math.Round(v), 0), c.most)
	}
	return math.Round(max(v, 0)*1e4) / 1e4
}

// ratio is the largest load ratio at a true pressure above the zero.
func (c *campaignRig) ratio(p, abs float64) float64 {
	worst := math.Inf(-1)
	for i := range c.bounds {
		worst = max(worst, c.bounds[i].Ratio(si.Pressure(p), si.Pressure(abs)))
	}
	return worst
}

func seconds(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }
