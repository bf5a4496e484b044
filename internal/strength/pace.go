package strength

import (
	"fmt"

	"draghand/internal/pull"
	"draghand/internal/si"
)

// The stress rates that ASTM E8/E8M allows while a bar is elastic: its pair in
// MPa/s (from memory). The pair in psi/min, 10,000 and 100,000, lies 0.1 % lower.
const (
	paceLow  = 1.15e6 // Pa/s
	paceHigh = 11.5e6
)

// paceReadings are the fewest readings on the way up that a pace is judged by: it
// is then known to some 10 %.
const paceReadings = 10

// paceOff says how a pace lies outside the window, "under" or "over"; empty where
// it lies within, or where too little is known.
func (r *Results) paceOff() string {
	if r.PacePaPerS == nil || r.Kind != string(pull.Tension) || r.eye || r.TimeUnderLoadS == nil ||
		!(r.spacing > 0) || *r.TimeUnderLoadS < paceReadings*r.spacing {
		return ""
	}
	switch v := trimmed(*r.PacePaPerS); {
	case v < paceLow:
		return "under"
	case v > paceHigh:
		return "over"
	}
	return ""
}

// paceRemark says it in a sentence.
func (r *Results) paceRemark(sys si.System) string {
	off := r.paceOff()
	if off == "" {
		return ""
	}
	window := "1.15 to 11.5 MPa/s"
	if sys == si.US {
		window = fmt.Sprintf("%s to %s (%s)", si.StressRate(paceLow).In(sys).Number(), si.StressRate(paceHigh).Text(sys), window)
	}
	return fmt.Sprintf("the pace of %s, mean to the peak, is %s the %s of ASTM E8/E8M, which are for the elastic part",
		si.StressRate(*r.PacePaPerS).Text(sys), off, window)
}
