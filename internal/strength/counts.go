package strength

import (
	"fmt"

	"draghand/internal/pull"
	"draghand/internal/specimen"
)

// rule is one reason why a pull does not count, or counts with a remark. because
// is a short phrase; empty: the rule has nothing to say.
type rule struct {
	says    string
	because func(p *Pull, r *Results) string
}

// rules are all of them, the gravest first. docs/results.md holds the same table
// with the reasons.
func rules() []rule {
	return []rule{
		{CountsNot, damaged},
		{CountsNot, notLoaded},
		{CountsNot, notBroken},
		{CountsNot, noSection},
		{CountsNot, gripped},
		{CountsNot, rigGave},
		{CountsNot, peakUnseen},
		{CountsNot, overRange},
		{CountsNot, notHeld},

		{CountsWithRemarks, foundBroken},
		{CountsWithRemarks, offPace},
		{CountsWithRemarks, fewReadings},
		{CountsWithRemarks, paceUnknown},
		{CountsWithRemarks, heldUnder},
		{CountsWithRemarks, offCalibration},
		{CountsWithRemarks, overdue},
		{CountsWithRemarks, offFile},
		{CountsWithRemarks, zeroMissing},
		{CountsWithRemarks, zeroMoved},
		{CountsWithRemarks, overruled},
		{CountsWithRemarks, brokeOff},
		{CountsWithRemarks, poorCasting},
		{CountsWithRemarks, tapered},
		{CountsWithRemarks, slipped},
		{CountsWithRemarks, dialDiffers},
	}
}

// count says whether a pull counts, by the rules. It stays open while the pull has
// no outcome, and while nobody has said where a bar broke, unless it is out
// already.
func (r *Results) count(p Pull) {
	r.CountsBecause = []string{}
	says, because := r.judged(&p)
	looked := p.State.Kind != pull.Tension || p.After != nil && p.After.Where != specimen.NotLookedAt
	ended := p.State.Outcome != ""
	if says != CountsNot && !(looked && ended) {
		return
	}
	r.Counts, r.CountsBecause = &says, append(r.CountsBecause, because...)
}

// judged are the word of the rules and the reasons, the gravest first.
func (r *Results) judged(p *Pull) (says string, because []string) {
	says = Counts
	for _, rule := range rules() {
		if t := rule.because(p, r); t != "" {
			if says == Counts {
				says = rule.says // the gravest speaks first
			}
			because = append(because, t)
		}
	}
	return says, because
}

// Settled says that a pull does not count, and the gravest reason, where how it was
// closed, its bar and where it broke show it already; empty where more must be known.
// It is the word of the same rules that count goes by: of p the State's Kind and
// Outcome, Bar, After, CutOff and Imported are looked at. loaded: a load was seen.
func Settled(p Pull, loaded bool) (says, because string) {
	p.found()
	var r Results
	if loaded {
		r.Peak = &Point{}
	}
	for _, rule := range []func(*Pull, *Results) string{notLoaded, notBroken, noSection, gripped, rigGave} {
		if t := rule(&p, &r); t != "" {
			return CountsNot, t
		}
	}
	return "", ""
}

func tension(p *Pull) bool { return p.State.Kind == pull.Tension }

// Nobody knows what the readings were.
func damaged(p *Pull, _ *Results) string {
	if p.Damaged {
		return "the record is damaged"
	}
	return ""
}

// A test without a load tests nothing.
func notLoaded(p *Pull, r *Results) string {
	if r.Peak == nil {
		return NoLoad(p.Imported)
	}
	return ""
}

// NoLoad says that a pull has no load. Of a table from elsewhere, which may be short, only
// that the engine made sure of none: there may have been a real one.
func NoLoad(imported bool) string {
	if imported {
		return "no load was made sure of"
	}
	return "no load was seen"
}

// A bar that is whole has no tensile strength, only a lower bound.
func notBroken(p *Pull, r *Results) string {
	if !tension(p) || r.Peak == nil {
		return ""
	}
	switch p.State.Outcome {
	case pull.Ended:
		switch looked := p.After != nil && p.After.Where != specimen.NotLookedAt; { // then somebody holds the two halves
		case looked && p.Damaged:
			return "the break is not in what is intact"
		case looked:
			return "the break is not in these readings"
		case p.CutOff: // nobody knows what came then
			return "cut off before a break was seen"
		}
		return "ended under load before a break was seen"
	case pull.LetOff:
		return "let off, it did not break"
	case pull.Unclear:
		return "it is unclear whether the bar broke"
	}
	return ""
}

// Between the peak and the pieces nobody was looking.
func foundBroken(p *Pull, _ *Results) string {
	if p.foundBroken {
		return "nobody saw it break, and it was found broken"
	}
	return ""
}

// A force without a section is no stress.
func noSection(p *Pull, _ *Results) string {
	if tension(p) && !(p.Bar.Area() > 0) {
		return "no section was measured"
	}
	return ""
}

