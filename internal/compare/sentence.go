package compare

import (
	"fmt"
	"math"
	"strings"

	"draghand/internal/batch"
	"draghand/internal/si"
)

// Sentence is the strength to count on in one sentence: bound and common part apart,
// with content, confidence and the number of bars.
func (c *CountOn) Sentence(g *Group, sys si.System) string {
	b := &c.Bound
	likely := fmt.Sprintf("%s, at least %s of such bars stand %s or more, with %s confidence if their scatter is normal (%s bound of %d bars, %s)",
		g.reads(), whole(b.Content), c.BoundText(sys), whole(b.Confidence), b.Name(), b.N, b.KText(sys))
	taken := fmt.Sprintf("%s is taken off for what %s may be off", c.CommonText(sys), g.itself())
	switch {
	case c.Unknown == b.N:
		taken = "NOTHING is taken off for what " + g.itself() + " may be off, since that is not known"
	case c.Unknown > 0:
		taken += fmt.Sprintf(", as far as it is known: of %d bars it is not", c.Unknown)
	}
	if c.Nothing(sys) {
		if b.At > 0 {
			return fmt.Sprintf("There is no strength to count on yet: %s, and %s%s.", likely, taken, c.more(g, sys))
		}
		return fmt.Sprintf("There is no strength to count on yet: the scatter of %d bars is too large for so few: the %s bound lies below zero%s.", b.N, b.Name(), c.more(g, sys))
	}
	value := "Count on " + c.Text(sys)
	switch {
	case c.Grave != "":
		value = c.Text(sys) + " comes out and " + NotTrusted + ", since " + c.Grave
	case c.Doubtful != "":
		value += ", " + WithCaution
	}
	return fmt.Sprintf("%s: %s, and %s. %s", value, likely, taken, b.weaker())
}

// weaker says how many bars the bound leaves: it is none for the next bar.
func (b *Bound) weaker() string {
	left := 1 - b.Content
	share := whole(left) + " of such bars read"
	if n := math.Round(1 / left); math.Abs(left*n-1) < 1e-6 {
		share = "1 bar in " + si.Number(n, 0) + " reads"
	}
	return fmt.Sprintf("With %s confidence at most %s below the bound: it is no promise for the next bar.", whole(b.Confidence), share)
}

// reads and itself are words on the rig, or on the rigs, of a group.
func (g *Group) reads() string {
	switch {
	case len(rigs(g.Pulls)) > 1:
		return "as these rigs read"
	case g.untold():
		return "as that machine reads"
	}
	return "as this rig reads"
}

// untold says that nobody told the machine of any bar: their tables were imported.
func (g *Group) untold() bool { return counted(g.Pulls, assumed) == len(g.Pulls) && len(g.Pulls) > 0 }

func (g *Group) itself() string {
	switch {
	case len(rigs(g.Pulls)) > 1:
		return "the rigs themselves"
	case g.untold():
		return "that machine itself"
	}
	return "the rig itself"
}

// sentence is the bound alone, where nothing may be counted on.
func (b *Bound) sentence(sys si.System) string {
	if !(b.At > 0) {
		return fmt.Sprintf("The %s bound of %s lies below zero (%s).", b.Name(), plural(b.N, "bar"), b.KText(sys))
	}
	return fmt.Sprintf("The %s bound of %s is %s (%s). %s", b.Name(), plural(b.N, "bar"), b.AtText(sys), b.KText(sys), b.weaker())
}

// KText is the factor, "k 3.41", and what scatter it is times where that is not the
// group's own.
func (b *Bound) KText(sys si.System) string {
	t := "k " + si.Number(b.K, 2)
	if b.Step > 0 {
		t += fmt.Sprintf(" times %s, the SD with the step of the readings, %s, taken into it", finer(float64(b.SD), sys), finer(float64(b.Step), sys))
	}
	return t
}

