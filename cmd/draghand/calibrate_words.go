package main

import (
	"fmt"

	"draghand/internal/calib"
	"draghand/internal/calib/live"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// answerWords is what the points of a run say, a sentence each.
func answerWords(v *live.View, a *calib.Answer) []string {
	l := a.Calibration.Line
	low, high := referenceText(v.Run.At, l.Value(l.Low), v), referenceText(v.Run.At, l.Value(l.High), v)
	top := calib.Point{Gauge: l.High}
	out := []string{
		fmt.Sprintf("by the %d rising points: %s at %s of the gauge, %s at %s; the rig tells %s there, %+.2f %%",
			l.Points, low, l.Low.Text(v.Units), high, l.High.Text(v.Units), ownText(v, top), 100*(v.ByRig(top)/l.Value(l.High)-1)),
		fmt.Sprintf("the line: %s, since %s; the points scatter about it by %s", a.Taken, a.TakenWhy, fineReference(v.Run.At, l.SD, v.Units)),
	}
	if a.Suspect >= 0 {
		out = append(out, a.SuspectWhy)
	}
	if m := a.Rubbing; m != nil {
		t := fmt.Sprintf("friction from the falling points: %.2f %% ± %.2f %%", 100*m.Friction, 200*m.FrictionU)
		if m.Area > 0 {
			t += fmt.Sprintf("; effective area of the ram: %s ± %.2f %%", m.Area.Text(v.Units), 200*float64(m.AreaU/m.Area))
		}
		out = append(out, t+" (95 %)")
	}
	out = append(out, a.Claims...)
	for _, t := range a.Remarks {
		out = append(out, "remark: "+t)
	}
	return out
}

// fineReference writes a small value of the reference with one more decimal.
func fineReference(at rig.Place, value float64, sys si.System) string {
	s := si.Force(value).In(sys)
	if at == rig.AtGauge {
		s = si.Pressure(value).In(sys)
	}
	s.Decimals++
	return s.String()
}