// Grip and thread press and notch the bar: it broke by them.
func gripped(p *Pull, _ *Results) string {
	if p.After != nil && p.After.Where == specimen.InGrip {
		return "it broke in the grip"
	}
	return ""
}

// What gave way was not the bar.
func rigGave(p *Pull, _ *Results) string {
	if p.After != nil && p.After.Failed != "" {
		return "part of the rig gave way: " + p.After.Failed
	}
	return ""
}

// A larger force may have gone unseen.
func peakUnseen(p *Pull, _ *Results) string {
	if p.State.PeakUnseen > 0 {
		return "the force was out of sight at the peak"
	}
	return ""
}

// The force was larger than the sensor can tell.
func overRange(p *Pull, _ *Results) string {
	if p.State.OverRange {
		return "the sensor was over its range"
	}
	return ""
}

// Metals bear more when they are pulled fast.
func offPace(_ *Pull, r *Results) string {
	if off := r.paceOff(); off != "" {
		return "the pace is " + off + " the window"
	}
	return ""
}

// What cannot be seen cannot be held against the window.
func fewReadings(_ *Pull, r *Results) string {
	if r.fewReadings() {
		return fmt.Sprintf("fewer than %d readings on the way up", paceReadings)
	}
	return ""
}

// A dial read once tells nothing of the time.
func paceUnknown(p *Pull, r *Results) string {
	if tension(p) && r.eye {
		return "the pace is not known"
	}
	return ""
}

// A proof shows that the load was borne for the time asked: else it shows nothing.
func notHeld(p *Pull, r *Results) string {
	if p.State.Kind != pull.Proof || r.Peak == nil || r.eye || p.State.Outcome == "" {
		return ""
	}
	switch h := r.Hold; {
	case h == nil && p.Config.Target > 0:
		return "the force asked for was not reached"
	case h == nil && p.Config.Hold > 0:
		return "nothing was held"
	case h != nil && h.AskedS != nil && !h.Met:
		return "it was not held for as long as asked"
	}
	return ""
}

// It was held, and not all of what was asked for.
func heldUnder(p *Pull, r *Results) string {
	if r.heldUnder(p) {
		return "the force went under what was asked for while it was held"
	}
	return ""
}

// No reference has shown what the rig does there.
func offCalibration(_ *Pull, r *Results) string {
	if r.Calibration != nil && !r.Calibration.InRange {
		return "the peak lies outside the calibrated range"
	}
	return ""
}

// What the reference showed was to hold until then.
func overdue(p *Pull, r *Results) string {
	if lateCalibration(p, r) != nil {
		return "the calibration was overdue"
	}
	return ""
}

// One of the two is wrong, and a strength by the wrong one may be far off.
func offFile(p *Pull, r *Results) string {
	if _, bad := disagrees(p, r); bad {
		return "the calibration and the rig file do not agree"
	}
	return ""
}

// The force is then by the sensor's own line, with its offset.
func zeroMissing(p *Pull, _ *Results) string {
	s := &p.State
	if s.Eye != nil || s.Zero.Set || s.Readings == 0 || p.Config.Rig != nil && p.Config.Rig.Sensor.Zeroed {
		return ""
	}
	return "no zero was taken"
}

// Nobody knows when it moved: the peak may be off by as much.
func zeroMoved(p *Pull, _ *Results) string {
	s := &p.State
	switch d := s.Zero.Return; {
	case s.Zero.HasReturn && s.Peak.Gauge > 0 && max(d, -d) > zeroReturnLimit*s.Peak.Gauge:
		return fmt.Sprintf("the zero moved by more than %.0f %% of the peak", 100*zeroReturnLimit)
	case s.Zero.Below < 0:
		return "the force went under the zero"
	}
	return ""
}

// Something that speaks against the pull was known before it.
func overruled(p *Pull, _ *Results) string {
	if len(p.Overrides) > 0 {
		return "it was armed against a refusal"
	}
	return ""
}

// The strength stands, the elongation may be too low; at the shoulder a notch may
// have begun it.
func brokeOff(p *Pull, _ *Results) string {
	if p.After == nil {
		return ""
	}
	return offMiddle(p.After.Where)
}

// The strength is of the flaw more than of the metal.
func poorCasting(p *Pull, _ *Results) string {
	if p.After != nil {
		for _, l := range p.After.Looks {
			if t := defect(l); t != "" {
				return t
			}
		}
	}
	return ""
}

// The smallest section counts, and it may not be where the bar broke.
func tapered(p *Pull, _ *Results) string {
	if p.Bar.Taper() > specimen.TaperAllowed {
		return "the bar tapers by more than 1 %"
	}
	return ""
}

// Something moved in the grips, or the bar cracked early.
func slipped(p *Pull, _ *Results) string {
	if p.State.Slips > 0 {
		return "the force fell and came back"
	}
	return ""
}

// One of the two gauges is wrong.
func dialDiffers(_ *Pull, r *Results) string {
	if r.dialOff() {
		return "the dial differs from the transducer"
	}
	return ""
}
