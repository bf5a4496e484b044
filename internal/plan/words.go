package plan

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// lineWide is how wide a plan in words is at the most.
const lineWide = 80

// Lines are the plan in words, the advice first.
func (p *Plan) Lines() []string {
	w := &words{sys: p.Units}
	st := p.Strength
	name := st.Name
	if name != "" {
		name += ", "
	}
	w.say(fmt.Sprintf("plan for %s: %s%s", p.Rig, name, between(st.Low, st.High, w.sys)), "")
	w.say("limits are held against "+st.Upper.Text(w.sys)+"; "+st.How, "  ")
	w.blank()
	w.say(p.Advice.Text, "")
	if p.Advice.Change != "" {
		w.say("to change: "+p.Advice.Change, "")
	}
	for _, n := range p.Advice.Always {
		w.say(n, "")
	}
	rows := p.All()
	if len(rows) == 0 {
		return w.lines
	}
	w.blank()
	w.loads(p, rows)
	w.blank()
	w.quality(rows)
	w.blank()
	w.whys(rows)
	w.strongest(p, rows)
	w.blank()
	for _, n := range Notes() {
		w.say(n, "")
	}
	return w.lines
}

// All are the sizes as a person reads them: standard ones, the own one, those
// asked for, each diameter once.
func (p *Plan) All() []Size {
	out := append([]Size(nil), p.Sizes...)
	if p.Own != nil {
		out = append(out, *p.Own)
	}
	for i := range p.Asked {
		if s := &p.Asked[i]; !slices.ContainsFunc(out, func(o Size) bool { return sameSize(o.Diameter, s.Diameter) }) {
			out = append(out, *s)
		}
	}
	return out
}

// Notes hold for every plan.
func Notes() []string {
	return []string{
		"The margin is that of the strongest specimen below the least force at which the part that comes first may stop: the part at the unsafe edge of area, friction and share, the specimen at the other. No plan sees a crack, a poor weld, a bent pin or a load from the side.",
		"Pace: while the bar is elastic, for 10,000 to 100,000 psi/min of stress (ASTM E8/E8M, from memory of the standard).",
		"The program warns; it is no safety device.",
	}
}

// words builds the text.
type words struct {
	sys   si.System
	lines []string
}

func (w *words) blank() { w.lines = append(w.lines, "") }

// say writes a sentence over as many lines as it needs, all but the first
// indented.
func (w *words) say(text, indent string) {
	line, n := "", 0
	for _, word := range strings.Fields(text) {
		l := utf8.RuneCountInString(word)
		if line != "" && n+1+l > lineWide {
			w.lines = append(w.lines, line)
			line, n = indent, len(indent)
			line, n = line+word, n+l
			continue
		}
		if line != "" {
			line, n = line+" ", n+1
		}
		line, n = line+word, n+l
	}
	w.lines = append(w.lines, line)
}

// table writes columns as wide as they must be; the first and the last begin at
// the left, the others end at the right. What is too wide for that is written as
// sentences.
func (w *words) table(rows [][]string) {
	wide := make([]int, len(rows[0]))
	for _, r := range rows {
		for i, c := range r {
			wide[i] = max(wide[i], utf8.RuneCountInString(c))
		}
	}
	all := 2 * (len(wide) - 1)
	for _, n := range wide {
		all += n
	}
	if all > lineWide {
		for _, r := range rows[1:] {
			text := r[0] + ":"
			for i := 1; i < len(r); i++ {
				text += " " + rows[0][i] + " " + r[i] + ";"
			}
			w.say(strings.TrimSuffix(text, ";"), "  ")
		}
		return
	}
	for _, r := range rows {
		var b strings.Builder
		for i, c := range r {
			fill := strings.Repeat(" ", wide[i]-utf8.RuneCountInString(c))
			switch {
			case i == len(r)-1:
				b.WriteString(c)
			case i == 0:
				b.WriteString(c + fill + "  ")
			default:
				b.WriteString(fill + c + "  ")
			}
		}
		w.lines = append(w.lines, strings.TrimRight(b.String(), " "))
	}
}

// span is a range without its unit.
func span[Q shown](low, high Q, sys si.System) string {
	a, b := low.In(sys).Number(), high.In(sys).Number()
	if a == b {
		return a
	}
	return a + "–" + b
}

// fine is a small quantity with two figures that count.
func fine(s si.Shown) string {
	for v := s.Value; v > 0 && v < 10 && s.Decimals < 1 || v > 0 && v < 1 && s.Decimals < 3; v *= 10 {
		s.Decimals++
	}
	return s.String()
}

// UseText is how much of the gauge's range the break takes: "12–17 %".
func (s *Size) UseText() string {
	a, b := si.Number(100*s.UseLow, 0), si.Number(100*s.UseHigh, 0)
	if a == b {
		return b + " %"
	}
	return a + "–" + b + " %"
}

