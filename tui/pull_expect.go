package tui

import (
	"math"

	"draghand/internal/si"
	"draghand/internal/specimen"
)

// expected is between what forces on it the specimen is expected to break; both
// are 0 where nobody said, or its section is not known.
func expected(sp *specimen.Specimen) (low, high si.Force) {
	area := float64(sp.Area())
	low, high = si.Force(float64(sp.ExpectLow)*area), si.Force(float64(sp.ExpectHigh)*area)
	if !(low > 0) || !(high >= low) || math.IsInf(float64(high), 0) {
		return 0, 0
	}
	return low, high
}

// expectedText is the range of the expected break, "7,644–8,768 lbf".
func expectedText(low, high si.Force, u si.System) string {
	a, b := low.In(u).Number(), high.Text(u)
	if a == high.In(u).Number() {
		return b
	}
	return a + "–" + b
}

// expectLine says what the band on the rails is, the expected break, and says so
// where a part reaches its stop first; empty where no break is expected. After the
// end there is nothing to say of a stop any more.
func (m *PullScreen) expectLine() (string, ink) {
	low, high := expected(&m.snap.Specimen)
	if high == 0 {
		return "", plain
	}
	s := &m.snap.State
	text := "expected break " + expectedText(low, high, m.units)
	first := m.snap.Stop
	switch {
	case first == nil || s.Outcome != "" || high < first.Specimen:
		return text, hand
	case low < first.Specimen:
		return text + " may be past the stop of " + clean(first.Part), caution
	}
	return text + " is past the stop of " + clean(first.Part), caution
}

// drawExpect draws a piece of the band and what it is.
func drawExpect(p *plate, x, y, w int, text string, k ink) {
	p.set(x, y, bandOpen, hand)
	p.text(x+2, y, w-2, text, k)
}
