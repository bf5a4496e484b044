package tui

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/calib"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// next is what to do next, in one sentence.
func (m *CalibrateScreen) next() string {
	v := m.view
	points := v.Run.Points
	n := len(points)
	switch {
	case !m.readable() && m.left:
		return "let the pressure down, by the hand gauge if there is one"
	case v.Fault != "":
		return "see to the source first"
	case !v.Signal.Valid():
		return "see to the sensor and its wires first"
	case m.danger():
		return "press NO FURTHER: let the load off slowly, stay out of the line of the load; the points so far stay"
	case !v.HaveZero:
		return "keep all load off the rig and leave it alone: the zero is taken by itself"
	case v.Steady != nil && v.Taken:
		return m.onward()
	case v.Steady != nil:
		return "steady: type what the reference shows, and enter"
	case m.limit.Level == pull.Warning:
		return m.noFurther()
	case v.Progress >= holds && v.Progress < 1 && m.left:
		return "hold it where it is"
	case n == 0:
		return "press the load up to the first value of the reference and hold it"
	}
	return m.onward()
}

// holds is the share of the standing time from which the load counts as held: a pause
// between two strokes of the pump is shorter.
const holds = 0.5

// Points that a line needs, and those it is better for.
const (
	leastRising = 3
	goodRising  = 5
)

// noFurther is what comes after a point near a stop.
func (m *CalibrateScreen) noFurther() string {
	return "press NO FURTHER: " + clean(m.limit.Name) + " is near its stop; take falling points in the same steps"
}

// onward is what comes after a point.
func (m *CalibrateScreen) onward() string {
	points := m.view.Run.Points
	n := len(points)
	rising := n - m.fallingCount()
	switch {
	case m.stale():
		return "the zero after the points is new: s saves again, with it"
	case m.unsaved() == 0 && m.left && m.view.Run.ZeroAfter == nil:
		return "saved, without a zero after the points: let the load off for it, then save again"
	case m.unsaved() == 0 && m.left:
		return "saved: let the load off; q leaves"
	case m.unsaved() == 0 && m.view.Run.ZeroAfter != nil:
		return "saved; q leaves"
	case m.limit.Level == pull.Warning:
		return m.noFurther()
	case !m.left && m.view.Run.ZeroAfter != nil:
		return "the zero after the points is taken: s saves, or press up again for another round"
	case !m.left && m.view.Progress > 0:
		return "leave it alone: the zero after the points is taken by itself"
	case rising < leastRising:
		return fmt.Sprintf("press on to the next value: %s of at least %d so far", counted(int64(rising), "rising point", "rising points"), leastRising)
	case m.view.Going == calib.Falling || points[n-1].Direction == calib.Falling:
		return "let it fall to the next value, at last to no load for 2 s; s saves"
	case rising < goodRising:
		return fmt.Sprintf("press on: %d rising points so far, %d are better; or s saves", rising, goodRising)
	}
	return "press on, or take falling points in the same steps; s saves"
}