// more says what would help: more bars, since k of few is large; or a calibration,
// where what the rig may be off is more than k times the scatter, which bars do not
// bring down.
func (c *CountOn) more(g *Group, sys si.System) string {
	if float64(c.Common) > g.Strength.Mean-float64(c.Bound.At) {
		that := "that"
		if !(c.Bound.At > 0) { // then nothing was said of it yet
			that = "what " + g.itself() + " may be off"
		}
		return ". More bars do not help, since " + that + " is the larger part: calibrate the rig"
	}
	for _, n := range []int{5, 10, 20} {
		if n <= c.Bound.N {
			continue
		}
		k, err := batch.ToleranceK(n, c.Bound.Content, c.Bound.Confidence)
		if err != nil || math.IsNaN(k) {
			return ""
		}
		t := fmt.Sprintf(". Pull more bars: of %d the factor k is %s and not %s", n, si.Number(k, 2), si.Number(c.Bound.K, 2))
		if at := g.Strength.Mean - k*float64(c.Bound.SD) - float64(c.Common); at > 0 {
			t += fmt.Sprintf(", which would give about %s with this mean and scatter", text(at, sys))
		}
		return t
	}
	return ""
}

// HoldsFor says what the strength to count on holds for, and what not.
func (g *Group) HoldsFor(sys si.System) string {
	if g.CountOn != nil && g.CountOn.Picked {
		return "It holds for no melt, since the bars were chosen by what came out, and it replaces no code and no licensed practice."
	}
	var of []string
	if m := melts(g.Pulls); len(m) == 1 && m[0] != "(no melt)" {
		of = append(of, "of melt "+m[0])
	} else if len(m) > 1 {
		of = append(of, "of melts mixed as these are")
	} else {
		of = append(of, "of the melt or melts these are of, which nobody states")
	}
	of = append(of, "of this section"+g.section(sys))
	return fmt.Sprintf("It holds for bars %s and this kind (made, turned and pulled as these were), not for a casting of another thickness, and it replaces no code and no licensed practice.",
		strings.Join(of, ", "))
}

// section is about how thick the bars were; empty where that is not one figure.
func (g *Group) section(sys si.System) string {
	least, most := si.Length(math.Inf(1)), si.Length(0)
	for i := range g.Pulls {
		d := g.Pulls[i].Diameter
		if !(d > 0) {
			return ""
		}
		least, most = min(least, d), max(most, d)
	}
	if !(most > 0) || !likeSize(g.Pulls) {
		return ""
	}
	return " (" + ((least + most) / 2).In(sys).String() + " round)"
}

// hardlyApart is of how few bars Grubbs' statistic can hardly flag one.
const hardlyApart = 3

// outlierLine is what Grubbs' statistic says.
func (g *Group) outlierLine(sys si.System) string {
	o := g.Outlier
	if o == nil || o.Index < 0 || o.Index >= len(g.Pulls) {
		return ""
	}
	p := &g.Pulls[o.Index]
	at, limit := ApartTexts(o, 3)
	test := fmt.Sprintf("(Grubbs, %s, %s: G %s, limit %s)", sideWords(o.Side), whole(o.Level), at, limit)
	if o.Flagged {
		return fmt.Sprintf("CAUTION, ONE BAR APART: %s, %s, lies farther from the others than chance explains %s. %s; nothing was dropped. %s.", p.Bar, text(o.Value, sys), test, capital(p.look()), ApartByChance(o.Level))
	}
	says := fmt.Sprintf("No bar lies apart: the farthest is %s, %s %s.", p.Bar, text(o.Value, sys), test)
	if len(g.Pulls) <= hardlyApart { // G cannot pass 1.1547, 2/√3, whatever the bar
		says += " Three bars can hardly tell."
	}
	return says
}

// ApartByChance says how many sound groups are flagged all the same at a level.
func ApartByChance(level float64) string {
	if level > 0.2 {
		return fmt.Sprintf("Of sound groups some %.0f in 100 are flagged so", 100*level)
	}
	return "Of " + si.Number(roughly(1/level), 0) + " sound groups about one is flagged so"
}

func sideWords(s batch.Side) string {
	switch s {
	case batch.Low:
		return "low side"
	case batch.High:
		return "high side"
	}
	return "either side"
}

