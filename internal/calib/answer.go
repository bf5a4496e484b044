package calib

import (
	"draghand/internal/rig"
)

// Answer is what a run says.
type Answer struct {
	Line     Line   `json:"line"` // least squares over the rising points
	Zero     Line   `json:"line_through_zero"`
	Taken    string `json:"taken"` // "through-zero" or "offset": the one that is used
	TakenWhy string `json:"taken_because"`
	// Residuals are of the taken line, in the order of the run's points: reference
	// less line.
	Residuals   []Residual           `json:"residuals"`
	Suspect     int                  `json:"suspect"` // index of the one bad point among good ones; −1: none
	SuspectWhy  string               `json:"suspect_because,omitempty"`
	Rubbing     *rig.MeasuredRubbing `json:"friction"`
	Levels      []Level              `json:"levels"` // as found: what the rig told before this calibration
	Claims      []string             `json:"claims"`
	Remarks     []string             `json:"remarks"`
	Calibration rig.Calibration      `json:"calibration"` // what pulls are reckoned by once it is saved
}

// Line is a straight line y = Offset + Slope · x by least squares, with standard
// uncertainties from the scatter.
type Line struct {
	Offset      float64 `json:"offset"`
	Slope       float64 `json:"slope"`
	OffsetU     float64 `json:"offset_u"`
	SlopeU      float64 `json:"slope_u"`
	Covariance  float64 `json:"covariance"`
	SD          float64 `json:"residual_sd"`
	DoF         int     `json:"dof"`
	R2          float64 `json:"r2"`
	ThroughZero bool    `json:"through_zero"`
	Points      int     `json:"points"`
	Mean        float64 `json:"mean_x"`
	// SumSquares is Σ(x − Mean)², or Σx² where ThroughZero.
	SumSquares float64 `json:"sum_squares_x"`
}

// Residual is one point held against the line.
type Residual struct {
	Residual float64 `json:"residual"` // reference less line, Pa or N
	Leverage float64 `json:"leverage"` // 0 to 1; 0 for a falling point, which the line does not use
	Student  float64 `json:"student"`  // externally studentised; 0 where it cannot be
}

// Level is one verified value of the reference, over all runs.
type Level struct {
	Reference     float64  `json:"reference"`
	Error         float64  `json:"error"`         // mean indication less reference, as a fraction of it
	Repeatability float64  `json:"repeatability"` // spread of the indications, as a fraction
	Reversibility *float64 `json:"reversibility"` // falling less rising, as a fraction; nil: no falling points
	Resolution    float64  `json:"resolution"`    // relative
	Readings      int      `json:"indications"`
	Class         string   `json:"class"`     // the best of ISO 7500-1 its figures would allow; empty: none
	E4            bool     `json:"within_e4"` // within ± 1 % and 1 % repeatability
}
