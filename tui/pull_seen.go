package tui

import (
	"fmt"
	"strings"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
)

// seenLine is a line that is there only when there is something to say.
type seenLine struct {
	label, text string
	ink         ink
}

// seenLines are a proof being held, what the bar did under load, the strokes of
// the pump and the engine's remark, on a screen w wide.
func (m *PullScreen) seenLines(w int) []seenLine {
	s := &m.snap.State
	var out []seenLine
	if t := m.holdLine(w - 13); t != "" {
		out = append(out, seenLine{"hold", t, strong})
	}
	if t := m.seenText(w - 13); t != "" {
		out = append(out, seenLine{"seen", t, plain})
	}
	if t := m.strokesText(w - 13); t != "" {
		out = append(out, seenLine{"pump", t, plain})
	}
	if m.snap.Remark != "" && s.Outcome == "" {
		label := "remark"
		text := clean(m.snap.Remark)
		lines := wrap(text, w-13, 2)
		if n := len(lines); n > 0 && strings.HasSuffix(lines[n-1], "…") { // to the very edge the longest just fits
			lines = wrap(text, w-11, 2)
		}
		for _, l := range lines {
			out = append(out, seenLine{label, l, caution})
			label = ""
		}
	}
	return out
}

func (m *PullScreen) drawSeen(p *plate, y int, lines []seenLine) int {
	for _, l := range lines {
		p.text(2, y, 8, l.label, faint)
		p.text(11, y, p.w-11, l.text, l.ink)
		y++
	}
	return y
}

// holdLine says what a proof is to hold, and how it is held.
func (m *PullScreen) holdLine(w int) string {
	s := &m.snap.State
	if s.Kind != pull.Proof || s.Outcome != "" {
		return ""
	}
	if h := s.Hold; h != nil && s.Phase == pull.Holding {
		if h.Met {
			return joinFit(w, "HELD "+spanText(h.For)+": let off slowly", "lowest "+h.Lowest.Text(m.units))
		}
		return HoldText(h, m.snap.Proof.Hold, m.units)
	}
	proof := m.snap.Proof
	switch {
	case proof.Target <= 0 && proof.Hold <= 0:
		return ""
	case proof.Target <= 0:
		return "for " + spanText(proof.Hold)
	case proof.Hold <= 0:
		return proof.Target.Text(m.units)
	}
	return proof.Target.Text(m.units) + " for " + spanText(proof.Hold)
}

// HoldText says how a proof is held so far: "holding 4,496 lbf, 12 s of 60 s,
// lowest 4,402 lbf"; asked is for how long, 0: not asked.
func HoldText(h *pull.Hold, asked time.Duration, u si.System) string {
	t := "holding " + h.Force.Text(u) + ", " + wholeSeconds(h.For)
	if asked > 0 {
		t += " of " + wholeSeconds(asked)
	}
	return t + ", lowest " + h.Lowest.Text(u)
}

// wholeSeconds counts a hold: never more than was held.
func wholeSeconds(d time.Duration) string { return fmt.Sprintf("%d s", int(d/time.Second)) }

// seenText is what the bar did under load, in w cells.
func (m *PullScreen) seenText(w int) string {
	s := &m.snap.State
	var parts []string
	if y := s.Yield; y != nil {
		upper, lower := y.Upper.Specimen.Text(m.units), y.Lower.Specimen.Text(m.units)
		if y.Upper.Stress != 0 {
			upper, lower = y.Upper.Stress.Text(m.units), y.Lower.Stress.Text(m.units)
		}
		parts = append(parts, "upper yield "+upper+" at "+clock(y.Upper.T)+", then down to "+lower)
	}
	if s.Slips > 0 {
		one, many := "slip", "slips"
		if s.Kind == pull.Crush { // a block cracks or shifts; nobody sees which
			one, many = "sudden fall", "sudden falls"
		}
		parts = append(parts, counted(int64(s.Slips), one, many))
	}
	if len(parts) == 0 {
		return ""
	}
	return joinFit(w, parts...)
}

// resultText is what is known of the result before anything is measured, in w
// cells.
func (m *PullScreen) resultText(w int) string {
	s := &m.snap.State
	peak := "peak " + s.Peak.Specimen.Text(m.units) + " at " + clock(s.Peak.T)
	parts := []string{peak}
	switch {
	case s.Kind == pull.Proof && s.Hold != nil:
		h := s.Hold
		t := "held " + h.Force.Text(m.units) + " for " + wholeSeconds(h.For)
		switch asked := m.snap.Proof.Hold > 0; {
		case asked && h.Met:
			t += ", " + wholeSeconds(m.snap.Proof.Hold) + " asked"
		case asked:
			t = "NOT HELD LONG ENOUGH: " + wholeSeconds(h.For) + " of " + wholeSeconds(m.snap.Proof.Hold)
		}
		parts = []string{t, "lowest " + h.Lowest.Text(m.units), peak}
	case s.Kind == pull.Proof:
		parts = []string{"the force was not held", peak}
	case !(s.Peak.Stress > 0):
	case s.Kind == pull.Crush:
		parts = []string{"stress " + s.Peak.Stress.Text(m.units) + " on the block at the peak", peak}
	case s.Outcome == pull.Broken || s.Outcome == pull.Faded:
		word := "strength so far "
		if m.snap.Closed || m.over { // nothing comes after it
			word = "strength "
		}
		parts = []string{word + s.Peak.Stress.Text(m.units), peak}
	default:
		parts = []string{"strength at least " + s.Peak.Stress.Text(m.units), peak}
	}
	if s.Zero.HasReturn {
		parts = append(parts, "zero came back to "+s.Zero.Return.Text(m.units))
	}
	return joinFit(w, parts...)
}