// answerLines are what the points say, in w cells: what is wrong first.
func (m *CalibrateScreen) answerLines(w int) (lines []benchLine) {
	held := strings.NewReplacer("¬", "", " %", "¬%", "± ", "±¬") // no line begins with a sign
	say := func(label, text string, k ink) {
		for _, t := range wrap(held.Replace(clean(text)), max(1, w-2-calibrateWide), 4) {
			lines = append(lines, benchLine{label: label, text: strings.ReplaceAll(t, "¬", " "), ink: k})
			label = ""
		}
	}
	a := m.view.Answer
	if m.was != "" {
		t := m.was
		if ansi.StringWidth(t) > w-2-calibrateWide {
			t = shortPaths(clean(t))
		}
		k := good
		switch {
		case m.unsaved() > 0:
			t, k = t+", but not with the points as they are now: s saves again", caution
		case m.stale():
			t, k = t+", but without the zero after the points: s saves again", caution
		}
		say("saved", t, k)
	}
	if a == nil {
		return lines
	}
	if i := m.suspect(); i >= 0 {
		pt := &m.view.Run.Points[i]
		t := a.SuspectWhy
		if t == "" {
			t = fmt.Sprintf("point %d, %s at %s, does not fit the others", i+1, pt.Direction, m.refer(pt.Reference))
		}
		say("look at", string(badMark)+" "+t, warning)
	}
	lineOf := func(l *calib.Line) string {
		f := calib.Factor(float64(l.DoF))
		unit, per := m.slopeUnit()
		t := "slope " + withSpread(l.Slope/per, f*l.SlopeU/per, unit)
		if !l.ThroughZero {
			one := m.refer(1)
			t += ", offset " + withSpread(l.Offset*one.Value, f*l.OffsetU*one.Value, one.Unit)
		}
		return t
	}
	taken, other := &a.Line, &a.Zero
	names := [2]string{"line", "through 0"}
	if a.Taken == calib.ThroughZero {
		taken, other = other, taken
		names = [2]string{"line", "offset"}
	}
	t := "through zero"
	if !taken.ThroughZero {
		t = "with an offset"
	}
	say(names[0], t+": "+lineOf(taken), strong)
	if r := a.Rubbing; r != nil {
		f := calib.Factor(r.DoF)
		t := withSpread(100*r.Friction, 100*f*r.FrictionU, "% of the force")
		if r.Area > 0 {
			one := si.Area(1).In(m.view.Units)
			t += "; area of the ram " + withSpread(float64(r.Area)*one.Value, f*float64(r.AreaU)*one.Value, one.Unit)
		}
		say("friction", t, plain)
	}
	for _, c := range a.Claims {
		say("claim", c, plain)
	}
	if a.TakenWhy != "" {
		say("why", names[0]+" "+t+": "+a.TakenWhy, plain)
	}
	if raw := m.view.Run.ZeroAfter; raw != nil {
		if p, ok := m.view.Rig.Chain().Pressure(*raw); ok.Valid() {
			say("zero", "after the points "+fineText(p-m.view.Zero, m.view.Units)+" from the one before", plain)
		}
	}
	for _, r := range a.Remarks {
		say("remark", r, caution)
	}
	say("not taken", names[1]+": "+lineOf(other), faint)
	for i := range a.Levels {
		say("as found", m.levelText(&a.Levels[i]), faint)
	}
	return lines
}

// levelText is how right the rig was at one value before this calibration.
func (m *CalibrateScreen) levelText(l *calib.Level) string {
	t := fmt.Sprintf("%s: error %s %%, repeats to %s %%", m.refer(l.Reference), signed(100*l.Error, 2), si.Number(100*l.Repeatability, 2))
	if l.Reversibility != nil {
		t += fmt.Sprintf(", falling %s %%", signed(100**l.Reversibility, 2))
	}
	return t
}

// slopeUnit is the unit of a slope, and what one of it is in SI.
func (m *CalibrateScreen) slopeUnit() (string, float64) {
	p := si.Pressure(1).In(m.view.Units)
	if m.view.Run.At == rig.AtGauge {
		return "", 1
	}
	f := si.Force(1).In(m.view.Units)
	return f.Unit + "/" + p.Unit, p.Value / f.Value
}

// withSpread is a value with what may be about it, to two figures of the latter.
func withSpread(v, spread float64, unit string) string {
	decimals := 4
	if spread > 0 && !math.IsInf(spread, 0) {
		decimals = figuresOf(spread)
	}
	t := si.Number(v, decimals) + " ± " + si.Number(spread, decimals)
	if unit != "" {
		t += " " + unit
	}
	return t
}

// figuresOf is how many decimals show two figures of a number.
func figuresOf(v float64) int {
	return max(0, min(6, 1-int(math.Floor(math.Log10(v)))))
}

// signed is a number with its sign.
func signed(v float64, decimals int) string {
	t := si.Number(v, decimals)
	if v > 0 && strings.Trim(t, "0.,") != "" {
		t = "+" + t
	}
	return t
}
