package sim

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"draghand/internal/si"
)

// fault is an act of the sensor or the board with all draws done.
type fault struct {
	kind   ActKind
	at     time.Duration // when it begins
	until  time.Duration // when it ends
	level  si.Pressure   // clipped: the pressure it saturates at
	size   float64       // of spike (share of the range, 0: drawn each time) and noise (SD, Pa)
	left   int           // of spikes still to come
	every  float64       // s between them, on average
	next   time.Duration // when the next one comes
	frozen float64       // stuck: the number that stays
	begun  bool
}

// The faults' figures. Those under load begin at 60 % of the peak force.
const (
	faultLoad  = 0.60
	spikeLow   = 0.30 // of the range, added to one reading
	spikeHigh  = 0.80
	spikeEvery = 1.5 // s, between half and one and a half of it
	noiseTimes = 20.0
	resetGone  = 400 * time.Millisecond
	dropLow    = 20e-3 // s
	dropHigh   = 150e-3
)

const never = time.Duration(math.MaxInt64)

// banner is what a board may print at its start: the head of a line that was
// never finished, line noise with an escape sequence in it, a greeting.
const banner = "109,5\x00\xfe\xff\x1b[31m\x80\r\nsimulated board, pull sensor\r\nwarming up ...\r\n"

// addFault takes an electrical act of the script, after the pull itself is
// worked out.
func (s *Sim) addFault(a Act, r *rand.Rand) error {
	f := fault{kind: a.Kind, at: s.moment(a), until: never}
	if a.For > 0 && f.at < never-a.For {
		f.until = f.at + a.For
	}
	switch a.Kind {
	case Open:
		if !s.xducr.electric {
			return fmt.Errorf("fault %q needs a sensor with a wire to come off: this rig's board sends %s", a.Kind, s.opt.Rig.Sensor.Kind)
		}
	case Clipped:
		f.level = s.pull.at(min(f.at, s.pull.end())).TruePressure
	case Spike:
		if a.At == 0 {
			f.at = s.opt.Idle
		}
		f.size, f.left, f.every = a.Size, math.MaxInt, spikeEvery
		if a.Times > 0 { // spread over the pull
			f.left = a.Times
			f.every = max(0, (s.pull.end()-f.at).Seconds()) / float64(a.Times+1)
		}
		f.next = f.at
	case Banner:
		f.at = 0
	case Noise:
		if a.At == 0 && a.Share == 0 {
			f.at = 0
		}
		if f.until = never; a.For > 0 {
			f.until = f.at + a.For
		}
		f.size = noiseTimes * float64(s.xducr.sd)
		if a.Size > 0 {
			f.size = a.Size * float64(s.truth.PeakGauge)
		}
	case Wrap:
		c := &s.board.clock
		if c.wrap == 0 {
			return fmt.Errorf("fault %q needs a board clock that wraps: the rig's source gives none", a.Kind)
		}
		if f.at == never {
			break
		}
		c.start = float64(c.wrap) - f.at.Seconds()*c.perSecond*c.rate
		if c.start < 0 { // a clock too narrow for the pull wraps before, too
			c.start += math.Ceil(-c.start/float64(c.wrap)) * float64(c.wrap)
		}
	case Unplug:
		f.gone(a.For, UnplugFor)
	case Reset:
		f.gone(a.For, resetGone)
	case Dropout:
		if a.For == 0 {
			a.For = seconds(spread(r, dropLow, dropHigh))
		}
		for i := range max(1, a.Times) {
			one := f
			if i > 0 { // more of them anywhere from there to the end
				one.at = f.at + time.Duration(r.Float64()*float64(max(0, s.pull.end()-f.at)))
			}
			one.gone(a.For, 0)
			s.happens(one)
		}
		return nil
	}
	s.happens(f)
	return nil
}

func (f *fault) gone(given, usual time.Duration) {
	if given == 0 {
		given = usual
	}
	f.until = never
	if f.at < never-given {
		f.until = f.at + given
	}
}

// happens keeps the fault and its event.
func (s *Sim) happens(f fault) {
	if f.at == never {
		return
	}
	e := Event{Kind: EventKind(f.kind), At: f.at, Until: f.at}
	if f.until != never {
		e.Until = f.until
	}
	e.From, e.To = s.pull.at(e.At).TrueSpecimen, s.pull.at(e.Until).TrueSpecimen
	s.truth.Events = append(s.truth.Events, e)
	switch f.kind {
	case Unplug, Reset, Dropout, End:
		s.losses = append(s.losses, f)
	case Wrap:
	default:
		s.faults = append(s.faults, f)
	}
}

