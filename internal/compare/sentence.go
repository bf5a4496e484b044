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
		t := fmt.Sprintf(". %s: of %d the factor k is %s and not %s", c.first(g, "pull more bars"), n, si.Number(k, 2), si.Number(c.Bound.K, 2))
		if at := g.Strength.Mean - k*float64(c.Bound.SD) - float64(c.Common); at > 0 {
			t += fmt.Sprintf(", which would give about %s with this mean and scatter", text(at, sys))
		}
		return t
	}
	return ""
}

// first is advice at the begin of a sentence, after a look at the bar that lies apart where
// one does: what it has may be why.
func (c *CountOn) first(g *Group, advice string) string {
	if o := g.Outlier; o != nil && o.Flagged {
		p := &g.Pulls[o.Index]
		said := ""
		if len(p.Seen) > 0 {
			said = ", of whose break its record says " + list(p.Seen)
		}
		return "Look first at " + p.Bar + ", which lies apart" + said + "; then " + advice
	}
	return capital(advice)
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
