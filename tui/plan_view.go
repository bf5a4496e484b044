package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/plan"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// View draws the frame.
func (m PlanScreen) View() string {
	return m.scratch.framed(m.width, m.height, m.theme, m.drawPlan, m.drawSmall)
}

// drawPlan draws from the top: whose plan it is, what must be read now, the
// advice; from the bottom: the keys and the chosen size. The rails take what is
// left.
func (m *PlanScreen) drawPlan(p *plate) {
	right := "plan"
	if m.view.Rig != nil {
		right += "   " + cut(clean(m.view.Rig.Name), p.w/3)
	}
	x := p.right(p.w-2, 0, p.w/2, right, strong)
	p.text(2, 0, x-5, m.title(), plain)
	y := 1
	lines, inks := alerts(m.view.Look, m.view.Units, p.w-4)
	for i, l := range lines {
		p.band(y, inks[i])
		p.text(2, y, p.w-4, l, inks[i])
		y++
	}
	if len(lines) == 0 {
		y++
	}
	y = m.drawAdvice(p, y)
	m.drawKeys(p, p.h-1)
	if m.plan == nil {
		return
	}
	more := m.moreLines(p.w - 4)
	high := min(len(more), max(5, p.h-3-y-len(m.sizes)-2))
	y = m.drawRails(p, y+1, p.h-3-high) + 1
	for i := range min(len(more), p.h-2-y) {
		more[i].draw(p, 0, y+i, p.w-2, planWide)
	}
}

// title is the metal the plan is for.
func (m *PlanScreen) title() string {
	s, u := m.strength, m.view.Units
	if s.Upper == 0 {
		return "no metal yet"
	}
	name := clean(s.Name)
	if name == "" {
		name = "a metal"
	}
	return joinFit(m.width, name+" of "+strengthText(s, u))
}

func strengthText(s plan.Strength, u si.System) string {
	if s.Low == s.High {
		return s.High.Text(u)
	}
	return s.Low.In(u).Number() + "–" + s.High.Text(u)
}

// verdictInk is the ink of a verdict; its word stands with it.
func verdictInk(v plan.Verdict) ink {
	switch v {
	case plan.Good:
		return good
	case plan.Usable:
		return caution
	}
	return stop
}

// drawAdvice says what to turn, or what is missing for a plan.
func (m *PlanScreen) drawAdvice(p *plate, y int) int {
	say := func(text string, k ink, most int) {
		for _, l := range wrap(text, min(p.w-4, 120), most) {
			p.text(2, y, p.w-4, l, k)
			y++
		}
	}
	switch {
	case m.view.Rig == nil:
		say("no rig is on the bench: name its rig file there, and this says which bar to turn for it", warning, 3)
	case m.plan == nil:
		say("how strong is the metal? left and right go through the alloys of the table; s takes a strength, 40 ksi .. 50 ksi", strong, 3)
	default:
		a := m.plan.Advice
		say(planSentence(a.Text), verdictInk(a.Verdict), 4)
		if a.Change != "" {
			say("to change: "+clean(a.Change), plain, 2)
		}
		for _, t := range a.Always {
			say(clean(t), caution, 1)
		}
	}
	return y
}