// moment is when an electrical act begins. Its share is of this pull's own
// peak, so that it comes also where the bar is let off early.
func (s *Sim) moment(a Act) time.Duration {
	share := a.Share
	switch {
	case a.At > 0:
		return a.At
	case share == 0:
		share = faultLoad
	}
	tr := &s.truth
	if share > 1 {
		return tr.PeakAt + time.Duration((share-1)*float64(tr.EndAt-tr.PeakAt))
	}
	if at, ok := s.pull.reaches(share * float64(tr.PeakSpecimen)); ok {
		return at
	}
	return never
}

// lose lets go the readings that never arrive. It gives the time of the next
// one, what the board sends before it, and whether the source itself is gone.
func (s *Sim) lose(t time.Duration) (time.Duration, string, *fault) {
	before := ""
	for i := range s.losses {
		l := &s.losses[i]
		if l.begun || t < l.at {
			continue
		}
		l.begun = true
		switch l.kind {
		case End:
			s.ended = true
			return t, before, l
		case Unplug:
			s.skip(l.until - l.at)
			s.board.restart(s.timeOf(s.n))
			return t, before, l
		case Reset:
			s.skip(l.until - l.at)
			t = s.timeOf(s.n)
			s.n++
			s.board.restart(t)
			before = banner
		case Dropout:
			if l.until <= t {
				continue // shorter than the way from one reading to the next
			}
			s.skip(l.until - t)
			t = s.timeOf(s.n)
			s.n++
		}
	}
	return t, before, nil
}

// apply does the fault to a sample whose number is already there.
func (f *fault) apply(s *Sim, smp *Sample) {
	if smp.T < f.at || smp.T >= f.until {
		return
	}
	first := !f.begun
	f.begun = true
	switch f.kind {
	case Open:
		// No current: the converter sees its own noise around nothing.
		smp.Raw = max(0, s.xducr.clamp(s.odd.NormFloat64()*0.4*s.xducr.count()))
	case Stuck:
		if first {
			f.frozen = smp.Raw
		}
		smp.Raw = f.frozen
	case Clipped:
		if smp.TruePressure >= f.level {
			smp.Raw = s.xducr.clamp(s.xducr.full)
		}
	case Spike:
		if first {
			f.next = smp.T + seconds(f.every)
			if f.left == math.MaxInt {
				f.next = smp.T + s.Period()
			}
			return
		}
		if smp.T >= f.next && f.left > 0 {
			size := f.size
			if size == 0 {
				size = uniform(s.odd, spikeLow, spikeHigh)
			}
			smp.Raw = s.xducr.clamp(smp.Raw + size*s.xducr.gain*s.xducr.span)
			f.next = smp.T + max(2*s.Period(), seconds(f.every*(0.5+s.odd.Float64())))
			if f.left != math.MaxInt {
				f.left--
			}
		}
	case Banner:
		if first {
			smp.Before = banner
		}
	case Noise:
		smp.Raw = s.xducr.clamp(smp.Raw + f.size*s.xducr.gain*s.odd.NormFloat64())
	}
}

// sortEvents puts the truth in order and says which of it a log is told.
func (s *Sim) sortEvents() {
	slices.SortStableFunc(s.truth.Events, func(a, b Event) int { return int(min(1, max(-1, a.At-b.At))) })
	slices.SortStableFunc(s.losses, func(a, b fault) int { return int(min(1, max(-1, a.at-b.at))) })
	s.notes = s.notes[:0]
	for _, e := range s.truth.Events {
		k := ActKind(e.Kind)
		if !k.mechanical() && !k.electrical() {
			continue
		}
		if s.truth.FaultAt == 0 && len(s.notes) == 0 {
			s.truth.FaultAt = e.At
		}
		text := "fault " + string(k)
		switch k {
		case Reset, Dropout:
			text += fmt.Sprintf(" (silent from t_s=%.6f)", e.At.Seconds())
		}
		s.notes = append(s.notes, remark{e.At, text})
	}
}

// remark is a line for a log, due at a time.
type remark struct {
	at   time.Duration
	text string
}

// noted are the remarks due at the sample.
func (s *Sim) noted(t time.Duration) string {
	text := ""
	for s.told < len(s.notes) && s.notes[s.told].at <= t {
		if text != "" {
			text += "; " // two at once, rare
		}
		text += s.notes[s.told].text
		s.told++
	}
	return text
}
