package tui

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/compare"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// compareFigure is the answer as a figure.
type compareFigure struct {
	text, unit, what string
	ink              ink
}

// answer is the strength to count on.
func (m *CompareScreen) answer(g *compare.Group) compareFigure {
	a := compareFigure{text: "NONE", what: "strength to count on: none", ink: caution}
	c := g.CountOn
	switch {
	case c == nil, c.Nothing(m.units):
	default:
		shown := strength.Down(c.Strength, m.units)
		a.text, a.unit, a.ink = shown.Number(), shown.Unit, strong
		a.what = "strength to count on, " + m.groupName(g)
		switch c.Grade() {
		case compare.WithCaution:
			a.what, a.ink = "△ strength to count on, "+compare.WithCaution, caution
		case compare.NotTrusted:
			a.what, a.ink = "△ comes out, "+compare.NotTrusted, caution
		}
	}
	return a
}

// holds says whether the strength to count on holds the minimum, the answer in
// capitals.
func (m *CompareScreen) holds(g *compare.Group) (string, ink) {
	low, c := m.c.Options.Minimum, g.CountOn
	switch {
	case low <= 0 && m.c.StatedMinimum() > 0:
		return "none given: m takes " + compare.OfferedText(m.c.StatedMinimum(), m.units), faint
	case low <= 0:
		return "none given: m types one", faint
	}
	asked := compare.StatedText(low)
	switch g.Verdict(low) {
	case compare.UnderWithout:
		return fmt.Sprintf("NOT SHOWN: %d of %d under %s", g.Under(low), len(g.Pulls), asked), stop
	case compare.DoesNotHold:
		return "DOES NOT HOLD " + asked, stop
	case compare.NotShown:
		return "NOT SHOWN TO HOLD " + asked, caution
	case compare.WouldHold:
		return "WOULD HOLD " + asked + ", " + c.Grade(), caution
	case compare.Holds:
		if c.Grade() != "" {
			return "HOLDS " + asked + ", " + c.Grade(), caution
		}
		return "HOLDS " + asked, good
	}
	return "CANNOT TELL " + asked, caution
}

// minimumTexts are the verdict in fewer and fewer words: with the figure it rests on
// where that is in other units than those read here.
func (m *CompareScreen) minimumTexts(g *compare.Group, says string) []string {
	low, c := m.c.Options.Minimum, g.CountOn
	v := g.Verdict(low)
	as := ""
	if c != nil {
		as = c.AsStated(low, m.units)
	}
	switch v {
	case compare.Holds, compare.WouldHold:
		long, brief := says, says
		if as != "" {
			long += ": " + as + ", reaches it"
		}
		if c.Grade() != "" { // the grade is not what gives way
			brief = strings.ToUpper(string(v)) + ", " + c.Grade()
		}
		texts := []string{long, says, brief}
		if v == compare.WouldHold { // at 80 columns
			texts = append(texts, strings.ToUpper(string(v))+", not to be trusted")
		}
		return texts
	case compare.NotShown, compare.DoesNotHold:
		if as != "" {
			return []string{says + ": " + as + ", is under it", says}
		}
	}
	return []string{says}
}

// saysWhole says that the facts have room for the verdict with what it rests on.
func (m *CompareScreen) saysWhole(g *compare.Group) bool {
	t, _ := m.holds(g)
	return ansi.StringWidth(m.minimumTexts(g, t)[0]) <= m.factsWide()-compareFactWide
}

// compareFactWide is the room of the labels of the facts.
const compareFactWide = 9

