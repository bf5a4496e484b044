// Package sim is a simulated rig: a hand-pumped press pushes a closed-off ram,
// a fixture turns the push into a pull, a bar of simulated metal stretches and
// breaks, a transducer and a small board turn the oil pressure into lines of
// text. No metal is broken for it and no number from it says anything about a
// real bar; docs/simulator.md tells the model and what it leaves out.
//
// A Sim is deterministic from its Options: no wall clock, no global state. The
// mechanics and the noise draw from streams of their own, so the same seed
// gives the same pull at any sampling rate. Feed paces a Sim by the wall clock
// for a live pull; package ptylink serves one on a pseudo-terminal.
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

// The defaults of Options.
const (
	DefaultRate     = 200.0 // Hz: a steady picture, and well within what 115,200 baud carries
	DefaultIdle     = 3 * time.Second
	DefaultDiameter = si.Length(12.5 * si.Millimetre)
	DefaultAlloy    = "C90500"
	DefaultHold     = 10 * time.Second
	DefaultTarget   = 0.6 // of the bar's strength: what a proof is pumped to
)

// Options say which pull to simulate. Only Rig must be given.
type Options struct {
	Rig      *rig.Rig      // as resolved; taken at its word: area, friction and, but for TrueShare, share are the true ones
	Alloy    string        // one of Alloys, "" for C90500
	Diameter si.Length     // of the bar, 2 to 50 mm, 0 for 12.5 mm
	Seed     uint64        // every draw hangs on it
	Rate     float64       // readings a second, 1 to 100,000; 0 for the rig's, else 200
	Idle     time.Duration // at zero before the first stroke; 0 for 3 s, negative for none
	Kind     Kind          // "" for Tension
	Fault    string        // ready-made scripts: names of Faults, separated by commas; "" for none
	Script   []Act         // and what else happens, in any order
	// Noise is the SD of the noise as a fraction of the peak of the gauge
	// pressure, 0 to 0.25; 0 for the transducer's own.
	Noise float64
	// Target and Hold are of a Proof: the force on the specimen (0: 0.6 of the
	// bar's strength) and how long it is held (0: 10 s).
	Target si.Force
	Hold   time.Duration
	// TrueShare is what the specimen's own place really carries of the ram's
	// force, whatever the rig file says, 0.05 to 0.95; 0: what it says.
	TrueShare float64
	// TrueArea is the ram's real effective area (0: as the file says), TrueFriction
	// the seals' real friction (0: as the file says, negative: none), SensorGain how
	// much more the transducer tells than it feels, as a fraction, −0.2 to 0.2.
	TrueArea     si.Area
	TrueFriction float64
	SensorGain   float64
	// Loads are of Steps: what the reference is brought to, one after the other, in
	// N, or Pa where On is the gauge; none: DefaultLoads. Each is held for Hold, or
	// with Wait until Taken.
	Loads []float64
	On    rig.Place // where the reference stands: gauge, ram or specimen; "": specimen
	Wait  bool
	Far   bool // the bar stands in the far side's place; two-sided rigs only
	// ClockSpeed is simulated time over the board's: a port served n times as
	// fast as life has a board whose clock counts the wall's seconds, n times
	// fewer. 0 for 1.
	ClockSpeed float64
}

// Sample is one reading with the truth behind it.
type Sample struct {
	T     time.Duration // since the simulated start, true time
	Board uint64        // the board's clock as sent: ms where its unit is "ms", else µs, wrapped
	Raw   float64       // as sent: a whole converter code, or a decimal number where the board sends units

	TruePressure si.Pressure // oil, gauge
	TrueRam      si.Force
	TrueSpecimen si.Force
	Phase        Phase
	Broken       bool

	Before string // bytes the board sends ahead of the line (a banner), usually empty
	Note   string // what fault begins here, for a log; usually empty
	// Unplug says that the source vanishes now: no line is sent, the next
	// sample is UnplugFor later and comes from a board that started anew.
	Unplug bool
}

// UnplugFor is how long the source of the fault "unplug" is gone.
const UnplugFor = 3 * time.Second

// Phase is where the simulated bar is.
type Phase string

// The phases of a simulated bar.
const (
	Idle    Phase = "idle"    // nobody pumps yet
	Slack   Phase = "slack"   // the fixture settles at low force
	Elastic Phase = "elastic" // straight up
	Plastic Phase = "plastic" // past yield, hardening
	Necking Phase = "necking" // past the peak
	Broken  Phase = "broken"

	Released Phase = "let-off" // the valve is open, or all is off
)

