// Package plan sizes a specimen for a rig before anything is turned: what each
// standard bar would break at, which part of the rig comes to its stop first and
// by what margin, how well the gauge would read it, and how sure the strength
// would be. It reads no files, keeps no state and knows no screen; what it says
// hangs on the rig and on what is expected of the metal, and both may be wrong.
package plan

import (
	"math"
	"slices"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Strength is what a metal is expected to break at, in Pa.
type Strength struct {
	Name string    `json:"name,omitempty"` // of the alloy; empty: only a strength was given
	Low  si.Stress `json:"low_pa"`         // it is expected to break between Low
	High si.Stress `json:"high_pa"`        // and High
	// Upper is what the limits are held against, at least High.
	Upper si.Stress `json:"upper_pa"`
	How   string    `json:"how"` // where the three are from, in words
	// Standard that its minimum is of; empty where none is.
	Standard string `json:"standard,omitempty"`
}

// Above is by how much a typical strength is raised to hold it against a limit.
const Above = specimen.AboveTypical

// Ask is what a plan is made for.
type Ask struct {
	Rig      *rig.Rig
	Strength Strength
	// Units are those of the standard sizes to look at, and of the own one.
	Units si.System
	// SizeU is the limit of error of a diameter, ±; 0: specimen.DefaultSizeU.
	SizeU si.Length
	// Alloys to name the strongest of that a size can break; nil: none is named.
	Alloys specimen.Table
	// Diameters are sizes beside the standard ones that somebody asked for.
	Diameters []si.Length
}

// Thresholds of a verdict. They are our own.
const (
	// readFrom of the sensor's range is where a break should lie at the least: at
	// a tenth of it an accuracy of full scale counts ten times as much, and what
	// the zero does between two bars begins to be seen.
	readFrom = 0.10
	// leastCounts of the converter make up the least force that ASTM E4 lets a
	// machine be verified at (200 times its resolution).
	leastCounts = 200
	// sureTo is the expanded relative uncertainty up to which a strength is good:
	// melts of one alloy differ by about as much.
	sureTo = 0.05
	// cover is the coverage factor of an expanded uncertainty.
	cover = 2
)

// Verdict is what a size is worth on a rig.
type Verdict string

// The verdicts.
const (
	Good   Verdict = "good"
	Usable Verdict = "usable" // Why says why it is not good
	No     Verdict = "no"     // Why says what stands in the way
)

// At is one load in its three places.
type At struct {
	Gauge    si.Pressure `json:"gauge_pa"`
	Ram      si.Force    `json:"ram_n"`
	Specimen si.Force    `json:"specimen_n"`
}

// Size is one bar on the rig.
type Size struct {
	Name     string    `json:"name"`
	Source   string    `json:"source"`
	Diameter si.Length `json:"diameter_m"`
	Area     si.Area   `json:"area_m2"`
	// GaugeLength is that of the first of its standards, m; 0: not stated.
	GaugeLength si.Length `json:"gauge_length_m,omitempty"`
	Own         bool      `json:"own"` // no standard's size

	Low   At `json:"low"`   // at the low end of what is expected
	High  At `json:"high"`  // at its high end
	Upper At `json:"upper"` // at what the limits are held against

	Part string `json:"part,omitempty"` // that ends the pull first; empty: no part has a known limit
	// UpperMost is the gauge pressure that Upper may take at the most.
	UpperMost si.Pressure `json:"upper_most_pa"`
	// Margin is how far Upper stays below the least force at which Part may stop, as a
	// fraction of it; below 0: past it. Where no part has a known limit it is that of the sensor's range.
	Margin float64 `json:"margin"`

	UseLow   float64 `json:"use_low"` // of the sensor's range, at Low
	UseHigh  float64 `json:"use_high"`
	UseUpper float64 `json:"use_upper"`

	ForceStep  si.Force  `json:"count_n"`  // on the specimen, of one count; 0: no counts
	StressStep si.Stress `json:"count_pa"` // the same as stress

	Budget Budget `json:"uncertainty"`
	Pace   Pace   `json:"pace"`

	// Strongest is the least stress at which this bar may bring Part to its stop.
	Strongest si.Stress `json:"strongest_pa"`
	// StrongestTypical is the typical strength of which that is the upper one.
	StrongestTypical si.Stress `json:"strongest_typical_pa"`
	// StrongestAlloy is the one with the greatest upper strength that this bar
	// breaks without a warning; empty: none of the table, or no limit is known.
	StrongestAlloy string `json:"strongest_alloy,omitempty"`

	Verdict Verdict  `json:"verdict"`
	Why     []string `json:"why"`
}

// Part is a part of the rig, or the end of what its sensor can read, and where it
// ends a pull.
type Part struct {
	Name      string    `json:"name"`
	Mode      string    `json:"mode,omitempty"` // how a computed part gives way
	At        rig.Place `json:"at"`
	Allowable float64   `json:"allowable"` // N; Pa at the gauge
	Stop      At        `json:"stop"`      // the load then, by the best estimate
	Warning   At        `json:"warning"`   // the same at its warning
	// StopLeast is the least force that may be on the specimen at that stop, N, and
	// WarningLeast the same at its warning: a bar that is stronger may not have broken
	// by then.
	StopLeast    si.Force `json:"stop_least_n"`
	WarningLeast si.Force `json:"warning_least_n"`
	SensorEnd    bool     `json:"sensor_end"` // it is no part: the sensor's range ends

	bound rig.Bound
	stop  float64 // ratio of the allowable at which it stops
}

// Ratio is how far a load brings the part, as a fraction of its allowable, at the
// unsafe edge that its alarms go by.
func (p *Part) Ratio(l At) float64 {
	if p.SensorEnd {
		return p.stop * float64(l.Gauge/p.Stop.Gauge)
	}
	return p.bound.Ratio(l.Gauge, l.Gauge)
}

// Reach is how far the strongest bar of a size may bring the part, as Ratio has it.
func (p *Part) Reach(s *Size) float64 { return p.Ratio(At{Gauge: s.UpperMost}) }

// Plan is what came out. Nobody changes it.
type Plan struct {
	Rig      string   `json:"rig"`
	Strength Strength `json:"strength"`
	Part     *Part    `json:"part"`    // that ends every pull first; nil: none is known
	Unknown  []string `json:"unknown"` // parts without a known limit
	// SeenTo is how far the sensor can be read.
	SeenTo si.Pressure `json:"seen_to_pa"`
	SizeU  si.Length   `json:"size_limit_m"` // of error, ± of a diameter
	Sizes  []Size      `json:"sizes"`        // standard ones, largest first
	Own    *Size       `json:"own"`          // the best own diameter; nil: there is none, or it is a standard one
	Asked  []Size      `json:"asked"`        // those asked for
	Advice Advice      `json:"advice"`
	Units  si.System   `json:"-"`
}

// For makes a plan. The strength's ends must be in order and positive, as
// Strength.Valid has it; the rig is taken as valid.
func For(a Ask) *Plan {
	a.Rig = a.Rig.EndsOf(a.Strength.Low) // of the metal that is planned
	k := newReckoner(a)
	p := &Plan{
		Rig: a.Rig.Name, Strength: a.Strength, Unknown: append([]string{}, a.Rig.UnknownParts()...),
		Part: k.part, SeenTo: a.Rig.SeenTo(), SizeU: k.sizeU, Units: a.Units, Sizes: []Size{}, Asked: []Size{},
	}
	for _, s := range standards(a.Units, a.Strength.Standard) {
		p.Sizes = append(p.Sizes, k.size(s))
	}
	if d := k.own(a.Units); d > 0 && !slices.ContainsFunc(p.Sizes, func(s Size) bool { return sameSize(s.Diameter, d) }) {
		s := k.size(ownSize(d, a.Units))
		p.Own = &s
	}
	for _, d := range a.Diameters {
		p.Asked = append(p.Asked, k.size(ownSize(d, a.Units)))
	}
	p.Advice = k.advise(p)
	return p
}

// sameSize says that two diameters are one: no lathe tells them apart.
func sameSize(a, b si.Length) bool { return math.Abs(float64(a-b)) < 1e-6 }

// ownSize is a bar of any diameter.
func ownSize(d si.Length, sys si.System) Size {
	o := specimen.Own(d, sys)
	return Size{Name: d.Text(sys), Source: o.Source, Diameter: d, GaugeLength: o.GaugeLength, Own: true}
}