// factLines are the figures of a group in w cells, those that matter most first.
func (m *CompareScreen) factLines(g *compare.Group, w int) []benchLine {
	u, s := m.units, &g.Strength
	var out []benchLine
	add := func(label string, k ink, texts ...string) {
		h := headline{texts: texts}
		out = append(out, benchLine{label: label, text: h.within(w - compareFactWide), ink: k})
	}
	t, k := m.holds(g)
	add("minimum", k, m.minimumTexts(g, t)...)
	n := barsText(len(g.Pulls))
	full, brief := n, n
	if c := len(g.Censored); c > 0 {
		brief = fmt.Sprintf("%d broke, %d did not", len(g.Pulls), c)
		full = brief + map[bool]string{true: " (it bore at least so much)", false: " (they bore at least so much)"}[c == 1]
	}
	if c := len(g.Left); c > 0 {
		full += fmt.Sprintf(", %d left out", c)
		brief += fmt.Sprintf(", %d left out", c)
	}
	add("n", plain, full, brief)
	if len(g.Pulls) == 0 {
		return out
	}
	mean := stress(s.Mean, u)
	if finite(s.MeanLow) && finite(s.MeanHigh) {
		sure := fractionText(s.Level)
		span := number(s.MeanLow, u) + " to " + number(s.MeanHigh, u)
		add("mean", plain, mean+", sure to "+sure+" from "+span, mean+" ("+span+", "+sure+")", mean+" ("+span+")", mean)
	} else {
		add("mean", plain, mean)
	}
	sd := "not known of one"
	switch {
	case g.Alike:
		sd = "not seen: all bars read alike"
	case finite(s.SD):
		sd = fineSpread(s.SD, u)
		if finite(s.CV) {
			sd += ", CV " + si.Number(100*s.CV, 1) + " %"
		}
	}
	add("SD", plain, sd)
	span := number(s.Least, u) + " to " + stress(s.Most, u)
	add("range", plain, span+", median "+stress(s.Median, u), span+", median "+number(s.Median, u), span)
	switch c := g.CountOn; {
	case c != nil && !(c.Bound.At > 0):
		add(c.Bound.Name(), plain, "bound below zero, none to count on, k "+si.Number(c.Bound.K, 3), "bound below zero, none to count on", "bound below zero")
	case c != nil:
		b, k := c.BoundText(u), ", k "+si.Number(c.Bound.K, 3)
		brief, _, _ := strings.Cut(b, " ")
		off := c.CommonText(u)
		rig := ""
		if c.CoverageSays(g) != "" {
			rig = " (" + c.CoverageText() + ")"
		}
		bareOff, _, _ := strings.Cut(off, " ")
		switch {
		case c.Unknown == c.Bound.N:
			add(c.Bound.Name(), plain, "bound "+b+", nothing off for the rig: not known"+k, "bound "+brief+", nothing off", brief+", nothing off")
		case c.Unknown > 0:
			of := fmt.Sprintf("of %d of %d bars not known", c.Unknown, c.Bound.N)
			add(c.Bound.Name(), plain, "bound "+b+" less "+off+" for the rig, "+of+k, "bound "+brief+" less "+off+" for the rig, "+of, brief+" less "+bareOff+fmt.Sprintf(", %d not known", c.Unknown))
		default:
			add(c.Bound.Name(), plain, "bound "+b+" less "+off+" for the rig"+rig+k, "bound "+b+" less "+off+" for the rig"+k, "bound "+brief+" less "+off+" for the rig", brief+" less "+off)
		}
	case g.Bound != nil:
		b := "bound below zero"
		if g.Bound.At > 0 {
			b = "bound " + g.Bound.AtText(u)
		}
		add(g.Bound.Name(), plain, b+", none to count on, k "+si.Number(g.Bound.K, 3), b+", k "+si.Number(g.Bound.K, 3), b)
	case g.Alike:
		add(boundName(&m.c.Options), faint, "none: all bars read alike")
	default:
		add(boundName(&m.c.Options), faint, "a bound needs two bars, one to count on three", "a bound needs two bars, to count on: 3", "a bound needs two bars")
	}
	return out
}

func barsText(n int) string {
	if n == 1 {
		return "1 bar"
	}
	return si.Number(float64(n), 0) + " bars"
}

// stress is a stress in Pa with its unit, number the number alone.
func stress(v float64, u si.System) string { return si.Stress(v).Text(u) }

func number(v float64, u si.System) string {
	if !finite(v) {
		return "–"
	}
	return si.Stress(v).In(u).Number()
}

// fineSpread is a difference of stresses, a decimal finer than a stress: a spread is
// a fraction of it.
func fineSpread(v float64, u si.System) string {
	if !finite(v) {
		return "–"
	}
	s := si.Stress(v).In(u)
	if math.Abs(s.Value) < 10 {
		s.Decimals++
	}
	return s.String()
}

// fractionText is a fraction in %, with no more decimals than it has.
func fractionText(v float64) string {
	d := 0
	for d < 3 && math.Abs(100*v-math.Round(100*v*math.Pow(10, float64(d)))/math.Pow(10, float64(d))) > 1e-9 {
		d++
	}
	return si.Number(100*v, d) + " %"
}

// boundName is the bound that is asked for, "90/95".
func boundName(o *compare.Options) string {
	b := compare.Bound{Content: o.Content, Confidence: o.Confidence}
	return b.Name()
}