// planSentence is a sentence with a capital letter in front.
func planSentence(s string) string {
	s = clean(s)
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// planWide is the room of the labels below the rails.
const planWide = 11

// moreLines are the chosen size in words, w cells wide.
func (m *PlanScreen) moreLines(w int) (lines []benchLine) {
	s, u := m.size(), m.view.Units
	if s == nil {
		return nil
	}
	say := func(label, text string, k ink) {
		for i, t := range wrap(text, w-planWide, 3) {
			if i > 0 {
				label = ""
			}
			lines = append(lines, benchLine{label: label, text: t, ink: k})
		}
	}
	breaks := "%s on the specimen, %s at the gauge, %s on the ram"
	say("breaks at", fmt.Sprintf(breaks, planRange(s.Low.Specimen, s.High.Specimen, u), planRange(s.Low.Gauge, s.High.Gauge, u), planRange(s.Low.Ram, s.High.Ram, u)), strong)
	if len(s.Why) > 0 {
		say(string(s.Verdict)+",", "since "+clean(strings.Join(s.Why, "; ")), verdictInk(s.Verdict))
	}
	say("pace", planPace(s, u), plain)
	doubt := "± " + si.Number(100*s.Budget.Expanded, 1) + " % of the strength"
	for i, of := range s.Budget.Shares[:min(3, len(s.Budget.Shares))] {
		sep := ", "
		if i == 0 {
			sep = ": "
		}
		doubt += fmt.Sprintf("%s%s %s %%", sep, of.Of, si.Number(100*of.Fraction, 0))
	}
	say("doubt", doubt, plain)
	reads := s.UseText() + " of the gauge's range"
	if s.StressStep > 0 {
		reads += "; one count is " + s.ForceStep.Text(u) + ", " + fineStress(s.StressStep, u)
	}
	say("reads", reads, plain)
	if s.StrongestTypical > 0 {
		t := "a metal of typically " + s.StrongestTypical.Text(u) + " at the most"
		if s.StrongestAlloy != "" {
			t += "; of the table with a margin: " + clean(s.StrongestAlloy)
		}
		say("good for", t, plain)
	}
	if part := m.plan.Part; part != nil {
		say("first stop", clean(part.Text(u)), plain)
	}
	say("metal", clean(m.strength.How)+"; limits are held against "+m.strength.Upper.Text(u), faint)
	say("standard", clean(s.Source), faint)
	return lines
}

// planPace is how fast to pump, and how often where that is known.
func planPace(s *plan.Size, u si.System) string {
	t := planRange(s.Pace.Low, s.Pace.High, u) + " at the gauge while it is elastic"
	if n := s.Pace.Strokes; n > 0 {
		t += fmt.Sprintf("; some %s strokes to the break, %s–%s a minute, more as it stretches", si.Number(n, 0), si.Number(s.Pace.StrokesLow, 0), si.Number(s.Pace.StrokesHigh, 0))
	}
	return t
}

// planRange is a range of a quantity with its unit once.
func planRange[Q interface{ In(si.System) si.Shown }](low, high Q, u si.System) string {
	a, b := low.In(u), high.In(u)
	if a.Number() == b.Number() {
		return b.String()
	}
	return a.Number() + "–" + b.String()
}

// fineStress is a small stress with the decimals that its size asks for.
func fineStress(t si.Stress, u si.System) string {
	s := t.In(u)
	switch {
	case s.Value < 0.1:
		s.Decimals = 3
	case s.Value < 10:
		s.Decimals = 2
	}
	return s.String()
}

// drawKeys is the last line: the strength being typed, what was wrong, or the
// keys.
func (m *PlanScreen) drawKeys(p *plate, y int) {
	w := p.w - 4
	switch {
	case m.typing:
		t, k := "such as 40 ksi .. 50 ksi, or one strength; enter plans with it, esc leaves it", faint
		if m.fault != "" {
			t, k = "not usable: "+m.fault, warning
		}
		p.text(2, y-1, w, clean(t), k)
		x := p.text(2, y, w, "breaks between: ", strong)
		m.edit.draw(p, x, y, p.w-2-x)
	case m.fault != "":
		p.text(2, y, w, troubleText(m.fault, w), strong)
	default:
		h := plainHelp(0)
		line := h.ShortHelpView(m.keys.line(false))
		if ansi.StringWidth(line) > w { // rather closer than without help
			h = plainHelp(w)
			h.ShortSeparator = "  "
			line = h.ShortHelpView(m.keys.line(false))
		}
		p.text(2, y, w, line, faint)
	}
}

// mostUrgent is the line that stays in sight under help.
func (m PlanScreen) mostUrgent(w int) (string, ink) {
	return firstAlert(m.view.Look, m.view.Units, w)
}

// drawSmall is the plan of a terminal too small for it, in sentences.
func (m *PlanScreen) drawSmall(p *plate) {
	y := 0
	say := func(t string, k ink, most int) {
		for _, l := range wrap(t, p.w, most) {
			p.text(0, y, p.w, l, k)
			y++
		}
	}
	lines, inks := alerts(m.view.Look, m.view.Units, 2*p.w)
	for i, l := range lines {
		say(l, inks[i], 2)
	}
	switch {
	case m.typing:
		say("breaks between: "+m.edit.text()+"▏", strong, 2)
		if m.fault != "" {
			say("not usable: "+clean(m.fault), warning, 2)
		}
	case m.plan == nil:
		y = m.drawAdvice(p, y)
	default:
		say(m.title(), plain, 1)
		say(planSentence(m.plan.Advice.Text), verdictInk(m.plan.Advice.Verdict), 5)
		for _, n := range m.plan.Unknown {
			say("no known limit: "+clean(n), caution, 1)
		}
		if s := m.size(); s != nil {
			say(fmt.Sprintf("▸ %s: %s, margin %s, ± %s %%", s.Label(), s.Verdict, s.MarginText(), si.Number(100*s.Budget.Expanded, 1)), verdictInk(s.Verdict), 2)
		}
	}
	if y < p.h {
		say(fmt.Sprintf("this screen needs %d columns and %d lines; here are %d and %d", minWidth, minHeight, p.w, p.h), faint, 3)
	}
}

// levelsOf are the alarm levels of the rig.
func (m *PlanScreen) levelsOf() rig.Alarm { return m.view.Rig.Alarm }