// Truth is what really happened in the simulated pull, known beforehand.
type Truth struct {
	Alloy        string
	Area         si.Area
	PeakAt       time.Duration
	PeakSpecimen si.Force
	PeakRam      si.Force    // at PeakAt
	PeakGauge    si.Pressure // at PeakAt
	BreakAt      time.Duration
	BreakForce   si.Force      // on the specimen, the instant before
	Fall         time.Duration // from BreakForce to nothing
	Strength     si.Stress     // PeakSpecimen on Area
	Yield        si.Stress     // 0.2 % offset; 0 where the bar breaks before it
	Elongation   float64       // plastic, at the break, over 5 diameters
	Strokes      int           // of the pump until the break
	FaultAt      time.Duration // when the fault begins; 0 without one
	ZeroOffset   si.Pressure   // what the transducer reads at no pressure
	NoiseSD      si.Pressure

	Kind     Kind
	Outcome  Outcome
	EndAt    time.Duration // nothing more happens to the bar after it
	Upper    si.Force      // upper yield on the specimen, 0 for a metal without a yield drop
	UpperAt  time.Duration
	Lower    si.Force // lower yield
	LowerAt  time.Duration
	Expected si.Force // on the specimen: the bar's strength, reached or not
	Events   []Event  // all that happened, in order

	Steps []TrueStep // of Steps
}

// Sim is one simulated pull. It is not safe for concurrent use.
type Sim struct {
	opt   Options
	pull  course
	xducr transducer
	board board
	noise *rand.Rand
	odd   *rand.Rand // draws of the faults
	truth Truth

	faults []fault // that change a reading
	losses []fault // that lose readings
	notes  []remark
	told   int  // notes already given
	ended  bool // the readings are over

	n uint64 // index of the next sample

	late  time.Duration // of Steps: how long it has waited for points
	held  int           // the load it is at or on its way to
	taken bool          // and whether its point is
}

// The streams of random numbers of one seed.
const (
	streamBar = iota + 1
	streamPump
	streamSensor
	streamNoise
	streamBoard
	streamFault
	streamScript
	streamBlock
)

// stream is a generator of its own for each purpose, so that drawing more
// noise (a higher rate) changes nothing in the bar.
func stream(seed uint64, n uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, n)) }

// New works out the whole pull. Errors name the option that is wrong and what
// would be right.
func New(o Options) (*Sim, error) {
	s := new(Sim)
	if err := s.Renew(o); err != nil {
		return nil, err
	}
	return s, nil
}

// Renew makes s another pull and takes over its memory, for who works out
// pulls by the thousand. After an error s is of no use until renewed.
func (s *Sim) Renew(o Options) error {
	if o.Rig == nil {
		return errors.New("simulated rig: no rig given")
	}
	if err := o.fill(); err != nil {
		return err
	}
	m, err := findMetal(o.Alloy)
	if err != nil {
		return err
	}
	acts, err := o.script()
	if err != nil {
		return err
	}
	*s = Sim{pull: course{steps: s.pull.steps}, opt: o, noise: stream(o.Seed, streamNoise), odd: stream(o.Seed, streamFault)}
	random := stream(o.Seed, streamScript)
	if o.Kind == Steps {
		err = s.steps(acts)
	} else {
		err = s.work(&m, acts, random)
	}
	if err != nil {
		return err
	}
	if s.xducr, err = newTransducer(o.Rig, stream(o.Seed, streamSensor)); err != nil {
		return err
	}
	s.xducr.gain *= 1 + o.SensorGain
	s.xducr.sd = si.Pressure(math.Hypot(float64(s.xducr.sd), o.Noise*float64(s.truth.PeakGauge)))
	s.board = newBoard(o.Rig, stream(o.Seed, streamBoard), o.Rate, o.ClockSpeed)
	s.truth.ZeroOffset, s.truth.NoiseSD = s.xducr.offset, s.xducr.sd
	for _, a := range acts {
		if a.Kind.electrical() {
			if err := s.addFault(a, random); err != nil {
				return err
			}
		}
	}
	s.sortEvents()
	return nil
}

