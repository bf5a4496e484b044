package pull

import (
	"math"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// Engine is the state of one pull. It is not safe for concurrent use.
//
//	reading -> pressure by the sensor's line -> median of three -> short mean
//	   |              |                            |                 |
//	   |              stop alarm                   drag hand, falls  caution, warning
//	   faults: blind                               phases            buckets: zero, pace
//
// Everything is judged in gauge pressure, of which all forces are straight
// lines; forces are only worked out for the person. Pressures inside the engine
// are float64 pascals by the sensor's own line ("absolute"); what is above the
// zero is marked so.
type Engine struct {
	cfg   Config
	chain rig.Chain
	units si.System

	span      float64     // range of the sensor, Pa
	step      float64     // one converter count, Pa; 0: no counts
	perRaw    float64     // Pa per one of the raw number
	perPa     float64     // specimen force per Pa from the knee on, m²
	knee      si.Pressure // of a calibration line with an offset; 0: none
	foot      float64     // specimen force per Pa below it
	nearest   float64     // Pa above the zero that load the nearest limit fully; 0: no limit known
	firstAt   int         // index of that limit
	threshold float64     // Pa above the zero from where the rig counts as loaded
	blindFor  time.Duration

	t        time.Duration
	readings int
	faults   int
	badLines int
	gaps     int
	slips    int
	unseen   int
	signal   rig.Signal

	last   spot          // newest valid reading
	have   bool          // there is one
	firstT time.Duration // of the first valid reading
	holed  bool          // a fault or mark came since
	median median3
	mid    spot // spike-proof reading
	midOK  bool
	mean   mean // short mean of the medians

	buckets buckets
	ring    [ringCount]moment
	ringN   int
	// sinceHole is the first reading of the ring after the last hole.
	sinceHole  int
	belowSince time.Duration // the force has been far under the zero, or never
	// holedAt is when the force was seen again after so long that a break could
	// have hidden in it.
	holedAt time.Duration
	view    view
	cells   cells

	slackStats noise
	slackNoise slackNoise
	sd         float64 // noise, Pa
	noiseSet   bool    // sd is more than a beginning

	zero     Zero
	zeroAt   float64 // Pa, what is taken off
	base     float64 // Pa, lowest plausible level seen while there is no zero
	haveBase bool
	zeroTold bool
	// refusedAt is when the newest reason against a zero was found.
	refusedAt time.Duration

	hand     dragHand
	bias     bias
	pace     pace
	strokes  strokes
	givingAt si.Force // 0: nothing but the specimen was seen to give
	look     sight
	atPeak   atPeak
	apart    Apart // of the newest break
	gave     gave

	limits  []limitState
	levels  [Stop + 1]float64 // fraction of the allowable, by Level
	calm    float64           // Pa, absolute: below it no limit has anything to say
	half    float64           // Pa, absolute: below it no limit has a lead time
	allCalm bool              // no limit has an alarm active or soon
	blind   slot
	worst   Level
	tripOK  bool

	phase phases

	events    []Event
	outLimits []Limit
	outAlarms []Alarm
	outBreak  Break
	outYield  YieldDrop
	outHold   Hold
	outGave   FirstYield
}

// moment is a valid reading in the ring that the edge of a fall is found on.
type moment struct {
	t   time.Duration
	raw float64
	p   float64 // Pa, absolute
}

// ringCount readings are kept singly: 82 ms at 50 kHz, more than a break takes,
// and minutes at 10 Hz. A power of two.
const ringCount = 4096

// New makes an engine that has seen nothing yet. A nil Rig and a Rig that does
// not hold together give an engine that trusts no reading.
func New(cfg Config) *Engine {
	if cfg.Rig == nil {
		cfg.Rig = &rig.Rig{}
	}
	if cfg.Kind == "" {
		cfg.Kind = Tension
	}
	if !(cfg.Area > 0) || math.IsInf(float64(cfg.Area), 0) {
		cfg.Area = 0
	}
	e := &Engine{cfg: cfg, chain: cfg.Rig.Chain(), units: cfg.Rig.Units, tripOK: true, firstAt: -1}
	e.span = number(float64(e.chain.Range()))
	e.step = math.Abs(number(float64(e.chain.Step())))
	p0, _ := e.chain.Pressure(0)
	p1, _ := e.chain.Pressure(1)
	e.perRaw = math.Abs(number(float64(p1 - p0)))
	const probe = 1e7 // Pa: any two points tell a straight line, far apart ones tell it best
	e.knee = e.chain.Knee()
	e.perPa = number(float64(e.chain.Specimen(e.knee+probe)-e.chain.Specimen(e.knee)) / probe)
	e.foot = e.perPa
	if e.knee > 0 {
		e.foot = number(float64(e.chain.Specimen(e.knee)-e.chain.Specimen(0)) / float64(e.knee))
	}
	e.blindFor = blindAfter
	if hz := cfg.Rig.Source.Rate; hz > 0 && hz < 1e6 {
		if slow := blindReadings / hz; slow > blindAfter.Seconds() && slow < 3600 {
			e.blindFor = time.Duration(slow * float64(time.Second))
		}
	}
	e.makeLimits()
	e.setNoise(0)
	e.noiseSet = false
	e.phase.now = Slack
	e.phase.over, e.phase.reload, e.phase.regain, e.phase.gone = never, never, never, never
	e.look.since = never
	e.belowSince, e.blind.below, e.strokes.at, e.holedAt = never, never, never, never
	e.events = make([]Event, 0, 8+4*len(e.limits))
	return e
}

// per is what the force on the specimen changes by with each Pa at a pressure above
// the zero, m².
func (e *Engine) per(p float64) float64 {
	if p < float64(e.knee) {
		return e.foot
	}
	return e.perPa
}

// never is a time that has not come.
const never = time.Duration(-1)

// number is v, or 0 where v is no finite number.
func number(v float64) float64 {
	if v-v != 0 {
		return 0
	}
	return v
}

// Step takes one reading or mark and tells what changed by it. A time before
// the last one is taken as the last one. The slice is valid until the next
// Step.
func (e *Engine) Step(r Reading) []Event {
	e.events = e.events[:0]
	if r.T > e.t {
		e.t = r.T
	}
	if r.Mark != NoMark {
		e.mark(r)
		return e.events
	}
	e.readings++
	p, sig := e.chain.Pressure(r.Raw)
	if sig == rig.OK && !(math.Abs(float64(p)) <= absurdPressure) {
		sig = rig.NotANumber
	}
	e.signal = sig
	if sig != rig.OK {
		e.fault(sig)
		return e.events
	}
	e.valid(spot{t: e.t, raw: r.Raw, p: float64(p)})
	return e.events
}

// valid takes a reading that can be trusted through the whole engine.
func (e *Engine) valid(s spot) {
	before, had := e.last, e.have
	if !had {
		e.firstT = s.t
	}
	dt := time.Duration(0)
	if had {
		dt = s.t - before.t
		e.gap(dt)
	}
	e.clippedNoMore(s.p)
	e.watchStuck(s, before, had)
	e.last, e.have = s, true
	e.ring[e.ringN&(ringCount-1)] = moment(s)
	e.ringN++
	e.seen()

	hole := e.holed || dt > zeroHole
	e.holed = false
	mid, ok := e.median.add(s)
	e.mid, e.midOK = mid, ok
	unseen := dt > e.blindFor/2 // a faulty reading now and then is not
	if unseen {
		e.sinceHole, e.holedAt = e.ringN-1, e.t
		e.slackNoise.restart()
	}
	if ok && e.phase.now == Slack && (e.phase.over == never || !e.noiseKnown()) {
		e.slackNoise.add(mid.p)
	}
	e.confirm()
	e.stepView(unseen)
	f := s.p
	if ok {
		f = e.mean.add(mid.p, dt)
	}
	e.checkLimits(s, before, had, f, ok)
	e.moveHand(s, mid, ok)

	c := e.spikeless(s)
	if e.buckets.add(c.t, c.raw, c.p, e.level(), hole) {
		e.bucketClosed()
	}
	if ok {
		e.stepPhase()
	}
}

// bucketClosed does what need not be done at every reading.
func (e *Engine) bucketClosed() {
	if e.phase.now == Slack && !e.zero.Set {
		if e.noiseKnown() {
			e.setNoise(e.slackNoise.sd())
		}
		e.findBase()
		e.firstZero()
	}
	e.chooseView()
	e.recentTop()
	e.updatePace()
	if e.underway() {
		e.stepBias()
		if e.cfg.Kind == Crush {
			e.stepGave()
		}
	}
	e.zeroReturn()
	e.belowZero()
}

// mark takes something that is no reading.
func (e *Engine) mark(r Reading) {
	switch r.Mark {
	case Bad:
		e.badLines += max(1, r.Count)
		e.checkSight()
	case Lost:
		e.away(unplugged)
	case Silent:
		e.away(silent)
	case Back:
		// The source is there; the force is seen again when a valid reading comes.
	case Reset:
		e.boardReset()
	case TakeZero:
		e.askedZero()
	case Ack:
		e.acknowledge()
	case End:
		e.end()
	}
}

// above is a pressure above the zero in force.
func (e *Engine) above(p float64) float64 { return p - e.zeroAt }

// setNoise sets the noise and what hangs on it.
func (e *Engine) setNoise(sd float64) {
	e.sd, e.noiseSet = number(sd), true
	e.chooseView()
	e.setThreshold()
}

// noiseKnown says that slack was long enough to tell the noise.
func (e *Engine) noiseKnown() bool {
	return e.slackNoise.n >= noiseReadings || e.slackNoise.n >= noiseFew && e.sinceFirst() >= noiseTime
}

// sinceFirst is the time since the first valid reading.
func (e *Engine) sinceFirst() time.Duration { return e.t - e.firstT }

// loadShare is the load that counts as one if there is no noise, Pa.
func (e *Engine) loadShare() float64 {
	if e.nearest > 0 {
		return e.nearest * loadingShare
	}
	if e.span > 0 {
		return e.span * loadingRange
	}
	return 1 // Pa: a rig without limits and range; nothing is loaded at zero
}

// setThreshold sets from where the rig counts as loaded.
func (e *Engine) setThreshold() {
	noise := loadingNoise * e.view.sd
	if e.nearest > 0 {
		noise = min(noise, loadingMost*e.nearest)
	}
	e.threshold = max(e.loadShare(), noise)
}

// point is a reading in every quantity, with the zero in force now.
func (e *Engine) point(s spot) Point {
	p := si.Pressure(number(e.above(s.p)))
	f := si.Force(number(float64(e.chain.Specimen(p))))
	return Point{
		T:        s.t,
		Raw:      s.raw,
		Gauge:    p,
		Ram:      si.Force(number(float64(e.chain.Ram(p)))),
		Specimen: f,
		Stress:   si.Stress(number(float64(si.StressOn(f, e.cfg.Area)))),
	}
}

// tell adds an event.
func (e *Engine) tell(ev Event) {
	ev.T = e.t
	ev.Phase = e.phase.now
	e.events = append(e.events, ev)
}
