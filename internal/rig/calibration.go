package rig

import (
	"math"
	"time"

	"draghand/internal/si"
)

// Calibration is what a reference has shown about a rig: a straight line from
// the gauge pressure above the zero, as the rig's own sensor tells it on the way
// up, to what the reference said. It takes the place of all that lies between
// the two. Being from the pressure, it does not move with what the rig file
// says of area, friction or arms.
type Calibration struct {
	ID   string    `json:"id"` // name of its file without the ending
	Made time.Time `json:"made"`
	Due  time.Time `json:"due"`
	Rig  string    `json:"rig"` // name of the rig it was made on
	// Sensor, Role and Path are those of the rig at the time: with others the line
	// says nothing.
	Sensor Sensor `json:"sensor"`
	Role   Role   `json:"role"`
	Path   Path   `json:"path"`
	// RamArea is the ram's area of then with its limit of error; 0: not known, which
	// it has to be where the sensor tells a force, since its pressure is reckoned
	// with it. The line does not hang on it elsewhere, but another ram has another.
	RamArea    si.Area `json:"ram_area_m2,omitempty"`
	RamAreaTol si.Area `json:"ram_area_tol_m2,omitempty"`
	// Simulated: the points were taken on a simulated source. It fits no other.
	Simulated bool `json:"simulated,omitempty"`
	// At is what the reference stood for: AtGauge (a reference gauge, Pa), AtRam or
	// AtSpecimen (dead weights, a cell; N).
	At  Place `json:"at"`
	Far bool  `json:"far,omitempty"` // a cell in the far side's place; of AtSpecimen alone

	Reference   string  `json:"reference"`             // in words
	Certificate string  `json:"certificate,omitempty"` // number and date, as stated
	ReferenceU  float64 `json:"reference_u"`           // standard, as a fraction of the value; 0: not stated

	Line CalibrationLine `json:"line"`

	// Claims is what may be said of it: a class with its range, or that it was
	// compared with something.
	Claims  []string `json:"claims"`
	Remarks []string `json:"remarks,omitempty"`
	// PassedOver tells of newer ones that were damaged when this one was chosen.
	PassedOver []string         `json:"passed_over,omitempty"`
	Rubbing    *MeasuredRubbing `json:"friction,omitempty"` // nil: no falling points
}

// CalibrationLine is value = Offset + Slope · p over rising points, with what is
// needed to say how sure it is at a pressure.
type CalibrationLine struct {
	Offset      float64     `json:"offset"` // Pa or N; 0 where ThroughZero
	Slope       float64     `json:"slope"`  // 1 or N/Pa
	ThroughZero bool        `json:"through_zero,omitempty"`
	Low         si.Pressure `json:"low_pa"` // least and largest pressure of the points
	High        si.Pressure `json:"high_pa"`
	Points      int         `json:"points"`
	SD          float64     `json:"residual_sd"` // Pa or N
	Mean        si.Pressure `json:"mean_pa"`     // of the points' pressures
	// SumSquares is Σ(p − Mean)² of the points, or Σp² where ThroughZero, Pa².
	SumSquares float64 `json:"sum_squares_pa2"`
	// ZeroU is the standard uncertainty of the zero that all points share, which
	// their scatter does not show; 0: not known.
	ZeroU si.Pressure `json:"zero_u_pa,omitempty"`
}

// MeasuredRubbing is the ram's friction and area as rising against falling points
// have shown them, each with its standard uncertainty.
type MeasuredRubbing struct {
	Friction  float64 `json:"friction"`
	FrictionU float64 `json:"friction_u"`
	Area      si.Area `json:"area_m2,omitempty"` // 0: the reference was not at the ram
	AreaU     si.Area `json:"area_u_m2,omitempty"`
	DoF       float64 `json:"dof"`
}

// DoF is the degrees of freedom of the line's SD.
func (l CalibrationLine) DoF() float64 {
	if l.ThroughZero {
		return float64(l.Points - 1)
	}
	return float64(l.Points - 2)
}

// Value is what the reference would say at a gauge pressure above the zero.
// Below the points a line with an offset is not believed: there it runs straight
// from nothing at no pressure to the value at Low.
func (l CalibrationLine) Value(p si.Pressure) float64 {
	if l.Offset != 0 && p < l.Low {
		return (l.Offset + l.Slope*float64(l.Low)) * float64(p/l.Low)
	}
	return l.Offset + l.Slope*float64(p)
}

// LineU is the standard uncertainty of the line itself at a pressure, from the
// scatter of its points and from the zero they share, in the unit of Value.
func (l CalibrationLine) LineU(p si.Pressure) float64 {
	if !(l.SumSquares > 0) || l.Points < 1 {
		return math.Inf(1)
	}
	if l.ThroughZero {
		return l.farU() * math.Abs(float64(p))
	}
	d := float64(p - l.Mean)
	return math.Hypot(l.SD*math.Sqrt(1/float64(l.Points)+d*d/l.SumSquares), l.Slope*float64(l.ZeroU))
}

// farU is what LineU rises by with each Pa far from the points. A zero that is off
// moves a line with an offset along, and turns one through zero.
func (l CalibrationLine) farU() float64 {
	if !(l.SumSquares > 0) {
		return math.Inf(1)
	}
	scatter := l.SD / math.Sqrt(l.SumSquares)
	if !l.ThroughZero {
		return scatter
	}
	return math.Hypot(scatter, l.Slope*float64(l.ZeroU)*float64(l.Points)*float64(l.Mean)/l.SumSquares)
}

// Covers says whether a pressure lies within the points.
func (l CalibrationLine) Covers(p si.Pressure) bool { return p >= l.Low && p <= l.High }

// RelativeU is the standard uncertainty of Value at a pressure as a fraction of
// it: the line's scatter, and what is stated of the reference. +Inf where there
// is no value.
func (c *Calibration) RelativeU(p si.Pressure) float64 {
	v := c.Line.Value(p)
	if !(v > 0) {
		return math.Inf(1)
	}
	return math.Hypot(c.Line.LineU(p)/v, c.ReferenceU)
}

// Speaks says whether the force on a bar is reckoned by it: a calibration in the
// specimen's place knows the side it was made on.
func (c *Calibration) Speaks(far bool) bool { return c.At != AtSpecimen || c.Far == far }
