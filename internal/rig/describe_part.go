package rig

import (
	"strings"

	"draghand/internal/part"
	"draghand/internal/si"
)

// part tells a computed limit: what it was taken as, every mode with the
// governing one marked, and where each figure is from.
func (w *page) part(b Bound) {
	l := b.Limit
	if l.Part == nil {
		return
	}
	w.wrapped("  ", l.Part.Words(w.sys))
	w.wrapped("  ", "strengths: "+l.Part.StrengthFrom)
	w.wrapped("  ", l.FactorWords())
	_, governs := part.Weakest(l.Modes)
	for i, m := range l.Modes {
		mark := ""
		if i == governs {
			mark = "  <- governs"
		}
		w.line("  " + pad(m.Name, 34) + " " + m.Capacity.Text(w.sys) + mark)
		w.wrapped("      ", m.Formula+", with the "+m.StrengthOf+" of "+m.Strength.Text(w.sys))
		w.wrapped("      ", "("+m.Source+")")
	}
	if l.Part.Plate != nil {
		at := l.Part.Plate.Stresses(si.Force(b.Allowable))
		w.wrapped("  ", "mean stresses at the allowable: "+at.Bearing.Text(w.sys)+" in bearing, "+at.Net.Text(w.sys)+" beside the hole, "+at.TearOut.Text(w.sys)+" beyond it over R − Dh/2")
	}
	if l.Part.Bar != nil && l.Part.Bar.Modulus > 0 {
		w.line("  bends " + fine(l.Part.Bar.Deflection(si.Force(b.Allowable)).In(w.sys)) + " at the allowable")
	}
}

// proven tells a limit that a proof load gave.
func (w *page) proven(l Limit) {
	p := l.Proof
	if p == nil {
		return
	}
	w.wrapped("  ", "rated at "+trim(p.Fraction)+" of a proof load of "+p.Force.Text(w.sys)+" on "+p.Date+
		"; bow "+fine(p.Before.In(w.sys))+" before, "+fine(p.After.In(w.sys))+" after")
	if p.Record != "" {
		w.line("  record of the proof: " + p.Record)
	}
}

// offerProof says how an unknown part becomes a rated one.
func (w *page) offerProof(r *Rig) {
	var parts []string
	for _, l := range r.Limits {
		// A ram, hose or fitting is proven by whoever rates it, with no oil of ours.
		if l.Kind == Unknown && l.At != AtGauge && !strings.EqualFold(strings.TrimSpace(l.Name), ramLimit) {
			parts = append(parts, l.Name)
		}
	}
	if len(parts) == 0 {
		return
	}
	w.head("an unknown part: measure it, or prove it")
	w.wrapped("", "Where the part can be measured and its metal's minimum strength is known, state it as pin, bar, plate, weld or thread (docs/parts.md). Else a proof load with a steel dummy makes a rated limit of it. This is for each of: "+strings.Join(parts, "; ")+".")
	w.wrapped("", "DANGER: a proof load is meant to be more than the part has ever carried. If it fails it lets go at once and throws pieces. Guard up, face covered, nobody in line with the pull or the pins, nobody else in the room.")
	first := "1. Choose the load: twice the largest force the part is to carry, and no more than every other limit allows"
	if near := r.Nearest(); len(near) > 0 {
		first += " (" + near[0].Limit.Name + " first, at " + near[0].PressureAt(r.Alarm.Stop).Text(w.sys) + " gauge)"
	}
	for _, s := range []string{
		first + ".",
		"2. In the specimen's place put a steel dummy that carries at least twice that load and its pins or threads with it: it must not be what breaks.",
		"3. Look for cracks, nicks and worn holes; a part that has any is scrap, not to be proven. Measure the bow against a straightedge with feeler leaves (pins: roll them on a flat plate). Write it down.",
		"4. draghand watch --kind proof --target FORCE --hold 60s: up slowly, stop at any sound or any fall of the gauge, hold for a minute without going near, let off.",
		"5. With the load off, measure the bow again in the same place. If it grew by more than 0.05 mm, or a hole is longer, the part has given: scrap it.",
		`6. In the rig file write kind = "rated", at, and ` + strings.Replace(wantProof, ` }`, `, record = "NAME OF THE RECORD" }`, 1) + ". The force is the least that this very part can have carried: --target is on the specimen, so work it out for the part's place, less what area, friction and share may be off. The limit is then that fraction of it.",
		"7. It holds for this part as it is. Prove it again after any change or blow, and by the calendar: a proof does not see fatigue.",
	} {
		w.wrapped("", s)
	}
}

// wrapped writes a text in lines of at most lineWidth, each with the indent.
func (w *page) wrapped(indent, text string) {
	const lineWidth = 96
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && len([]rune(line))+1+len([]rune(word)) > lineWidth-len(indent) {
			w.line(indent + line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	if line != "" {
		w.line(indent + line)
	}
}
