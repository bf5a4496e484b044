// Package strength makes the results of a pull out of what the engine saw and
// what was measured on the bar. It reads no files and keeps no state: the same
// engine state and the same bar give the same results, live or recomputed.
package strength

import (
	"fmt"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Point is one moment in SI; StressPa is nil where the section is unknown.
type Point struct {
	TS        float64  `json:"t_s"`
	GaugePa   float64  `json:"gauge_pa"`
	RamN      float64  `json:"ram_n"`
	SpecimenN float64  `json:"specimen_n"`
	StressPa  *float64 `json:"stress_pa"`
}

// Zero is the zero the forces are reckoned from.
type Zero struct {
	Raw     *float64 `json:"raw"`
	Quality string   `json:"quality"`
	Return  *float64 `json:"return"` // pascal: zero after the pull less zero before
}

// Break is the break; FallS is the 90 to 10 % fall time.
type Break struct {
	TS        float64 `json:"t_s"`
	SpecimenN float64 `json:"specimen_n"`
	FallS     float64 `json:"fall_s"`
}

// YieldDrop is an upper yield point seen in the trace.
type YieldDrop struct {
	UpperPa float64 `json:"upper_pa"`
	LowerPa float64 `json:"lower_pa"`
}

// Results is what is known of one pull, all in SI. A nil field is not known
// (yet), which is not the same as zero.
type Results struct {
	Record             string     `json:"record"`
	Kind               string     `json:"kind"`
	Phase              string     `json:"phase"`
	Samples            int        `json:"samples"`
	Gaps               int        `json:"gaps"`
	BadLines           int        `json:"bad_lines"`
	Zero               Zero       `json:"zero"`
	Peak               *Point     `json:"peak"`
	PeakRaw            *Point     `json:"peak_raw"`
	Break              *Break     `json:"break"`
	YieldDrop          *YieldDrop `json:"yield_drop"`
	PacePaPerS         *float64   `json:"pace_pa_per_s"` // mean stress rate from the start of the load to the peak
	StrengthPa         *float64   `json:"strength_pa"`
	StrengthUPa        *float64   `json:"strength_u_pa"`
	StrengthExpandedPa *float64   `json:"strength_expanded_pa"`
	CoverageK          *float64   `json:"coverage_k"`
	StrengthAtLeastPa  *float64   `json:"strength_at_least_pa"`
	Elongation         *float64   `json:"elongation"`
	ReductionOfArea    *float64   `json:"reduction_of_area"`
	Counts             *string    `json:"counts"`
	Remarks            []string   `json:"remarks"`

	spacing float64 // s, mean time between readings
}

// zeroReturnLimit is how far the zero may have moved, as a fraction of the
// gauge pressure at the peak, before a remark is made. One percent is what
// ASTM E4 allows a force to be off in all: a zero that eats it alone matters.
const zeroReturnLimit = 0.01

// taperLimit is how far the diameters along a bar may differ before a remark is
// made: ASTM E8/E8M lets a bar taper by at most 1 % from the ends to the
// middle (from memory).
const taperLimit = 0.01

// From gives the results of a pull. name is the record's name.
func From(name string, s pull.State, r *rig.Rig, bar specimen.Specimen) Results {
	area := bar.Area()
	out := Results{
		Record: name, Kind: string(s.Kind), Phase: string(s.Phase),
		Samples: s.Readings, Gaps: s.Gaps, BadLines: s.BadLines,
		Zero: Zero{Quality: s.Zero.Quality}, Remarks: remarks(s, r, bar),
	}
	switch {
	case s.LoadedAt == 0:
		out.Phase = string(pull.Slack) // it ended before it began
	case s.Outcome != "":
		out.Phase = string(s.Outcome)
	}
	if s.Zero.Set {
		out.Zero.Raw = known(s.Zero.Raw)
	} else {
		out.Zero.Quality = "none"
	}
	if s.Zero.HasReturn {
		out.Zero.Return = known(float64(s.Zero.Return))
	}
	if s.LoadedAt == 0 {
		return out
	}
	out.spacing = s.T.Seconds() / float64(s.Readings)
	out.Peak, out.PeakRaw = point(s.Peak, area), point(s.PeakRaw, area)
	if s.Break != nil {
		out.Break = &Break{TS: s.Break.T.Seconds(), SpecimenN: float64(s.Break.Specimen), FallS: s.Break.Fall.Seconds()}
	}
	if area > 0 && s.Peak.T > s.LoadedAt {
		rise := float64(si.StressOn(s.Peak.Specimen, area))
		out.PacePaPerS = known(rise / (s.Peak.T - s.LoadedAt).Seconds())
	}
	if area > 0 && s.Kind == pull.Tension {
		switch s.Outcome {
		case pull.Broken, pull.Faded:
			out.StrengthPa = known(float64(si.StressOn(s.Peak.Specimen, area)))
		case pull.LetOff, pull.Ended, pull.Unclear:
			out.StrengthAtLeastPa = known(float64(si.StressOn(s.Peak.Specimen, area)))
		}
	}
	return out
}

func known(v float64) *float64 { return &v }

func point(p pull.Point, area si.Area) *Point {
	out := &Point{TS: p.T.Seconds(), GaugePa: float64(p.Gauge), RamN: float64(p.Ram), SpecimenN: float64(p.Specimen)}
	if area > 0 {
		out.StressPa = known(float64(si.StressOn(p.Specimen, area)))
	}
	return out
}

// remarks says in words what a reader of the number must know.
func remarks(s pull.State, r *rig.Rig, bar specimen.Specimen) []string {
	out := []string{}
	add := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	if bar.Simulated {
		add("simulated: no metal was broken for this")
	}
	if s.Readings == 0 {
		add("no readings")
		return out
	}
	if !s.Zero.Set {
		add("no zero was taken before the load: forces are reckoned from the sensor's own line")
	}
	if s.Zero.HasReturn && s.Peak.Gauge > 0 {
		if d := s.Zero.Return; max(d, -d) > zeroReturnLimit*s.Peak.Gauge {
			add("the zero after the pull is %s off the zero before, %.1f %% of the peak", d.Text(r.Units), 100*float64(d/s.Peak.Gauge))
		}
	}
	if s.Gaps > 0 {
		add("the force was out of sight %s", times(s.Gaps))
	}
	if s.BadLines > 0 {
		add("%s could not be read", count(s.BadLines, "line"))
	}
	if s.Slips > 0 {
		add("the force fell and came back %s (slip)", times(s.Slips))
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
	if t := bar.Taper(); t > taperLimit {
		add("the measured diameters differ by %.1f %%: the smallest counts; measure again if that is not the bar", 100*t)
	}
	if s.Kind == pull.Tension && bar.Area() == 0 {
		add("no diameter was measured: force only, no strength")
	}
	if s.Outcome == pull.Unclear {
		add("it is unclear how this pull ended")
	}
	if s.Break != nil && s.Break.Provisional {
		add("the readings stopped before the break was certain")
	}
	return out
}

func times(n int) string { return count(n, "time") }

// count is a number with its thing, "1 line" or "3 lines".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// Lines is the result in a few lines of text for a person.
func (r Results) Lines(sys si.System, bar specimen.Specimen) []string {
	var out []string
	add := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	add("record     %s", r.Record)
	if bar.ID != "" || bar.Melt != "" || bar.Alloy != "" {
		add("specimen   %s", Who(bar))
	}
	if d := bar.Diameter(); d > 0 {
		add("section    %s round, %s", d.Text(sys), bar.Area().Text(sys))
	}
	add("outcome    %s", outcomeWords(r.Phase))
	if r.Peak != nil {
		add("peak       %s on the specimen at %.2f s (gauge %s, ram %s)", si.Force(r.Peak.SpecimenN).Text(sys), r.Peak.TS,
			si.Pressure(r.Peak.GaugePa).Text(sys), si.Force(r.Peak.RamN).Text(sys))
	}
	if r.Break != nil {
		add("break      at %.2f s from %s, 90 to 10 %% %s", r.Break.TS, si.Force(r.Break.SpecimenN).Text(sys),
			fallWords(r.Break.FallS, r.spacing))
	}
	if r.StrengthPa != nil {
		add("strength   %s (uncertainty not stated)", si.Stress(*r.StrengthPa).Text(sys))
	}
	if r.StrengthAtLeastPa != nil {
		add("strength   at least %s: no break was seen in these readings", si.Stress(*r.StrengthAtLeastPa).Text(sys))
	}
	if r.PacePaPerS != nil {
		add("pace       %s, mean from the start of the load to the peak", si.StressRate(*r.PacePaPerS).Text(sys))
	}
	add("readings   %d, %s, %s", r.Samples, count(r.Gaps, "gap"), count(r.BadLines, "bad line"))
	for _, m := range r.Remarks {
		add("remark     %s", m)
	}
	return out
}

// fallWords says how fast a fall was, and no finer than the readings stand
// apart.
func fallWords(fall, spacing float64) string {
	if fall < 2*spacing {
		return fmt.Sprintf("within %s, two readings", time.Duration(2*spacing*float64(time.Second)).Round(time.Millisecond/10))
	}
	return "in " + time.Duration(fall*float64(time.Second)).Round(time.Millisecond).String()
}

// Who names a bar in one phrase.
func Who(bar specimen.Specimen) string {
	out := ""
	for _, p := range []string{bar.Melt, bar.ID, bar.Alloy} {
		if p == "" {
			continue
		}
		if out != "" {
			out += " · "
		}
		out += p
	}
	if out == "" {
		return "unnamed specimen"
	}
	return out
}

func outcomeWords(phase string) string {
	switch pull.Phase(phase) {
	case pull.Broken:
		return "broken"
	case pull.Faded:
		return "faded: the force went down without a snap"
	case pull.LetOff:
		return "let off: the load was taken away, the bar did not break"
	case pull.Ended:
		return "ended under load: no break was seen"
	case pull.Unclear:
		return "unclear"
	case pull.Slack:
		return "no load was seen"
	}
	return phase
}
