package bench

import (
	"fmt"
	"math"
	"time"

	"draghand/internal/control"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// driftNear of the sensor's range is how far a zero may creep from pull to pull
// before it is told: less is lost in what a strength is uncertain by.
const driftNear = 0.0025

// checkText is how the check bars of the rig stand; empty without a rig.
func (m *moment) checkText() string {
	if m.rig == nil || m.history == nil {
		return ""
	}
	s := m.stock()
	if s == nil {
		return "no check bar of this rig yet"
	}
	return s.Short(time.Now()) + " (" + tidy(s.Title()) + ")"
}

// zeros are the pressures of the earlier zeros, oldest first, and of the one now; ok
// is false where there is none to compare.
func (m *moment) zeros() (were []si.Pressure, now si.Pressure, ok bool) {
	if m.rig == nil || m.history == nil || len(m.history.zeros) == 0 || m.look == nil || !m.look.State.Zero.Set {
		return nil, 0, false
	}
	chain := m.rig.Chain()
	for _, z := range m.history.zeros {
		p, _ := chain.Pressure(z.raw)
		were = append(were, p)
	}
	return were, m.look.State.Zero.Pressure, true
}

// driftText is how the zero now lies against those of earlier pulls.
func (m *moment) driftText() string {
	were, now, ok := m.zeros()
	if !ok {
		return ""
	}
	t := signed(now-were[len(were)-1], m.units) + " from the last pull"
	if len(were) > 1 {
		t += ", " + m.longDrift(now-were[0])
	}
	return t
}

// longDrift is how far the zero went over all the pulls that are known.
func (m *moment) longDrift(by si.Pressure) string {
	t := fmt.Sprintf("%s over %d pulls", signed(by, m.units), len(m.history.zeros))
	switch days := control.Days(m.history.zeros[0].at, time.Now()); days {
	case 0:
		return t + " within a day"
	case 1:
		return t + " in 1 day"
	default:
		return fmt.Sprintf("%s in %d days", t, days)
	}
}

// signed is a small pressure with its sign.
func signed(p si.Pressure, u si.System) string {
	t := fine(p, u)
	if p >= 0 {
		t = "+" + t
	}
	return t
}

// historyCautions are what earlier records say that a person should know before
// arming.
func (m *moment) historyCautions() (out []string) {
	if m.rig == nil || m.history == nil {
		return nil
	}
	if m.stockKept && m.setup.Bar.Stock != "" {
		out = append(out, fmt.Sprintf("this bar too counts as a check bar of %s, as the one before: empty %q if it is none", tidy(m.setup.Bar.Stock), label(FieldStock)))
	}
	for i := range m.history.stocks { // a newer bar of another stock excuses none
		if s := &m.history.stocks[i]; s.Warns() && s.Far == (m.setup.Bar.Side == specimen.Far) {
			out = append(out, "check bar of "+tidy(s.Title())+": "+s.Verdict()+": find out why before you trust a strength of this rig")
		}
	}
	if t := m.driftCaution(); t != "" {
		out = append(out, t)
	}
	return out
}

// calibrationCautions say that the calibration by which forces are reckoned is
// overdue, or cannot be right beside the rig file.
func (m *moment) calibrationCautions() (out []string) {
	if d, bad := m.rig.Disagrees(); bad {
		out = append(out, "the calibration and the rig file do not agree: "+d.Words()+": is it the same ram?")
	}
	c := m.rig.Calibration
	if c == nil || c.Due.IsZero() || !time.Now().After(c.Due) {
		return out
	}
	since := ""
	switch n := int(time.Since(c.Due) / (24 * time.Hour)); n {
	case 0:
	case 1:
		since = " by 1 day"
	default:
		since = fmt.Sprintf(" by %d days", n)
	}
	return append(out, "calibration overdue"+since+": hold the rig against a reference again")
}

// driftCaution says that the zero has gone far, or creeps, over several pulls. What
// moved since the last pull alone is a refusal and told there.
func (m *moment) driftCaution() string {
	were, now, ok := m.zeros()
	if !ok || len(were) < 2 {
		return ""
	}
	whole := float64(m.rig.Chain().Range())
	if _, far := m.zeroMoved(&m.look.State); far {
		return ""
	}
	by := now - were[0]
	values := make([]float64, 0, len(were)+1)
	for _, p := range were {
		values = append(values, float64(p))
	}
	move, steady := control.Trend(append(values, float64(now)))
	const next = ": a sensor that ages reads the load wrong too: hold it against a reference"
	switch {
	case math.Abs(float64(by)) > zeroNear*whole:
		return "the zero has moved by " + m.longDrift(by) + ", more than 1 % of the sensor's range" + next
	case steady && math.Abs(move) > driftNear*whole:
		return "the zero drifts steadily: " + m.longDrift(by) + next
	}
	return ""
}
