package plan

import (
	"fmt"
	"strings"

	"draghand/internal/si"
)

// Advice is what to turn, or that nothing can be pulled here, in words.
type Advice struct {
	Verdict Verdict `json:"verdict"` // of the size taken; No: none can be
	Take    string  `json:"take"`    // name of the size; empty: none
	Own     bool    `json:"own"`     // it is the own one
	Text    string  `json:"text"`
	Change  string  `json:"change,omitempty"` // what would have to be otherwise for it to be good
	// Always are words that hold whatever the size.
	Always []string `json:"always"`
}

// advise chooses: the largest good standard size, else the own one if it is
// good, else the usable one of which the strength would be surest.
func (k *reckoner) advise(p *Plan) Advice {
	out := Advice{Verdict: No, Always: []string{}}
	if n := len(p.Unknown); n > 0 {
		it := "it stands"
		if n > 1 {
			it = "they stand"
		}
		out.Always = append(out.Always, "no known limit: "+strings.Join(p.Unknown, ", ")+". Nothing here says that "+it+" this")
	}
	if p.Part != nil && p.Part.SensorEnd && k.limit {
		out.Always = append(out.Always, "the sensor's range ends before any part comes to its stop")
	}
	if k.rig.Ram.Stroke > 0 && !(k.elong > 0) {
		out.Always = append(out.Always, "how far this metal stretches is not known: the ram's stroke is held against the rig's springing alone")
	}
	if w := k.rig.Path; w.Bearing == "flat" {
		out.Always = append(out.Always, "the bar bears flat on the ram: fit a half-round or a ball seat, and the share is surer")
	}
	if !k.limit { // the size that reads best is the one that loads the rig most
		out.Text = "no: no part of this rig has a known limit, so nobody can say which size it stands"
		out.Change = "find out what somebody stands for: the ram's rating, a maker's figure, a proof load held; draghand rig check says how"
		return out
	}
	take := k.best(p)
	if take == nil {
		out.Text, out.Change = k.clearNo(p)
		return out
	}
	out.Verdict, out.Take, out.Own = take.Verdict, take.Name, take.Own
	out.Text = k.takeText(take, p.Own)
	if take.Verdict != Good {
		out.Change = k.change(take)
	}
	return out
}

// best is the size to take; nil where none can be.
func (k *reckoner) best(p *Plan) *Size {
	for i := range p.Sizes {
		if p.Sizes[i].Verdict == Good {
			return &p.Sizes[i]
		}
	}
	if p.Own != nil && p.Own.Verdict == Good {
		return p.Own
	}
	var best *Size
	try := func(s *Size) {
		if s.Verdict == Usable && (best == nil || s.keeps(k.part) && !best.keeps(k.part) ||
			s.keeps(k.part) == best.keeps(k.part) && s.Budget.Expanded < best.Budget.Expanded) {
			best = s
		}
	}
	for i := range p.Sizes {
		try(&p.Sizes[i])
	}
	if p.Own != nil {
		try(p.Own)
	}
	return best
}

// keeps says that the strongest bar raises no warning.
func (s *Size) keeps(p *Part) bool { return p == nil || s.Upper.Specimen <= p.WarningLeast }

// surer of an uncertainty is where another size is worth a word.
const surer = 0.9

// takeText is what to turn, and why.
func (k *reckoner) takeText(s, own *Size) string {
	kind := ""
	if s.Own {
		kind = ", no standard's size"
	}
	t := fmt.Sprintf("turn %s round%s: it breaks at %s on the specimen, %s at the gauge",
		s.Name, kind, between(s.Low.Specimen, s.High.Specimen, k.sys), between(s.Low.Gauge, s.High.Gauge, k.sys))
	if s.Part != "" {
		t += fmt.Sprintf(". First to its stop is %s, at %s on the specimen%s: the strongest specimen stays %s %% below that", s.Part, k.part.Stop.Specimen.Text(k.sys), k.part.early(", it may be as early as ", k.sys), si.Number(100*s.Margin, 0))
	}
	if o := own; o != nil && !s.Own && o.Verdict == Good && o.Budget.Expanded < surer*s.Budget.Expanded {
		t += fmt.Sprintf(". No standard's size, %s round would be surer: ± %s %%, not ± %s %%", o.Name, si.Number(100*o.Budget.Expanded, 1), si.Number(100*s.Budget.Expanded, 1))
	}
	if s.Verdict == Usable {
		t += ". Usable, not good: " + strings.Join(s.Why, "; ")
	}
	return t
}

// shown is a quantity that has a text in the units of display.
type shown interface {
	In(si.System) si.Shown
}

// between is a range of a quantity, "33.1–41.4 kN".
func between[Q shown](low, high Q, sys si.System) string {
	a, b := low.In(sys), high.In(sys)
	if a.Number() == b.Number() {
		return b.String()
	}
	return a.Number() + "–" + b.String()
}

// change is what would make a usable size a good one.
func (k *reckoner) change(s *Size) string {
	var out []string
	if !s.keeps(k.part) {
		out = append(out, k.stronger(s))
	}
	if need := s.Pace.Advance + s.Pace.Stretch; k.rig.Ram.Stroke > 0 && need > k.rig.Ram.Stroke {
		out = append(out, "a ram whose stroke is longer than "+need.Text(k.sys))
	}
	switch {
	case s.UseLow < readFrom && s.Low.Gauge > 0:
		out = append(out, fmt.Sprintf("a gauge whose range ends between %s and %s", (s.Upper.Gauge/0.9).Text(k.sys), (s.Low.Gauge/readFrom).Text(k.sys)))
	case s.Budget.Expanded > sureTo:
		out = append(out, "see to the "+s.Budget.Shares[0].Of+", which is "+si.Number(100*s.Budget.Shares[0].Fraction, 0)+" % of the doubt")
	}
	return strings.Join(out, "; ")
}

// stronger is what the part that comes first would have to stand for a size.
func (k *reckoner) stronger(s *Size) string {
	p := k.part
	if !(p.WarningLeast > 0) {
		return p.Name + " is past its limit without any bar"
	}
	if p.SensorEnd {
		return fmt.Sprintf("a gauge that reads to %s", (p.Stop.Gauge * si.Pressure(s.Upper.Specimen/p.WarningLeast)).Text(k.sys))
	}
	need := p.Allowable * float64(s.Upper.Specimen/p.WarningLeast)
	if p.At == "gauge" {
		return fmt.Sprintf("%s that stands %s, not %s", p.Name, si.Pressure(need).Text(k.sys), si.Pressure(p.Allowable).Text(k.sys))
	}
	return fmt.Sprintf("%s that may carry %s, not %s", p.Name, si.Force(need).Text(k.sys), si.Force(p.Allowable).Text(k.sys))
}

// clearNo says that nothing can be pulled here, and what to change.
func (k *reckoner) clearNo(p *Plan) (text, change string) {
	if len(p.Sizes) == 0 || k.part == nil {
		return "no: there is no size to look at", ""
	}
	least := &p.Sizes[len(p.Sizes)-1]
	text = fmt.Sprintf("no: even %s round, the smallest, would take %s, and %s", least.Name, least.Upper.Specimen.Text(k.sys), least.Why[0])
	if !(least.Upper.Specimen < k.part.StopLeast) {
		change = k.stronger(least)
	}
	return text, change
}
