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

// paceReadings are the fewest readings on the way up that a pace is told by: with
// fewer that is a remark of its own.
const paceReadings = 10

// paceSpan is how well the time under load is known, in readings: one at each end.
const paceSpan = 2

// paced says that there is a pace to be judged at all.
func (r *Results) paced() bool {
	return r.Kind == string(pull.Tension) && r.Peak != nil && !r.eye
}

// fewReadings says that the way up has too few readings to tell the pace by.
func (r *Results) fewReadings() bool {
	return r.paced() && r.spacing > 0 && (r.TimeUnderLoadS == nil || *r.TimeUnderLoadS < paceReadings*r.spacing)
}

// paceOff says how a pace lies outside the window, "under" or "over", by more than
// what the readings leave open of it; empty where it lies within, or nothing is known.
func (r *Results) paceOff() string {
	if r.PacePaPerS == nil || !r.paced() || r.TimeUnderLoadS == nil || !(r.spacing > 0) {
		return ""
	}
	v, took, doubt := *r.PacePaPerS, *r.TimeUnderLoadS, paceSpan*r.spacing
	switch {
	case took > doubt && trimmed(v*took/(took-doubt)) < paceLow:
		return "under"
	case trimmed(v*took/(took+doubt)) > paceHigh:
		return "over"
	}
	return ""
}

// paceRemarks say it in sentences.
func (r *Results) paceRemarks(sys si.System) []string {
	var out []string
	switch {
	case r.Kind == string(pull.Tension) && r.eye:
		out = append(out, "the pace is not known: nobody timed it")
	case r.fewReadings():
		out = append(out, fmt.Sprintf("fewer than %d readings on the way up: peak and pace are hardly known", paceReadings))
	}
	if t := r.paceRemark(sys); t != "" {
		out = append(out, t)
	}
	return out
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
