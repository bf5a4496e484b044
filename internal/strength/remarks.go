package strength

import (
	"fmt"

	"draghand/internal/pull"
	"draghand/internal/specimen"
)

// Remarks are the engine's remarks on a pull, gathered from its events.
type Remarks []pull.Event

// mostRemarks of one pull are kept: more would be chatter.
const mostRemarks = 32

// Add keeps what is a remark among the events of a step.
func (m *Remarks) Add(events []pull.Event) {
	for _, e := range events {
		if e.Kind == pull.EvRemark {
			*m = append((*m)[:min(len(*m), mostRemarks-1)], e)
		}
	}
}

// remarks says in words what a reader of the number must know.
func remarks(p Pull) []string {
	s, r, bar := &p.State, p.Config.Rig, p.Bar
	out := []string{}
	add := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	if bar.Simulated {
		add("simulated: no metal was broken for this")
	}
	if path := r.Path; path.BarFar {
		add("the bar stood on the far side, which carries %.4f of the ram's force", path.BarShare())
	}
	for _, why := range p.Overrides {
		add("armed against a refusal, for this reason: %s", why)
	}
	if s.Readings == 0 && s.Eye == nil {
		add("no readings")
		return out
	}
	if s.Eye != nil {
		add("no trace: a dial gauge read by eye, once")
		if e := s.Eye.Error; e > 0 && s.Peak.Specimen > 0 {
			add("the dial is read to ± %s on the %s, %.1f %% of the peak", e.Text(r.Units), thing(s.Kind), 100*float64(e/s.Peak.Specimen))
		}
	}
	switch {
	case s.Eye != nil: // the pointer's own rest
	case s.Zero.Set:
	case r.Sensor.Zeroed:
		add("the zero is the table's own: forces stand as they were written")
	default:
		add("no zero was taken before the load: forces are reckoned from the sensor's own line")
	}
	if s.Zero.HasReturn && s.Peak.Gauge > 0 {
		if d := s.Zero.Return; max(d, -d) > zeroReturnLimit*s.Peak.Gauge {
			add("the zero after the pull is %s off the zero before, %.1f %% of the peak", d.Text(r.Units), 100*float64(d/s.Peak.Gauge))
		}
	}
	if s.Zero.Below < 0 {
		add("the force went to %s under the zero: the zero was taken under load, or the sensor has moved: forces may be too low by as much", (-s.Zero.Below).Text(r.Units))
	}
	if s.Gaps > 0 {
		add("the force was out of sight %s", times(s.Gaps))
	}
	if s.Unseen > 0 {
		add("the force fell %s while it could not be seen: whether the bar broke or was let off then is not known, and what came after may be another bar", times(s.Unseen))
	}
	if st := float64(s.Peak.Stress); st > absurdStress {
		add("a stress of %s is more than any bar stands: look at the unit of the force and at the diameter", s.Peak.Stress.Text(r.Units))
	}
	if s.BadLines > 0 {
		add("%s could not be read", count(s.BadLines, "line"))
	}
	if s.Slips > 0 {
		what := "slip"
		if s.Kind == pull.Crush {
			what = "crack or slip"
		}
		add("the force fell and came back %s (%s)", times(s.Slips), what)
	}
	for _, e := range p.Told {
		// Where nobody stated a yield it is mostly the specimen that yields, and
		// while a proof is held the pump only makes up for what leaks.
		if p.Config.Yield > 0 && e.Phase != pull.Holding {
			add("at %.1f s: %s", e.T.Seconds(), e.Text)
		}
	}
	if biased(s) {
		add("the drag hand reads about %s over the force without the noise; it is not corrected", s.PeakBias.Text(r.Units))
	}
	if a := s.Apart.Most; a > 0 && a >= apartShare*s.Peak.Specimen {
		add("the force rose between the readings before the break: it may have been up to %s (%.1f %%) larger than the drag hand says; more readings a second show more", a.Text(r.Units), 100*float64(a/s.Peak.Specimen))
	}
	if t := otherSide(p); t != "" {
		add("%s", t)
	}
	if c := r.Calibration; c != nil {
		for _, t := range c.PassedOver {
			add("%s", t)
		}
	}
	for _, l := range s.Limits {
		switch {
		case l.PeakRatio >= r.Alarm.Stop:
			add("%s was loaded to %.0f %% of what it is allowed", l.Name, 100*l.PeakRatio)
		case l.PeakRatio >= r.Alarm.Warning:
			add("%s came to %.0f %% of what it is allowed", l.Name, 100*l.PeakRatio)
		}
	}
	for _, u := range r.UnknownParts() {
		add("no known limit: %s", u)
	}
	if t := bar.Taper(); t > specimen.TaperAllowed {
		what := "diameters"
		if bar.Shape != specimen.Round {
			what = "sections"
		}
		add("the measured %s differ by %.1f %%: the smallest counts; measure again if that is not the bar", what, 100*t)
	}
	switch {
	case bar.Area() > 0:
	case s.Kind == pull.Tension:
		add("no diameter was measured: force only, no strength")
	case s.Kind == pull.Crush:
		add("no diameter was measured: force only, no stress")
	}
	if h := s.Hold; h != nil && s.Kind == pull.Proof && p.Config.Target > 0 && float64(h.Force-h.Lowest) > readingN(&p) {
		add("while it was held the force went down to %s, %.1f %% under what was asked for", h.Lowest.Text(r.Units), 100*(1-float64(h.Lowest/h.Force)))
	}
	if s.Outcome == pull.Unclear {
		add("it is unclear how this pull ended")
	}
	if s.Break != nil && s.Break.Provisional {
		add("the readings stopped before the break was certain")
	}
	return out
}

// absurdStress is more than any bar of metal stands, Pa: the strongest wires
// break at some 4 GPa (from memory, no source).
const absurdStress = 5e9

// biasShare is from what part of the peak on its bias is worth a remark: 1 % is
// what ASTM E4 allows a force to be off in all.
const biasShare = 0.01

// apartShare is from what part of the peak on what the readings may have missed is
// worth a remark: a fifth of what ASTM E4 allows a force to be off in all.
const apartShare = 0.002

// biased says that the peak's bias is 1 % of it.
func biased(s *pull.State) bool {
	return s.PeakBias > 0 && s.PeakBias >= biasShare*s.Peak.Specimen
}

func times(n int) string { return count(n, "time") }

// count is a number with its thing, "1 line" or "3 lines".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