// fill puts in the defaults and refuses what cannot be.
func (o *Options) fill() error {
	r := o.Rig
	if o.Alloy == "" {
		o.Alloy = DefaultAlloy
	}
	if o.Diameter == 0 {
		o.Diameter = DefaultDiameter
	}
	if o.ClockSpeed == 0 {
		o.ClockSpeed = 1
	}
	if o.Rate == 0 {
		o.Rate = DefaultRate
		if r.Source.Rate > 0 {
			o.Rate = r.Source.Rate
		}
	}
	switch {
	case o.Idle == 0:
		o.Idle = DefaultIdle
	case o.Idle < 0:
		o.Idle = 0
	}
	if o.Kind == "" {
		o.Kind = Tension
	}
	if o.Hold == 0 {
		o.Hold = DefaultHold
	}
	if o.On == "" {
		o.On = rig.AtSpecimen
	}
	if o.Kind == Steps && len(o.Loads) == 0 {
		o.Loads = DefaultLoads(o.On)
	}
	errs := o.refuse()
	if !(o.Diameter >= 2*si.Millimetre && o.Diameter <= 50*si.Millimetre) {
		errs = append(errs, fmt.Errorf("simulated bar of %s: the diameter must lie between 2 mm and 50 mm", o.Diameter.Text(si.Metric)))
	}
	if !(o.Rate >= 1 && o.Rate <= 100e3) {
		errs = append(errs, fmt.Errorf("simulated rate of %g Hz: it must lie between 1 and 100000", o.Rate))
	}
	if !(o.ClockSpeed >= 0.01 && o.ClockSpeed <= 10e3) {
		errs = append(errs, fmt.Errorf("simulated clock at speed %g: it must lie between 0.01 and 10000", o.ClockSpeed))
	}
	if o.Idle > time.Hour {
		errs = append(errs, fmt.Errorf("simulated idle of %s: an hour is the longest", o.Idle))
	}
	if !(float64(r.Ram.Area) > 0) {
		errs = append(errs, errors.New("simulated rig: the ram has no area"))
	}
	if !(r.Path.Share > 0 && r.Path.Share <= 1) {
		errs = append(errs, fmt.Errorf("simulated rig: the share of the load path is %g, it must lie above 0 and up to 1", r.Path.Share))
	}
	if o.TrueShare != 0 && !(o.TrueShare >= 0.05 && o.TrueShare <= 0.95) {
		errs = append(errs, fmt.Errorf("simulated rig: a true share of %g, it must lie from 0.05 to 0.95", o.TrueShare))
	}
	if (o.Far || o.TrueShare != 0) && r.TakesSides() != nil {
		errs = append(errs, fmt.Errorf("simulated rig: no bar on the far side and no true share of its own: %w", r.TakesSides()))
	}
	if f := o.friction(); !(f >= 0 && f < 0.5) {
		errs = append(errs, fmt.Errorf("simulated rig: the seal friction is %g, it must lie from 0 to below 0.5", f))
	}
	if sep := r.Source.Separator; len(sep) > 1 && sep != "space" && sep != "tab" {
		errs = append(errs, fmt.Errorf("simulated rig: the separator %q is more than one character", sep))
	}
	return errors.Join(errs...)
}

// Options are the options in force, defaults filled in.
func (s *Sim) Options() Options { return s.opt }

// Truth is what this pull will do.
func (s *Sim) Truth() Truth { return s.truth }

// Next is the next reading. After the pull the rig idles on for ever, so ok is
// true but where an act End ends the readings; the sample then bears the time.
// Next allocates nothing but for the text of two remarks at once.
func (s *Sim) Next() (smp Sample, ok bool) {
	t := s.timeOf(s.n)
	s.n++
	if s.ended {
		return Sample{T: t}, false
	}
	before := ""
	if len(s.losses) > 0 {
		var gone *fault
		if t, before, gone = s.lose(t); gone != nil {
			smp = s.at(t)
			smp.Note, smp.Unplug = s.noted(t), gone.kind == Unplug
			return smp, smp.Unplug
		}
	}
	smp = s.at(t)
	smp.Before = before
	sensed := smp.TruePressure
	if smp.Broken {
		sensed += s.xducr.zeroReturn
	}
	smp.Raw = s.xducr.raw(sensed + s.xducr.offset + s.xducr.sd*si.Pressure(s.noise.NormFloat64()))
	for i := range s.faults {
		s.faults[i].apply(s, &smp)
	}
	if s.told < len(s.notes) {
		smp.Note = s.noted(t)
	}
	smp.Board = s.board.stamp(t)
	return smp, true
}

// at is the rig at a true time, the sensor left out.
func (s *Sim) at(t time.Duration) Sample {
	if s.opt.Kind != Steps {
		return s.pull.at(t)
	}
	smp := s.pull.at(s.inTime(t))
	smp.T = t
	return smp
}

// Period is the true time from one reading to the next.
func (s *Sim) Period() time.Duration { return s.timeOf(1) }

func (s *Sim) timeOf(n uint64) time.Duration {
	return time.Duration(math.Round(float64(n) * 1e9 / s.opt.Rate))
}

// skip leaves out the readings of the next d.
func (s *Sim) skip(d time.Duration) {
	s.n += uint64(math.Ceil(d.Seconds()*s.opt.Rate)) - 1
}

// AppendLine appends the reading to dst as the board sends it: Before, then
// the columns of the rig's source, its checksum if any, and a newline.
func (s *Sim) AppendLine(dst []byte, smp Sample) []byte {
	dst = append(dst, smp.Before...)
	if smp.Unplug {
		return dst
	}
	return s.board.appendLine(dst, smp.Board, smp.Raw, s.xducr.decimals)
}

// Describe is one line for a person: what is simulated.
func (s *Sim) Describe() string {
	var b strings.Builder
	fmt.Fprint(&b, "simulated ")
	switch s.opt.Kind {
	case Crush:
		fmt.Fprint(&b, "crush of a block of ")
	case Proof:
		fmt.Fprint(&b, "proof of ")
	}
	if s.opt.Kind == Steps {
		fmt.Fprint(&b, s.opt.describeSteps())
	} else {
		fmt.Fprintf(&b, "%s, %s", s.truth.Alloy, s.opt.Diameter.Text(s.opt.Rig.Units))
	}
	fmt.Fprintf(&b, ", seed %d, %g readings a second", s.opt.Seed, s.opt.Rate)
	if s.opt.Fault != "" {
		fmt.Fprintf(&b, ", fault %s", s.opt.Fault)
	}
	return b.String()
}
