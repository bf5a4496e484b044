package main

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// onRig is a record with the rig of a file in the place of its own, where one is
// named, and reckoned by a calibration: the record's own, another that is named, or
// none. One that does not fit the rig is refused. note says what was changed about
// it.
func onRig(c *common, rec *record.Record, file, calibration string) (other *record.Record, note string, err error) {
	r := rec.Head.Rig
	if file != "" {
		if r, err = loadRig(file); err != nil {
			return nil, "", err
		}
		if r, err = placed(rec.Head.Specimen, r); err != nil {
			return nil, "", err
		}
	}
	own := rec.Head.Rig.Calibration
	switch {
	case calibration == noCalibration:
		r, err = r.Calibrated(nil)
		if own != nil {
			note = "recomputed without the calibration it was pulled with, " + own.ID
		}
	case calibration != "":
		r, err = calibratedRig(c, r, calibration, rec.Head.Specimen.Simulated)
		if err == nil {
			note = "recomputed by the calibration " + r.Calibration.ID
		}
	default:
		if r, err = r.SameRam(own); err != nil { // the ram of that day, its area corrected
			err = calibrationFault(err)
		}
	}
	if err != nil {
		return nil, "", err
	}
	out := *rec
	out.Head.UseRig(r)
	return &out, note, nil
}

// shift is one thing that differs, in SI.
type shift struct {
	Field string `json:"field"`
	Was   any    `json:"was"`
	Now   any    `json:"now"`

	label    string
	was, now string // in words, in the units of display
	ratio    *float64
}

// moved is what another rig changes about a record.
type moved struct {
	results []func(si.System) shift
	rigs    []rigShift
	stands  string // why what was corrected moves no force; empty: nothing stands for it
}

// whatMoved compares a record by its own rig with the same by another.
func whatMoved(own, other *record.Record, was, now outcome) *moved {
	m := &moved{rigs: rigDiff(own.Head.Rig, other.Head.Rig)}
	a, b := &was.res, &now.res
	m.figure("peak.gauge_pa", "peak, gauge", at(a.Peak, gaugeOf), at(b.Peak, gaugeOf), pressureText)
	m.figure("peak.ram_n", "peak on the ram", at(a.Peak, ramOf), at(b.Peak, ramOf), forceText)
	m.figure("peak.specimen_n", "peak on the bar", at(a.Peak, barOf), at(b.Peak, barOf), forceText)
	m.figure("break.specimen_n", "break force", breakOf(a), breakOf(b), forceText)
	m.figure("strength_pa", "strength", a.StrengthPa, b.StrengthPa, fineStressText)
	m.figure("strength_at_least_pa", "strength at least", a.StrengthAtLeastPa, b.StrengthAtLeastPa, fineStressText)
	m.figure("strength_expanded_pa", "its uncertainty, ±", a.StrengthExpandedPa, b.StrengthExpandedPa, doubtText)
	m.figure("pace_pa_per_s", "pace", a.PacePaPerS, b.PacePaPerS, paceText)
	m.words("counts", "counts", orNone(a.Counts), orNone(b.Counts))
	m.words("verdict.says", "verdict", verdictOf(a), verdictOf(b))
	m.words("phase", "outcome", a.Phase, b.Phase)
	m.limits(was, now)
	m.stands = standsFor(other.Head.Rig.Calibration, m.rigs)
	return m
}

// standsFor says that a calibration stands for what two rigs differ in, so that it
// moves no force on the bar; empty where it does not.
func standsFor(c *rig.Calibration, rigs []rigShift) string {
	if c == nil {
		return ""
	}
	covered := []string{"sensor.accuracy"}
	if c.At != rig.AtGauge {
		covered = append(covered, "ram.area", "ram.friction")
	}
	if c.At == rig.AtSpecimen {
		covered = append(covered, "path.")
	}
	var what []string
	for _, r := range rigs {
		if slices.ContainsFunc(covered, func(p string) bool { return strings.HasPrefix(r.path, p) }) {
			what = append(what, r.label)
		}
	}
	if len(what) == 0 {
		return ""
	}
	return fmt.Sprintf("the calibration %s, at the %s, stands for %s: the force on the bar is by it, not by the file; --calibration none leaves it out", c.ID, c.At, strings.Join(what, ", "))
}

// limits compares how far each limit went. A limit that is on one rig alone has
// nothing on the other.
func (m *moved) limits(was, now outcome) {
	before := map[string]float64{}
	for _, l := range was.state.Limits {
		before[l.Name] = l.PeakRatio
	}
	for _, l := range now.state.Limits {
		v := l.PeakRatio
		var old *float64
		if r, ok := before[l.Name]; ok {
			old = &r
		}
		delete(before, l.Name)
		m.figure("limits."+l.Name+".peak_ratio", l.Name+" to", old, &v, percentText)
	}
	for _, l := range was.state.Limits {
		if r, ok := before[l.Name]; ok {
			m.figure("limits."+l.Name+".peak_ratio", l.Name+" to", &r, nil, percentText)
		}
	}
}

