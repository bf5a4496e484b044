package compare

import (
	"fmt"

	"draghand/internal/batch"
	"draghand/internal/si"
)

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
	hardly := ""
	if len(g.Pulls) <= hardlyApart { // G cannot pass 1.1547, 2/√3, whatever the bar
		hardly = " Three bars can hardly tell."
	}
	if o.Flagged {
		if hardly != "" {
			hardly = " Three bars can hardly tell: nearly any two that are alike flag the third."
		}
		return fmt.Sprintf("CAUTION, ONE BAR APART: %s, %s, lies farther from the others than chance explains %s. %s; nothing was dropped. %s.%s", p.Bar, text(o.Value, sys), test, capital(p.look()), ApartByChance(o.Level), hardly)
	}
	return fmt.Sprintf("No bar lies apart: the farthest is %s, %s %s.%s", p.Bar, text(o.Value, sys), test, hardly)
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
