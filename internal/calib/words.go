package calib

import (
	"fmt"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"draghand/internal/gum"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// plotHalf is how many letters the plot of the residuals has on either side.
const plotHalf = 8

// textWide is how wide the words are, in letters.
const textWide = 80

// Lines are an answer in words, for a person: the points with their residuals, the
// lines, what is suspect, the friction, the figures as found, what may be said.
func (a *Answer) Lines(run Run, sys si.System) []string {
	w := writer{run: run, a: a, sys: sys}
	w.points()
	w.lines()
	w.rubbing()
	w.levels()
	for _, c := range a.Claims {
		w.say("claims", "%s", c)
	}
	for _, r := range a.Remarks {
		w.say("remark", "%s", r)
	}
	return w.out
}

type writer struct {
	run Run
	a   *Answer
	sys si.System
	out []string
}

func (w *writer) say(label, format string, v ...any) {
	label = fmt.Sprintf("%-10s ", label)
	for _, t := range Wrapped(fmt.Sprintf(format, v...), textWide-len(label)) {
		w.out = append(w.out, label+t)
		label = strings.Repeat(" ", len(label))
	}
}

// Wrapped is a text in lines of at most so many letters, but for a longer word.
func Wrapped(text string, wide int) (lines []string) {
	line := ""
	// No line begins with a sign or a unit: they stay with their number.
	held := strings.NewReplacer("± ", "±\u00a0", " %", "\u00a0%", " lbf", "\u00a0lbf", " kN", "\u00a0kN", " psi", "\u00a0psi", " bar", "\u00a0bar").Replace(text)
	for word := range strings.FieldsFuncSeq(held, func(r rune) bool { return r == ' ' }) {
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > wide {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	for i := range lines {
		lines[i] = strings.ReplaceAll(lines[i], "\u00a0", " ")
	}
	return append(lines, strings.ReplaceAll(line, "\u00a0", " "))
}

// fine is a value of the reference with one more decimal than a force is shown with.
func (w *writer) fine(v float64) string {
	var s si.Shown
	if w.run.At == rig.AtGauge {
		s = si.Pressure(v).In(w.sys)
	} else {
		s = si.Force(v).In(w.sys)
	}
	s.Decimals++
	return s.String()
}

// number is a value of the reference as fine writes it, without its unit; unit is
// that.
func (w *writer) number(v float64) (number, unit string) {
	number, unit, _ = strings.Cut(w.fine(v), " ")
	return number, unit
}

func (w *writer) points() {
	largestResidual := 0.0 // of those the line is drawn through: the falling ones lie where the friction puts them
	for _, r := range w.a.Residuals {
		if r.Leverage > 0 {
			largestResidual = max(largestResidual, math.Abs(r.Residual))
		}
	}
	_, unit := w.number(0)
	const row = "%3s %3s %-8s%9s %11s %9s %5s %7s  %s"
	w.out = append(w.out,
		fmt.Sprintf(row, "no.", "run", "load", "gauge", "reference", "less line", "pull", "off, in", "less line,"),
		strings.TrimRight(fmt.Sprintf(row, "", "", "", si.Pressure(0).In(w.sys).Unit, "", unit, "", "scatter", "± "+w.fine(largestResidual)), " "))
	for i, p := range w.run.Points {
		r := Residual{}
		if i < len(w.a.Residuals) {
			r = w.a.Residuals[i]
		}
		leverage, student := "", ""
		if r.Leverage > 0 {
			leverage, student = si.Number(r.Leverage, 2), si.Number(r.Student, 2)
		}
		said := p.ReferenceText(w.run.At, w.sys)
		if _, ok := p.Typed(w.run.At); !ok {
			said = w.fine(p.Reference)
		}
		less, _ := w.number(r.Residual)
		w.out = append(w.out, strings.TrimRight(fmt.Sprintf(row, fmt.Sprint(i+1), fmt.Sprint(p.Run), p.Direction, p.Gauge.In(w.sys).Number(), said, less,
			leverage, student, plot(r.Residual, largestResidual, p.Direction)), " "))
		if i == w.a.Suspect {
			w.out = append(w.out, "    ^ point "+fmt.Sprint(i+1)+" does not fit")
		}
	}
	for _, t := range Wrapped("less line: what the reference said less what the line says, here and as a mark, o rising, x falling. pull: the pull of this point on the line, 0 to 1. off: how far it is off in its own scatter, as the other points tell that.", textWide-2) {
		w.out = append(w.out, "  "+t)
	}
	w.out = append(w.out, "")
}

// plot is one residual as a mark beside a line: o rising, x falling, < and > beyond
// the most.
func plot(v, most float64, d Direction) string {
	row := []rune(strings.Repeat(" ", plotHalf) + "|" + strings.Repeat(" ", plotHalf))
	at, mark := plotHalf, 'o'
	if d == Falling {
		mark = 'x'
	}
	switch {
	case !(most > 0):
	case v > most*(1+slack):
		at, mark = len(row)-1, '>'
	case v < -most*(1+slack):
		at, mark = 0, '<'
	default:
		at += int(math.Round(v / most * plotHalf))
	}
	row[at] = mark
	return strings.TrimRight(string(row), " ")
}

func (w *writer) lines() {
	a, c := w.a, &w.a.Calibration
	for _, l := range []Line{a.Line, a.Zero} {
		name, taken := "line", ""
		text := w.slope(l)
		if l.ThroughZero {
			text += ", through zero"
		} else {
			text += fmt.Sprintf(", offset %s ± %s", w.fine(l.Offset), w.fine(gum.T(confidence, float64(l.DoF))*l.OffsetU))
		}
		if l.ThroughZero == (a.Taken == ThroughZero) {
			taken = "; taken"
		}
		w.say(name, "%s; the points scatter about it by %s%s", text, w.fine(l.SD), taken)
	}
	w.say("", "taken because %s", a.TakenWhy)
	w.say("range", "%s to %s at the gauge, %d rising points", c.Line.Low.Text(w.sys), c.Line.High.Text(w.sys), c.Line.Points)
	w.say("certainty", "± %.2f %% at the lowest, ± %.2f %% at the highest point (k = 2), %s", 200*c.RelativeU(c.Line.Low), 200*c.RelativeU(c.Line.High), w.referenceU())
	if a.Suspect >= 0 {
		w.say("suspect", "%s", a.SuspectWhy)
		w.say("", "take the point again, or leave it out with --drop %d", a.Suspect+1)
	}
}

func (w *writer) referenceU() string {
	if u := w.run.Reference.U; u > 0 {
		return fmt.Sprintf("the reference's ± %.2g %% in it", 100*coverage*u)
	}
	return "the reference's own not in it: it is not stated"
}

// slope is a line's slope in the units of display.
func (w *writer) slope(l Line) string {
	edge := gum.T(confidence, float64(l.DoF)) * l.SlopeU
	if w.run.At == rig.AtGauge {
		return fmt.Sprintf("%.5f ± %.5f of the gauge", l.Slope, edge)
	}
	per, what := si.Pressure(si.PSI), "psi"
	if w.sys == si.Metric {
		per, what = si.Bar, "bar"
	}
	v := si.Force(l.Slope * float64(per)).In(w.sys)
	return fmt.Sprintf("%.5f ± %.5f %s per %s", v.Value, si.Force(edge*float64(per)).In(w.sys).Value, v.Unit, what)
}

func (w *writer) rubbing() {
	m := w.a.Rubbing
	if m == nil {
		return
	}
	t := gum.T(confidence, m.DoF)
	w.say("friction", "%.2f ± %.2f %% (95 %%), of all that rubs between the oil and the reference", 100*m.Friction, 100*t*m.FrictionU)
	if m.Area > 0 {
		w.say("area", "%s ± %s (95 %%)", m.Area.Text(w.sys), si.Area(t*float64(m.AreaU)).Text(w.sys))
	}
}

const levelRow = "%12s %8s %13s %13s %10s %5s %8s %3s"

func (w *writer) levels() {
	by := "the rig file alone"
	if w.run.Rig != nil {
		if c := w.run.Rig.Calibration; c != nil {
			by = "the calibration " + c.ID
		}
	}
	w.out = append(w.out, "", "as found, by "+by+":", fmt.Sprintf(levelRow, "reference", "error", "repeatability", "reversibility", "resolution", "times", "ISO 7500", "E4"))
	for _, l := range w.a.Levels {
		back, class, e4 := "", l.Class, "no"
		if l.Reversibility != nil {
			back = fmt.Sprintf("%+.2f %%", 100**l.Reversibility)
		}
		if class == "" {
			class = "none"
		}
		if l.E4 {
			e4 = "yes"
		}
		repeat := ""
		if l.Readings > 1 {
			repeat = fmt.Sprintf("%.2f %%", 100*l.Repeatability)
		}
		w.out = append(w.out, fmt.Sprintf(levelRow, w.fine(l.Reference), fmt.Sprintf("%+.2f %%", 100*l.Error), repeat, back,
			fmt.Sprintf("%.2f %%", 100*l.Resolution), fmt.Sprint(l.Readings), class, e4))
	}
	w.out = append(w.out, "  what each level's figures alone would allow; what may be said is under claims", "")
}

// Summary is a calibration in few words: "calibration of 2026-11-20 at the specimen,
// 10.00 kN to 45.00 kN, due in 360 days".
func Summary(c *rig.Calibration, sys si.System, now time.Time) string {
	at := "the " + string(c.At)
	if c.Far {
		at = "the far side's place"
	}
	l := &c.Line
	return fmt.Sprintf("calibration of %s at %s, %s to %s, %s", c.Made.Format(time.DateOnly), at,
		ValueText(c.At, l.Value(l.Low), sys), ValueText(c.At, l.Value(l.High), sys), dueWords(c.Due, now))
}

func dueWords(due, now time.Time) string {
	const day = 24 * time.Hour
	switch d := due.Sub(now); {
	case d < -day:
		return fmt.Sprintf("overdue by %s", count(int(-d/day), "day"))
	case d < 0:
		return "overdue"
	case d < day/2:
		return "due today"
	default:
		return "due in " + count(int((d+day/2)/day), "day")
	}
}

// NoCalibration is what is said where none is used.
const NoCalibration = "calibration: none, forces by the rig file alone"

// Told is by what a rig's forces are reckoned, in a line.
func Told(r *rig.Rig, sys si.System, now time.Time) string {
	c := r.Calibration
	if c == nil {
		return NoCalibration
	}
	out := Summary(c, sys, now)
	if len(c.PassedOver) > 0 {
		out = strings.ToUpper(c.PassedOver[0][:1]) + strings.Join(c.PassedOver, "; ")[1:] + ": " + out
	}
	if !c.Speaks(r.Path.BarFar) {
		out += "; made on the other side, so that it says nothing of this bar"
	}
	return out
}
