package rig

import (
	"fmt"
	"math"
	"strings"

	"draghand/internal/si"
)

// wideShare is the share's limit of error above which a strength is worth
// little and the far side can carry a good deal more than its part.
const wideShare = 0.02

// Cautions are plain remarks on the rig: nothing in them is refused, all of it
// can hurt or mislead. Each is one sentence without a final stop.
func (r *Rig) Cautions(sys si.System) []string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	bounds := r.Bounds()
	if len(bounds) == 0 {
		add("no part has a known limit: no alarm can come before something breaks; state what you can stand for")
	}
	if u := r.UnknownParts(); len(u) > 0 {
		add("nothing is known of what these stand, and nothing warns of them: %s", strings.Join(u, "; "))
	}
	r.cautionLoad(sys, bounds, add)
	r.cautionSensor(sys, bounds, add)
	r.cautionCalibration(add)
	return out
}

func (r *Rig) cautionLoad(sys si.System, bounds []Bound, add func(string, ...any)) {
	p := r.Path
	if p.Bearing == "flat" {
		walk := p.Walk()
		add("the bar bears flat: as it tilts the force walks off the centre, ± %s of the share, and to the unsafe side: fit a half-round or a ball seat", si.Number(walk, 3))
		add("the flat face can make a strength come out up to %s %% too high and load the far side by %s %% more than reckoned, in every pull alike: no number of bars averages it out, and no swap of sides shows it",
			si.Number(100*walk/max(p.Share-walk, walk/10), 1), si.Number(100*walk/(1-p.Share), 1))
	}
	if ruler, tol, ok := p.Ruler(); ok && p.ShareFound {
		if d := math.Abs(p.Share - ruler); d > math.Hypot(tol, p.ShareTol) {
			add("the share found by bars on both sides and the arms do not agree, %s and %s: measure the arms again, and see where the bar bears", si.Number(p.Share, 4), si.Number(ruler, 4))
		}
	}
	if p.ShareTol > wideShare*p.Share && p.Bearing != "flat" {
		better := "measure the arms better"
		if p.ShareFound {
			better = "pull more bars on both sides"
		}
		add("the share is known to ± %s %% only: %s", si.Number(100*p.ShareTol/p.Share, 1), better)
	}
	if p.Kind == Fixed && p.ShareTol == 0 {
		add("the share is stated without a limit of error: the alarms trust it wholly")
	}
	far := false
	for _, b := range bounds {
		far = far || b.Limit.At == AtFar || b.Limit.At == AtSides
	}
	if p.Kind == TwoSided && !far {
		add("no limit is stated for the far side, which carries %s %% of the ram force", si.Number(100*(1-p.Share), 1))
	}
}

func (r *Rig) cautionSensor(sys si.System, bounds []Bound, add func(string, ...any)) {
	s := &r.Sensor
	if s.Proof == 0 && s.Kind != ForceOut {
		add("the transducer's proof pressure is not known: find it, and that of its fitting, before pulling near the top of the range")
	}
	if s.Proof > 0 {
		for _, b := range r.Nearest()[:min(1, len(bounds))] {
			if at := b.PressureAt(r.Alarm.Stop); at > s.Proof {
				add("the nearest limit (%s) comes at %s, above the transducer's proof pressure", b.Limit.Name, at.Text(sys))
			}
		}
	}
	for _, b := range bounds {
		if at := b.PressureAt(r.Alarm.Stop); at > s.High {
			add("the sensor ends at %s, before %s can be seen to reach its limit (%s)", s.High.Text(sys), b.Limit.Name, at.Text(sys))
		}
	}
	if at, ok := r.clippedAt(); ok {
		add("the converter is full at %s: from there on the program is blind, and says so as a stop", at.Text(sys))
	}
	switch s.Kind {
	case CurrentLoop, VoltageOut, Ratiometric:
		if !s.liveZero() {
			add("a broken wire reads as no load: the signal's low end is too near zero to tell them apart")
		}
	case PressureOut, ForceOut, Counts:
		add("the board's number shows no broken wire: look at the zero before every pull")
	}
	if s.Shunt > 0 && s.Bits > 0 {
		if top := s.SigHi * float64(s.Shunt) * s.Divider; top > 1.02*float64(s.Reference) {
			add("the shunt makes %s V at the top of the range, more than the converter's %s V: it may harm the board", trim(top), trim(float64(s.Reference)))
		}
	}
}