// figure notes a figure of the results. What moved by less than a part in 1e9 is
// the rounding of another order of sums.
func (m *moved) figure(field, label string, was, now *float64, text func(float64, si.System) string) {
	if was == nil && now == nil {
		return
	}
	if was != nil && now != nil && math.Abs(*now-*was) <= 1e-9*math.Abs(*was) {
		return
	}
	m.results = append(m.results, func(sys si.System) shift {
		s := shift{Field: field, Was: anyOf(was), Now: anyOf(now), label: label, was: "–", now: "–"}
		if was != nil {
			s.was = text(*was, sys)
		}
		if now != nil {
			s.now = text(*now, sys)
		}
		if was != nil && now != nil && *was != 0 {
			r := *now / *was - 1
			s.ratio = &r
		}
		return s
	})
}

func (m *moved) words(field, label, was, now string) {
	if was == now {
		return
	}
	m.results = append(m.results, func(si.System) shift {
		return shift{Field: field, Was: orNull(was), Now: orNull(now), label: label, was: orDash(was), now: orDash(now)}
	})
}

// all is everything that moved, the results first.
func (m *moved) all() []shift {
	out := []shift{}
	for _, f := range m.results {
		out = append(out, f(si.Metric))
	}
	for _, r := range m.rigs {
		out = append(out, shift{Field: "rig." + r.path, Was: r.was, Now: r.now})
	}
	return out
}

// lines is what moved as a table.
func (m *moved) lines(sys si.System) []string {
	var rows []shift
	for _, f := range m.results {
		rows = append(rows, f(sys))
	}
	if len(rows)+len(m.rigs) == 0 {
		return []string{"moved      nothing: the file says what the record's own rig says"}
	}
	out := []string{"moved      by the record's own rig → by the rig file"}
	if len(rows) == 0 {
		out = append(out, "  no result moved")
	}
	if m.stands != "" {
		out = append(out, "  "+m.stands)
	}
	for _, r := range m.rigs {
		rows = append(rows, shift{label: "rig: " + r.label, was: r.text(r.was, sys), now: r.text(r.now, sys)})
	}
	wide, was := 0, 0
	for _, r := range rows {
		wide, was = max(wide, letters(r.label)), max(was, letters(r.was))
	}
	for _, r := range rows {
		l := "  " + padded(r.label, wide) + "  " + padded(r.was, was) + " → " + r.now
		if r.ratio != nil {
			l += fmt.Sprintf("  (%+.2f %%)", 100**r.ratio)
		}
		out = append(out, l)
	}
	return out
}

func letters(s string) int { return utf8.RuneCountInString(s) }

func padded(s string, wide int) string {
	for n := letters(s); n < wide; n++ {
		s += " "
	}
	return s
}

// Figures of a peak.
func gaugeOf(p *strength.Point) float64 { return p.GaugePa }
func ramOf(p *strength.Point) float64   { return p.RamN }
func barOf(p *strength.Point) float64   { return p.SpecimenN }

func at(p *strength.Point, of func(*strength.Point) float64) *float64 {
	if p == nil {
		return nil
	}
	v := of(p)
	return &v
}

func breakOf(r *strength.Results) *float64 {
	if r.Break == nil {
		return nil
	}
	return &r.Break.SpecimenN
}

func verdictOf(r *strength.Results) string {
	if r.Verdict == nil {
		return ""
	}
	return r.Verdict.Says
}

func orNone(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

func orNull(s string) any {
	if s == "" {
		return nil
	}
	return s
}

func anyOf(v *float64) any {
	if v == nil {
		return nil
	}
	return *v
}

// Figures in words.
func pressureText(v float64, sys si.System) string { return si.Pressure(v).Text(sys) }
func forceText(v float64, sys si.System) string    { return si.Force(v).Text(sys) }
func paceText(v float64, sys si.System) string     { return si.StressRate(v).Text(sys) }
func percentText(v float64, _ si.System) string    { return fmt.Sprintf("%.1f %%", 100*v) }

// fineStressText has a decimal more, so that a small move is seen.
func fineStressText(v float64, sys si.System) string {
	s := si.Stress(v).In(sys)
	s.Decimals++
	return s.String()
}

// doubtText is an uncertainty, rounded upwards as everywhere.
func doubtText(v float64, sys si.System) string {
	s := si.Stress(v).In(sys)
	s.Decimals++
	step := math.Pow10(-s.Decimals)
	s.Value = math.Ceil(s.Value/step-1e-9) * step
	return s.String()
}

// areaText writes the area of a ram.
func areaText(v float64, sys si.System) string {
	if sys == si.Metric {
		return si.Number(v/si.SquareCM, 2) + " cm²"
	}
	return si.Area(v).Text(sys)
}
