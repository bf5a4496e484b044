package strength

// The values of Results.Counts. It is null until the break was looked at, unless
// the trace alone rules the pull out.
const (
	Counts            = "yes"
	CountsWithRemarks = "with-remarks"
	CountsNot         = "no"
)

// FirstYield is where a block in a crush first gave. The method is "slope" or
// "gain per stroke".
type FirstYield struct {
	TS        float64  `json:"t_s"`
	SpecimenN float64  `json:"specimen_n"`
	StressPa  *float64 `json:"stress_pa"`
	Method    string   `json:"method"`
}

// Rounded are the results as the standards write them, each as text with its
// unit; empty: not known.
type Rounded struct {
	StrengthE8    string `json:"strength_e8"`  // ASTM E8/E8M, choice (a), in the units of display
	StrengthISO   string `json:"strength_iso"` // ISO 6892-1, in MPa
	ElongationE8  string `json:"elongation_e8,omitempty"`
	ElongationISO string `json:"elongation_iso,omitempty"`
	ReductionE8   string `json:"reduction_of_area_e8,omitempty"`
	ReductionISO  string `json:"reduction_of_area_iso,omitempty"`
	ExpandedE8    string `json:"expanded_e8,omitempty"` // U, to the strength's step, upwards
}

// The values of Verdict.Says.
const (
	Passes     = "pass"
	Fails      = "fail"
	CannotTell = "cannot-tell"
)

// Verdict holds the strength against a minimum by JCGM 106 with a guard band of
// 1.645 u, more where the degrees of freedom of u are few, on unrounded values.
type Verdict struct {
	MinimumPa float64 `json:"minimum_pa"`
	From      string  `json:"from"`
	GuardPa   float64 `json:"guard_pa"`
	Says      string  `json:"says"`
	Text      string  `json:"text"` // one sentence
}

// Calibrated says which calibration the force was reckoned by.
type Calibrated struct {
	ID      string  `json:"id"`
	At      string  `json:"at"`
	InRange bool    `json:"in_range"` // the peak lies within its points
	LowN    float64 `json:"low_n"`    // its range as force on the specimen
	HighN   float64 `json:"high_n"`
}

// DialCheck is a dial gauge beside the transducer.
type DialCheck struct {
	PeakN      float64  `json:"peak_n"` // on the specimen
	ErrorN     *float64 `json:"error_n"`
	Difference float64  `json:"difference"` // dial less drag hand, as a fraction of it
}
