package tui

import (
	"slices"
	"strings"

	"draghand/internal/bench"
	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// result is the figure that stands for what the pull gave.
type result struct {
	text, unit string
	what       string
}

// resultFigure is the strength, or what stands for it in this kind of pull.
func resultFigure(e *bench.Ended, u si.System) (result, bool) {
	r := &e.Results
	of := func(s si.Shown, what string) (result, bool) { return result{s.Number(), s.Unit, what}, true }
	switch {
	case r.StrengthPa != nil:
		value, unit, doubt := r.StrengthParts(u)
		if doubt == "" {
			doubt = ", uncertainty not stated"
		}
		return result{value, unit, strings.Replace("strength "+doubt, " ,", ",", 1)}, true
	case r.StrengthAtLeastPa != nil:
		s := si.Stress(*r.StrengthAtLeastPa).In(u)
		return result{s.Number(), s.Unit + " or more", "borne: " + strings.TrimSuffix(r.AtLeastWhy(), " in these readings")}, true
	case r.Hold != nil:
		what := "held for " + si.Number(float64(int(r.Hold.HeldS)), 0) + " s" // never more than was held
		switch {
		case r.Hold.AskedS == nil:
		case r.Hold.Met:
			what += ", as long as asked"
		default:
			what += ": NOT LONG ENOUGH, " + si.Number(*r.Hold.AskedS, 0) + " s asked"
		}
		return of(si.Force(r.Hold.TargetN).In(u), what)
	case r.Kind == string(pull.Crush):
		if s, what := r.Crushed(); s != nil {
			return of(si.Stress(*s).In(u), what)
		}
	}
	return result{}, false
}

// handFigure is the drag hand.
func handFigure(e *bench.Ended, u si.System) (result, bool) {
	if e.Results.Peak == nil {
		return result{}, false
	}
	s := si.Force(e.Results.Peak.SpecimenN).In(u)
	what := "▼ drag hand"
	if r := &e.Results; r.Kind == string(pull.Crush) && r.FirstYield != nil && r.Peak.StressPa != nil {
		what += ", " + si.Stress(*r.Peak.StressPa).Text(u) + " at the peak"
	}
	return result{s.Number(), s.Unit, what}, true
}

// outcomeLine is the outcome in words, as the results have it.
func outcomeLine(e *bench.Ended) string {
	for _, l := range e.Lines {
		if label, text := cutLine(l); label == "outcome" {
			return strings.ToUpper(text[:min(1, len(text))]) + text[min(1, len(text)):]
		}
	}
	if e.Results.Phase == "" {
		return "no outcome is known"
	}
	return clean(e.Results.Phase)
}

// cutLine takes a line of the results apart into its label and its text.
func cutLine(l string) (label, text string) {
	label, text, _ = strings.Cut(clean(l), " ")
	return label, strings.TrimSpace(text)
}

// notKept says that the record is not where it should be and why, in large words
// and in a sentence; empty while all is well. One that was saved elsewhere is no
// loss, and is not told as one.
func notKept(e *bench.Ended) (words, why string, k ink) {
	why = clean(e.Saved)
	switch {
	case e.Record != "" && why == "":
		return "", "", plain
	case e.Record != "":
		return "SAVED ELSEWHERE", why, warningBar
	case why == "":
		why = "no record was kept of this pull"
	}
	return "NOT SAVED", strings.TrimPrefix(why, "NOT SAVED: "), stopBar
}

// savedLine says where the record is, in w cells: its name, and its folder where
// there is room for both.
func savedLine(e *bench.Ended, w int) (string, ink) {
	if _, why, _ := notKept(e); why != "" {
		return why, stop
	}
	where := strings.TrimSuffix(strings.TrimSuffix(clean(e.Record), clean(e.Name)), "/")
	if where != "" {
		where = "in " + where
	}
	return joinFit(w, clean(e.Name), where), good
}

// lines are the results line by line in w cells: what a reader must know first.
func (m *AfterScreen) lines(w int) []benchLine {
	e := m.ended
	if e == nil {
		return nil
	}
	var out []benchLine
	say := func(label, text string, k ink) {
		for _, t := range wrap(clean(text), max(1, w-2-afterWide), 4) {
			out = append(out, benchLine{label: label, text: t, ink: k})
			label = ""
		}
	}
	if e.Source != "" {
		say("source", e.Source, warning)
	}
	if e.Override != "" {
		say("overruled", "armed all the same: "+e.Override, caution)
	}
	for _, label := range measuredLabels() {
		say(label, m.resultText(label), plain)
	}
	for _, t := range e.Remarks {
		say("remark", t, strong)
	}
	for _, t := range e.Results.Remarks {
		if !slices.Contains(e.Remarks, t) {
			say("remark", t, caution)
		}
	}
	for _, l := range e.Lines {
		switch label, text := cutLine(l); {
		case label == "", isStanding(label), slices.Contains(measuredLabels(), label):
		case slices.Contains([]string{"outcome", "record", "specimen", "remark", "said"}, label): // said elsewhere
		default:
			say(label, text, plain)
		}
	}
	if e.Reason != "" {
		say("closed", closedText(e.Reason), plain)
	}
	return out
}

// measuredLabels are the lines of what was measured on the bar, which come first.
func measuredLabels() []string { return []string{"elongation", "reduction", "fracture"} }

// closedText is why a pull was closed, to be read after that word.
func closedText(reason string) string {
	switch reason {
	case "break":
		return "at the break"
	case "let off", "faded":
		return "once the force was off"
	case "at rest":
		return "once nobody had loaded it for a minute"
	case "end of source":
		return "at the end of the source"
	case "source lost":
		return "because the source was lost"
	case "signal":
		return "because the program was asked to end"
	case "closed by the person":
		return "by the person"
	}
	return reason
}

// afterWide is the room of the labels.
const afterWide = 12

// barLines are the bars of this melt, the newest last.
func (m *AfterScreen) barLines() []benchLine {
	melt := ""
	if m.ended != nil {
		melt = m.ended.Bar.Melt
	}
	var out []benchLine
	for _, b := range m.view.Bars {
		if b.Melt != melt {
			continue
		}
		strength := clean(b.Strength)
		if strength == "" {
			strength = "–"
		}
		line := benchLine{text: cells(clean(b.Specimen), 14) + cells(strings.ReplaceAll(clean(b.Outcome), "-", " "), 12) + strength, ink: plain}
		if b.Saved != "" && b.Record == "" {
			line.text, line.ink = line.text+"   NOT SAVED", stop
		}
		out = append(out, line)
	}
	if n := len(out); n > 0 {
		out[n-1].mark = true
		if out[n-1].ink == plain {
			out[n-1].ink = strong
		}
	}
	return out
}

// leaveQuestion is what leaving asks while there is or may be load on the rig.
func (m *AfterScreen) leaveQuestion() string {
	if loaded(m.view.Look) {
		return leaveLoaded
	}
	return leaveMaybe
}

// stillLoaded says that there may be load on the rig, in words; empty: no sign of
// it.
func (m *AfterScreen) stillLoaded() string {
	switch {
	case m.view.Look != nil && watch.Loaded(m.view.Look.State.Phase):
		return "▲ LOAD ON THE RIG: release the pressure before anybody reaches in"
	case m.ended != nil && m.ended.Results.Phase == string(pull.Ended):
		return "▲ THE RIG MAY STILL BE LOADED: release the pressure before anybody reaches in"
	}
	return ""
}
