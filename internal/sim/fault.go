package sim

import (
	"fmt"
	"strings"
	"time"

	"draghand/internal/si"
)

type faultKind uint8

const (
	faultNone faultKind = iota
	faultUnplug
	faultOpen
	faultStuck
	faultClipped
	faultSpike
	faultBanner
	faultWrap
	faultReset
	faultNoise
)

// faultWords are the names of the faults, in the order of their kinds.
func faultWords() []string {
	return []string{"unplug", "open", "stuck", "clipped", "spike", "banner", "wrap", "reset", "noise"}
}

// Faults are the names of the faults a Sim can have.
func Faults() []string { return faultWords() }

// fault is the one fault of a pull.
type fault struct {
	kind   faultKind
	at     time.Duration // when it begins
	level  si.Pressure   // clipped: the pressure it saturates at
	next   time.Duration // spike: when the next one comes
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
)

// banner is what a board may print at its start: the head of a line that was
// never finished, line noise with an escape sequence in it, a greeting.
const banner = "109,5\x00\xfe\xff\x1b[31m\x80\r\nsimulated board, pull sensor\r\nwarming up ...\r\n"

func newFault(name string, s *Sim) (fault, error) {
	f := fault{}
	if name == "" {
		return f, nil
	}
	for i, w := range faultWords() {
		if strings.EqualFold(name, w) {
			f.kind = faultKind(i + 1)
		}
	}
	f.at = s.pull.reaches(faultLoad)
	switch f.kind {
	case faultNone:
		return f, fmt.Errorf("no simulated fault is named %q: choose one of %s", name, strings.Join(faultWords(), ", "))
	case faultOpen:
		if !s.xducr.electric {
			return f, fmt.Errorf("fault %q needs a sensor with a wire to come off: this rig's board sends %s", name, s.opt.Rig.Sensor.Kind)
		}
	case faultClipped:
		f.level = s.pull.at(f.at).TruePressure
	case faultSpike:
		f.at = s.opt.Idle
		f.next = f.at
	case faultBanner, faultNoise:
		f.at = 0
	case faultWrap:
		c := &s.board.clock
		if c.wrap == 0 {
			return f, fmt.Errorf("fault %q needs a board clock that wraps: the rig's source gives none", name)
		}
		c.start = float64(c.wrap) - f.at.Seconds()*c.perSecond*c.rate
		for c.start < 0 { // a clock too narrow for the pull wraps before, too
			c.start += float64(c.wrap)
		}
	}
	return f, nil
}

// apply does the fault to a sample whose number is already there.
func (f *fault) apply(s *Sim, smp *Sample) {
	if smp.T < f.at {
		return
	}
	first := !f.begun
	f.begun = true
	if first {
		smp.Note = "fault " + faultWords()[f.kind-1]
	}
	span := s.xducr.span
	switch f.kind {
	case faultUnplug, faultReset:
		if !first {
			return
		}
		gone := UnplugFor
		if f.kind == faultUnplug {
			smp.Unplug = true
		} else {
			// The reading itself is lost: the board comes back in its place.
			gone = resetGone
			smp.Note += fmt.Sprintf(" (silent from t_s=%.6f)", smp.T.Seconds())
		}
		s.skip(gone)
		back := s.timeOf(s.n)
		s.board.restart(back)
		if f.kind == faultReset {
			note := smp.Note
			*smp, _ = s.Next()
			smp.Note, smp.Before = note, banner
		}
	case faultOpen:
		// No current: the converter sees its own noise around nothing.
		smp.Raw = max(0, s.xducr.clamp(s.odd.NormFloat64()*0.4*s.xducr.count()))
	case faultStuck:
		if first {
			f.frozen = smp.Raw
		}
		smp.Raw = f.frozen
	case faultClipped:
		if smp.TruePressure >= f.level {
			smp.Raw = s.xducr.full
		}
	case faultSpike:
		if smp.T >= f.next && !first {
			size := spikeLow + (spikeHigh-spikeLow)*s.odd.Float64()
			smp.Raw = s.xducr.clamp(smp.Raw + size*s.xducr.gain*span)
			f.next = smp.T + time.Duration(spikeEvery*(0.5+s.odd.Float64())*1e9)
		}
	case faultBanner:
		if first {
			smp.Before = banner
		}
	case faultNoise:
		smp.Raw = s.xducr.clamp(smp.Raw + noiseTimes*float64(s.xducr.sd)*s.xducr.gain*s.odd.NormFloat64())
	}
}