// normalLine is whether the bound may be trusted by the form of the scatter.
func (g *Group) normalLine(level float64) string {
	switch n := g.Normality; {
	case n == nil && len(g.Pulls) > 2 && len(g.Pulls) < 8 && !g.Alike:
		return "Whether the scatter is normal, which the bound rests on, shows from 8 bars on."
	case n == nil:
		return ""
	case n.P < level:
		return fmt.Sprintf("CAUTION: the scatter does NOT look normal (Anderson–Darling, p %s): do not trust the bound.", short(n.P))
	default:
		return fmt.Sprintf("Nothing speaks against a normal scatter (Anderson–Darling, p %s).", short(n.P))
	}
}

// weibullLine is the Weibull distribution in one line.
func (g *Group) weibullLine(sys si.System) string {
	w := g.Weibull
	if w == nil {
		return ""
	}
	t := fmt.Sprintf("Weibull: modulus m %s", digits3(w.Shape))
	if finite(w.Unbiased) {
		t += fmt.Sprintf(" (unbiased %s)", digits3(w.Unbiased))
	} else if why := g.NotUnbiased(); why != "" {
		t += " (no unbiased one: " + why + ")"
	}
	if finite(w.ShapeLow) && finite(w.ShapeHigh) {
		t += fmt.Sprintf(", between %s and %s (%s)", digits3(w.ShapeLow), digits3(w.ShapeHigh), whole(w.Level))
	}
	t += fmt.Sprintf(", scale %s; of %s", text(w.Scale, sys), plural(w.Failures, "bar"))
	if n := w.N - w.Failures; n > 0 {
		t += fmt.Sprintf(" and %d more that bore at least so much", n)
	}
	return t + ". The larger m, the more alike the bars."
}

// minimumLine holds a group against the minimum.
func (g *Group) minimumLine(minimum si.Stress, sys si.System) string {
	if !(minimum > 0) || len(g.Pulls) == 0 {
		return ""
	}
	under := g.under(minimum)
	bars := fmt.Sprintf("none of the %d bars is under it", len(g.Pulls))
	if under > 0 {
		bars = isUnder(under, len(g.Pulls)) + " under it"
	} else if len(g.Pulls) == 1 {
		bars = "the one bar is not under it"
	}
	asked := "Minimum " + fine(minimum, sys) + ": "
	switch c := g.CountOn; {
	case c == nil && under > 0:
		return asked + "NOT SHOWN, without a strength to count on: " + isUnder(under, len(g.Pulls)) + " under it."
	case c == nil:
		return asked + "cannot be told without a strength to count on; " + bars + "."
	case c.Holds == nil:
		return asked + "cannot be told, since what " + g.itself() + " may be off is not known; " + bars + "."
	case *c.Holds:
		switch c.Grade() {
		case NotTrusted:
			return asked + "the strength to count on would hold it, and " + NotTrusted + "; " + bars + "."
		case WithCaution:
			return asked + "the strength to count on holds it, " + WithCaution + "; " + bars + "."
		}
		return asked + "the strength to count on holds it; " + bars + "."
	}
	return asked + "NOT HELD by the strength to count on" + g.CountOn.ShortIn(minimum, sys) + "; " + bars + "."
}

// isUnder is "2 of 3 bars are".
func isUnder(n, all int) string {
	if all == 1 {
		return "the one bar is"
	}
	return fmt.Sprintf("%d of %d bars %s", n, all, map[bool]string{true: "is", false: "are"}[n == 1])
}

// fine is a stress as a person stated it: with as many decimals as it needs, three at
// the most; with one more than a strength where those are not enough, as of one that was
// stated in other units.
func fine(v si.Stress, sys si.System) string {
	s := v.In(sys)
	usual := s.Decimals
	for ; s.Decimals <= 3; s.Decimals++ {
		if p := s.Value * math.Pow10(s.Decimals); math.Abs(p-math.Round(p)) < 1e-6 {
			return s.String()
		}
	}
	s.Decimals = usual + 1
	return s.String()
}

// digits3 is a number with three digits.
func digits3(v float64) string {
	switch {
	case v >= 99.95:
		return si.Number(v, 0)
	case v >= 9.995:
		return si.Number(v, 1)
	}
	return si.Number(v, 2)
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