// Label is what a list calls the size.
func (s *Size) Label() string {
	if s.Own {
		return s.Name + " own"
	}
	return s.Name
}

func (w *words) loads(p *Plan, rows []Size) {
	unit := func(s si.Shown) string { return s.Unit }
	force := unit(si.Force(0).In(w.sys))
	out := [][]string{{"size", "breaks at " + force, "gauge " + unit(si.Pressure(0).In(w.sys)), "ram " + force, "margin", "verdict"}}
	for i := range rows {
		s := &rows[i]
		out = append(out, []string{
			s.Label(), span(s.Low.Specimen, s.High.Specimen, w.sys), span(s.Low.Gauge, s.High.Gauge, w.sys), s.High.Ram.In(w.sys).Number(), s.MarginText(), string(s.Verdict),
		})
	}
	w.table(out)
	if p.Part == nil {
		w.say("no part of this rig has a known limit: there is no margin to tell", "")
		return
	}
	w.say("first to its stop: "+p.Part.Text(w.sys), "  ")
}

// MarginText is the margin as a list shows it.
func (s *Size) MarginText() string {
	switch {
	case s.Part == "":
		return "?"
	case s.Margin < -0.995:
		return "< -99 %"
	}
	return si.Number(100*s.Margin, 0) + " %"
}

// Text is the part, what it may carry, and its stop in all three places.
func (p *Part) Text(sys si.System) string {
	may := si.Force(p.Allowable).Text(sys)
	if p.At == rig.AtGauge {
		may = si.Pressure(p.Allowable).Text(sys)
	}
	if p.Mode != "" {
		return p.text(may, ": "+p.Mode, sys)
	}
	return p.text(may, "", sys)
}

func (p *Part) text(may, mode string, sys si.System) string {
	l := p.Stop
	return fmt.Sprintf("%s (%s %s%s), at %s on the specimen, %s on the ram, %s at the gauge",
		p.Name, may, p.At.Where(), mode, l.Specimen.Text(sys), l.Ram.Text(sys), l.Gauge.Text(sys)) + p.early("; on the specimen it may be as early as ", sys)
}

// early is the least force on the specimen at the stop, behind some words; empty
// where it is no other than the best estimate.
func (p *Part) early(words string, sys si.System) string {
	least := p.StopLeast.Text(sys)
	if least == p.Stop.Specimen.Text(sys) {
		return ""
	}
	return words + least
}

func (w *words) quality(rows []Size) {
	rate := si.PressureRate(0).In(w.sys).Unit
	out := [][]string{{"size", "of range", "a count", "strength ±", "pace " + rate, "doubt mostly"}}
	for i := range rows {
		s := &rows[i]
		count, most := "–", "–"
		if s.StressStep > 0 {
			count = fine(s.StressStep.In(w.sys))
		}
		if len(s.Budget.Shares) > 0 {
			most = s.Budget.Shares[0].Of
		}
		out = append(out, []string{
			s.Label(), s.UseText(), count, si.Number(100*s.Budget.Expanded, 1) + " %", span(s.Pace.Low, s.Pace.High, w.sys), most,
		})
	}
	w.table(out)
	w.strokes(rows)
}

// strokes says how often to pump, where the rig file says what a stroke does.
func (w *words) strokes(rows []Size) {
	if rows[0].Pace.Strokes == 0 {
		return
	}
	w.blank()
	out := [][]string{{"size", "strokes to the break", "a minute, from", "to", "rig springs"}}
	for i := range rows {
		s := &rows[i].Pace
		out = append(out, []string{
			rows[i].Label(), si.Number(s.Strokes, 0), si.Number(s.StrokesLow, 1), si.Number(s.StrokesHigh, 1), s.Advance.Text(w.sys),
		})
	}
	w.table(out)
	w.say("as if only the rig gave way: the specimen stretches too, so it takes more", "  ")
}

func (w *words) whys(rows []Size) {
	for i := range rows {
		if s := &rows[i]; len(s.Why) > 0 {
			w.say(fmt.Sprintf("%s: %s: %s", s.Label(), s.Verdict, strings.Join(s.Why, "; ")), "  ")
		}
	}
}

// strongest says the other way round what each size can break here.
func (w *words) strongest(p *Plan, rows []Size) {
	if p.Part == nil || !(p.Part.Stop.Specimen > 0) {
		return
	}
	w.blank()
	w.say("The other way round, how strong a bar may bring "+p.Part.Name+" to its stop, of what typical strength that is the upper end, and the strongest alloy of the table that stays below the warning:", "")
	out := [][]string{{"size", "bar", "typical", "strongest alloy"}}
	for i := range rows {
		s := &rows[i]
		alloy := s.StrongestAlloy
		if alloy == "" {
			alloy = "none"
		}
		out = append(out, []string{s.Label(), s.Strongest.Text(w.sys), s.StrongestTypical.Text(w.sys), alloy})
	}
	w.table(out)
}
