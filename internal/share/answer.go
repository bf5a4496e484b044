package share

import (
	"fmt"

	"draghand/internal/si"
)

// Pulled is one bar of an answer.
type Pulled struct {
	Record   string    `json:"record"`
	Side     string    `json:"side"`          // near or far
	Ram      si.Stress `json:"ram_stress_pa"` // loaded ram force over the section
	Apparent si.Stress `json:"strength_pa"`   // by the share of the record's rig
}

// Answer is what bars pulled on both sides say, and what to do with it.
type Answer struct {
	Found
	Line     string   `json:"rig_file_line"` // empty where the bars scatter too much
	Ruler    float64  `json:"ruler_share"`
	RulerTol float64  `json:"ruler_share_tol"`
	Agree    bool     `json:"agrees_with_ruler"`
	MoreNear *int     `json:"more_near_to_halve"` // nil: thousands would not do it
	MoreFar  *int     `json:"more_far_to_halve"`
	Bars     []Pulled `json:"bars"`
	Remarks  []string `json:"remarks"`
}

// answer puts beside the share found what the ruler says and what would help.
func (f Found) answer(bars []Bar) Answer {
	a := Answer{Found: f, Remarks: f.remarks(bars), Bars: make([]Pulled, 0, len(bars))}
	if text := f.Text(); text != "" {
		a.Line = fmt.Sprintf("share_found = %q", text)
	}
	a.Ruler, a.RulerTol, _ = bars[0].Rig.Path.Ruler()
	a.Agree = f.Agrees(a.Ruler, a.RulerTol)
	if near, far, ok := f.More(); ok {
		a.MoreNear, a.MoreFar = &near, &far
	}
	for _, b := range bars {
		side := "near"
		if b.Far() {
			side = "far"
		}
		a.Bars = append(a.Bars, Pulled{Record: b.Record, Side: side, Ram: b.RamStress(), Apparent: b.Apparent()})
	}
	return a
}

// Lines is the answer for a person.
func (a Answer) Lines(sys si.System) []string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	for _, s := range []struct {
		name string
		Side
	}{{"near", a.Near}, {"far", a.Far}} {
		mean := si.Stress(0)
		for _, b := range a.Bars {
			if b.Side == s.name {
				mean += b.Apparent / si.Stress(s.N)
			}
		}
		add("%-12s%d bars, apparent strength %s, scatter ± %.1f %%", s.name+" side", s.N, mean.Text(sys), 100*float64(s.SD/s.Mean))
		for _, b := range a.Bars {
			if b.Side == s.name {
				add("            %s  %s", b.Apparent.Text(sys), b.Record)
			}
		}
	}
	add("share       %.4f ± %.4f of the ram's force on the specimen's own place", a.Share, a.Expanded)
	add("            95 %%, factor %.2f at %.1f degrees of freedom", a.K, a.DOF)
	verdict := "they agree"
	if !a.Agree {
		verdict = "they do NOT agree: measure the arms again, and see where the bar bears"
	}
	add("ruler       %.4f ± %.4f: %s", a.Ruler, a.RulerTol, verdict)
	if a.Line != "" {
		add("rig file    under [path], beside the arms:")
		add("            %s", a.Line)
	}
	if a.MoreNear != nil {
		add("to halve it %d more bars, near %d and far %d, if they scatter as these", *a.MoreNear+*a.MoreFar, *a.MoreNear, *a.MoreFar)
	}
	for _, r := range a.Remarks {
		add("remark      %s", r)
	}
	return out
}
