// Package strength makes the results of a pull out of what the engine saw and
// what was measured on the bar. It reads no files and keeps no state: the same
// engine state and the same bar give the same results, live or recomputed.
package strength

import (
	"time"

	"draghand/internal/budget"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Point is one moment in SI; StressPa is nil where the section is unknown.
type Point struct {
	TS        *float64 `json:"t_s"` // nil: read by eye, at no known time
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

// YieldDrop is an upper yield point seen in the trace, and the lowest force
// before it was back. The stresses are nil where the section is unknown.
type YieldDrop struct {
	TS      float64  `json:"t_s"`
	UpperN  float64  `json:"upper_n"`
	UpperPa *float64 `json:"upper_pa"`
	LowerN  float64  `json:"lower_n"`
	LowerPa *float64 `json:"lower_pa"`
}

// Hold is how a proof was held. AskedS is nil where no time was asked for.
type Hold struct {
	TargetN float64  `json:"target_n"` // what was held, where no target was given
	AskedS  *float64 `json:"asked_s"`
	HeldS   float64  `json:"held_s"` // less what lay more than 5 % under it
	LowestN float64  `json:"lowest_n"`
	Lost    float64  `json:"lost"` // most that went while it was held, of the highest until then
	Met     bool     `json:"met"`  // HeldS reached AskedS
}

// Strokes is what the strokes of a hand pump gained at the specimen.
type Strokes struct {
	Count int      `json:"count"`
	GainN *float64 `json:"gain_n"` // of the newest, by the median of three
	BestN *float64 `json:"best_n"`
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
	Hold               *Hold      `json:"hold"`
	Slips              int        `json:"slips"`
	Strokes            Strokes    `json:"strokes"`
	PeakBiasN          *float64   `json:"peak_bias_n"`   // the peak is not corrected by it
	PacePaPerS         *float64   `json:"pace_pa_per_s"` // mean stress rate from the start of the load to the peak
	StrengthPa         *float64   `json:"strength_pa"`
	StrengthUPa        *float64   `json:"strength_u_pa"` // of it, or of what the bar bore at least
	StrengthExpandedPa *float64   `json:"strength_expanded_pa"`
	CoverageK          *float64   `json:"coverage_k"`
	StrengthAtLeastPa  *float64   `json:"strength_at_least_pa"`
	Elongation         *float64   `json:"elongation"`
	ReductionOfArea    *float64   `json:"reduction_of_area"`
	Counts             *string    `json:"counts"`
	Remarks            []string   `json:"remarks"`
	Said               []string   `json:"said"` // what people added to the record

	CountsBecause  []string       `json:"counts_because"`    // the rules that spoke, the gravest first
	TimeUnderLoadS *float64       `json:"time_under_load_s"` // from the start of the load to the peak
	FirstYield     *FirstYield    `json:"first_yield"`       // of a crush
	Rounded        *Rounded       `json:"rounded"`           // for people; nothing is reckoned with it
	Budget         *budget.Budget `json:"budget"`            // nil: no strength, or nothing is known of its doubt
	Verdict        *Verdict       `json:"verdict"`           // nil: no minimum
	Calibration    *Calibrated    `json:"calibration"`       // nil: none was used
	Dial           *DialCheck     `json:"dial_check"`        // nil: nobody read a dial beside it
	Where          *string        `json:"where"`             // of the break
	Looks          []string       `json:"looks"`             // of the fracture

	eye       bool     // no reading was taken: a dial gauge read by eye
	imported  bool     // the readings are a table from elsewhere
	noRam     bool     // the readings are forces of a table, no gauge was read
	spacing   float64  // s, mean time between readings
	target    si.Force // of a proof, 0: none
	dialLimit float64  // N, of dial and transducer together
}

// Pull is what results are made of.
type Pull struct {
	Record string // its name
	State  pull.State
	Config pull.Config // what the engine was given
	Bar    specimen.Specimen
	Told   Remarks
	Said   []string // what people added to the record
	// Overrides are the reasons it was armed for against a refusal.
	Overrides []string
	// After is what was measured after the pull; nil: nothing yet.
	After *specimen.After
	// Dial is the peak that a dial beside the transducer told, on the specimen, and
	// its limit of error; nil: none.
	Dial, DialError *si.Force
	// Started is when it was pulled; zero: not known, and then nothing is held against
	// the date a calibration is good to.
	Started time.Time
	// Seed is of the Monte Carlo; Draws of it, 0: none.
	Seed  uint64
	Draws int
	// Damaged: the readings are not all there, or not as they were written.
	Damaged bool

	foundBroken bool // nobody saw it, and the bar was found so
	// Imported: the readings are a table from elsewhere.
	Imported bool
	// CutOff: nobody closed the pull, its readings just stop.
	CutOff bool
}

// zeroReturnLimit is how far the zero may have moved, as a fraction of the
// gauge pressure at the peak, before a remark is made. One percent is what
// ASTM E4 allows a force to be off in all: a zero that eats it alone matters.
const zeroReturnLimit = 0.01

// From gives the results of a pull.
func From(p Pull) Results {
	p.found()
	s := &p.State
	out := Results{
		Record: p.Record, Kind: string(s.Kind), Phase: string(s.Phase),
		Samples: s.Readings, Gaps: s.Gaps, BadLines: s.BadLines, Slips: s.Slips,
		Zero: Zero{Quality: s.Zero.Quality}, Remarks: remarks(p), Said: append([]string{}, p.Said...), target: p.Config.Target, imported: p.Imported,
	}
	if r := p.Config.Rig; r != nil {
		out.noRam = r.Sensor.Zeroed && r.Sensor.Kind == rig.ForceOut
	}
	loaded := s.LoadedAt != 0 || s.Eye != nil
	switch {
	case !loaded:
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
	if loaded {
		out.trace(p)
	}
	out.finish(p)
	return out.orNothing(p)
}

// trace fills in what the readings say of a pull that was loaded.
func (r *Results) trace(p Pull) {
	s, area := &p.State, p.Bar.Area()
	r.more(p)
	if r.eye = s.Eye != nil; r.eye {
		r.Peak = point(s.Peak, area)
		r.Peak.TS = nil
	} else {
		r.spacing = s.T.Seconds() / float64(s.Readings)
		r.Peak, r.PeakRaw = point(s.Peak, area), point(s.PeakRaw, area)
	}
	if s.Break != nil {
		r.Break = &Break{TS: s.Break.T.Seconds(), SpecimenN: float64(s.Break.Specimen), FallS: s.Break.Fall.Seconds()}
	}
	if area > 0 && s.Peak.T > s.LoadedAt {
		rise := float64(si.StressOn(s.Peak.Specimen, area))
		r.PacePaPerS = known(rise / (s.Peak.T - s.LoadedAt).Seconds())
	}
	if s.Eye == nil && s.Peak.T > s.LoadedAt {
		r.TimeUnderLoadS = known((s.Peak.T - s.LoadedAt).Seconds())
	}
	strength, atLeast := Claim(s.Kind, s.Outcome, s.Peak.Specimen, area)
	r.StrengthPa, r.StrengthAtLeastPa = stress(strength), stress(atLeast)
}

// finish fills in what follows from the trace and from what was measured after.
func (r *Results) finish(p Pull) {
	sys := si.US
	if p.Config.Rig != nil {
		sys = p.Config.Rig.Units
	}
	r.measured(p)
	r.calibrated(p)
	r.dialed(p)
	if p.After != nil && specimen.BoundOnly(p.After.Where, p.After.Failed) && r.StrengthPa != nil {
		r.StrengthPa, r.StrengthAtLeastPa = nil, r.StrengthPa
	}
	r.doubt(p)
	r.Remarks = append(r.Remarks, r.afterRemarks(p, sys)...)
	r.count(p)
	if why := r.decide(p, sys); why != "" {
		r.Remarks = append(r.Remarks, why)
	}
	r.Rounded = r.round(sys)
}

// Claim is what a pull says of its bar: the tensile strength where it broke or
// faded, what it bore at least where it did not. peak is the drag hand of a pull
// that was loaded, on the specimen. Both are nil where nothing can be said: no
// section, no outcome yet, or a pull that is no test of strength.
func Claim(kind pull.Kind, outcome pull.Phase, peak si.Force, area si.Area) (strength, atLeast *si.Stress) {
	if area <= 0 || kind != pull.Tension {
		return nil, nil
	}
	s := si.StressOn(peak, area)
	switch outcome {
	case pull.Broken, pull.Faded:
		return &s, nil
	case pull.LetOff, pull.Ended, pull.Unclear:
		return nil, &s
	}
	return nil, nil
}

func stress(s *si.Stress) *float64 {
	if s == nil {
		return nil
	}
	return known(float64(*s))
}

func known(v float64) *float64 { return &v }

func point(p pull.Point, area si.Area) *Point {
	out := &Point{TS: known(p.T.Seconds()), GaugePa: float64(p.Gauge), RamN: float64(p.Ram), SpecimenN: float64(p.Specimen)}
	if area > 0 {
		out.StressPa = known(float64(si.StressOn(p.Specimen, area)))
	}
	return out
}
