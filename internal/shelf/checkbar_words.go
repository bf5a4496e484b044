package shelf

import (
	"fmt"
	"strings"
	"time"

	"draghand/internal/control"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// Title names a chart: the stock, and what tells it from others of that name.
func (s *Stock) Title() string {
	t := s.Name
	if s.Far {
		t += ", far side"
	}
	if s.ByEye {
		t += ", by eye"
	}
	if s.Simulated {
		t += ", simulated"
	}
	return t
}

// ago is how long a day is past.
func ago(at, now time.Time) string {
	switch n := control.Days(at, now); n {
	case 0:
		if at.Local().Format(time.DateOnly) != now.Local().Format(time.DateOnly) {
			return "yesterday"
		}
		return "today"
	case 1:
		return "1 day ago"
	default:
		return fmt.Sprintf("%d days ago", n)
	}
}

// off is a fraction as a signed percentage.
func off(f float64) string {
	t := fmt.Sprintf("%+.1f %%", 100*f)
	return strings.Replace(t, "-0.0", "+0.0", 1)
}

// Short is how the newest bar stands, on one line: "last check bar 9 days ago, +1.8
// %, in control".
func (s *Stock) Short(now time.Time) string {
	n := s.Chart.Newest()
	if n == nil {
		return "no check bar counts yet: " + count(len(s.Left), "was", "were") + " left out"
	}
	t := "last check bar " + ago(n.At, now)
	if n.By.Mean > 0 {
		t += ", " + off(n.Off)
	}
	return t + ", " + s.Verdict()
}

func count(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// Verdict is what the chart says of the newest bar, in few words; empty without
// one.
func (s *Stock) Verdict() string {
	n := s.Chart.Newest()
	if n == nil {
		return ""
	}
	side := "above"
	if n.Value < n.By.Mean {
		side = "below"
	}
	switch n.State {
	case control.In:
		return "in control"
	case control.Beyond:
		return "OUT OF CONTROL: beyond the limits, " + side
	case control.Run:
		return fmt.Sprintf("OUT OF CONTROL: %d in a row %s the mean", n.Row, side)
	}
	t := noLimits(s.Chart.Next)
	if n.Stretch > 0 {
		t += " since the change"
		if n.AcrossZ != 0 {
			where := "within"
			if n.AcrossBeyond() {
				where = "BEYOND"
			}
			t += fmt.Sprintf("; %s against the bars before it, %s their limits", off(n.Across), where)
		}
	}
	return t
}

// noLimits says why a bar was not judged, by what the next will be judged by.
func noLimits(next control.Limits) string {
	switch {
	case next.Bars < control.Least:
		return fmt.Sprintf("no limits yet: %d of %d bars", next.Bars, control.Least)
	case next.Known():
		return fmt.Sprintf("no limits yet: the next bar is judged by these %d", next.Bars)
	}
	return "no limits: all bars so far are equal, as no real ones are"
}

// Warns says that the newest bar asks for a look at the rig.
func (s *Stock) Warns() bool {
	n := s.Chart.Newest()
	return n != nil && (n.State.Out() || n.AcrossBeyond())
}

// Look is what to look at where the newest bar is out of control, the first thing
// first; nothing where it is not.
func (s *Stock) Look() []string {
	if !s.Warns() {
		return nil
	}
	n := s.Chart.Newest()
	high := n.Value > n.By.Mean
	if !n.State.Out() {
		high = n.AcrossZ > 0
	}
	pushed, reads := s.role != rig.ActuatorRam, "sensor" // pushed in by the press
	if s.ByEye {
		reads = "dial gauge"
	}
	out := []string{s.firstAdvice()}
	if n.AcrossBeyond() && !n.State.Out() {
		out = append(out, "what was changed ("+s.lastChange()+"): see that the rig file is right")
	}
	if high {
		out = append(out,
			reads+": reads high, or zero taken too low: hold to a reference",
			"share: the ram or its bearing has moved away from the bar",
		)
		if pushed {
			out = append(out, "friction: less than the rig file says")
		} else {
			out = append(out, "friction: more than the rig file says, a dry or swollen seal")
		}
		out = append(out, "ram area: stated larger than it is")
	} else {
		out = append(out,
			reads+": reads low, or zero taken under load: hold to a reference",
			"share: the ram or its bearing has moved towards the bar",
		)
		if pushed {
			out = append(out, "friction: more than the rig file says, a dry or swollen seal",
				"leak: oil past the seal, or the ram on its stop: force unseen")
		} else {
			out = append(out, "friction: less than the rig file says")
		}
		out = append(out, "ram area: stated smaller than it is; the bar: a notch or a bend")
	}
	if n.State == control.Run {
		out = append(out, "what creeps: the "+reads+"'s gain, a wearing seal, a bedding bearing")
	}
	return out
}

// firstAdvice is what to do first, by what is seen: one bar may lie out by chance,
// several in a row hardly do.
func (s *Stock) firstAdvice() string {
	n := s.Chart.Newest()
	if n.State == control.Run {
		return fmt.Sprintf("first: believe it: %d in a row on one side are hardly chance", n.Row)
	}
	beyond := 0
	for i := len(s.Chart.Points) - 1; i >= 0; i-- {
		p := &s.Chart.Points[i]
		if p.State != control.Beyond && !p.AcrossBeyond() {
			break
		}
		beyond++
	}
	if beyond > 1 {
		return fmt.Sprintf("first: believe it: %d beyond in a row are hardly chance", beyond)
	}
	return "first: pull another; of good bars a few in 100 lie out by chance"
}

// lastChange is the newest change of the rig on the chart.
func (s *Stock) lastChange() string {
	for i := len(s.Chart.Points) - 1; i >= 0; i-- {
		if p := &s.Chart.Points[i]; p.Change != "" && p.Stretch > 0 {
			return p.Change
		}
	}
	return ""
}

// Word is the state of a bar in a word or two.
func Word(j *control.Judged) string {
	switch j.State {
	case control.In:
		return "in control"
	case control.Beyond:
		return "BEYOND"
	case control.Run:
		return fmt.Sprintf("%d IN A ROW", j.Row)
	}
	if j.AcrossBeyond() {
		return "BEYOND those before the change"
	}
	return "no limits yet"
}

// Bar is the record of a bar of the chart; nil where it has none.
func (s *Stock) Bar(record string) *Entry { return s.bars[record] }

// barName is melt and number of a bar.
func (s *Stock) barName(record string) string {
	e := s.bars[record]
	if e == nil {
		return ""
	}
	return strings.Trim(strings.Join(strings.Fields(e.Specimen.Melt), " ")+"-"+strings.Join(strings.Fields(e.Specimen.ID), " "), "-")
}

// stripWide is the width of the strip of a bar in words, odd: the mean is in its
// middle; stripReach is what it shows to either side, in s.
const (
	stripWide  = 33
	stripReach = 4.0
)

// strip draws a bar between the limits that it was judged by; blanks without any.
func strip(j *control.Judged) string {
	b := []byte(strings.Repeat(" ", stripWide))
	if !j.By.Known() {
		return string(b)
	}
	mid := stripWide / 2
	at := func(z float64) int {
		z = max(-stripReach, min(z, stripReach))
		return mid + int(z*float64(mid)/stripReach+0.5*sign(z))
	}
	b[mid], b[at(-control.Wide)], b[at(control.Wide)] = '|', ':', ':'
	mark := byte('o')
	if j.State.Out() {
		mark = 'X'
	}
	b[at(j.Z)] = mark
	return string(b)
}

func sign(v float64) float64 {
	if v < 0 {
		return -1
	}
	return 1
}

// Lines is the chart in words and letters: a bar a line, its limits, how the newest
// stands and what to look at.
func (s *Stock) Lines(sys si.System, now time.Time) []string {
	out := []string{"check bars of " + s.Title() + ", on " + s.Rig}
	stretch := 0
	if len(s.Chart.Points) > 0 {
		out = append(out, fmt.Sprintf("%-12s %-12s %-12s %8s  %-*s  %s", "pulled", "bar", "strength", "off mean", stripWide, strings.TrimRight(centred("-3 SD", "mean", "+3 SD"), " "), "says"))
	}
	for i := range s.Chart.Points {
		p := &s.Chart.Points[i]
		if p.Stretch != stretch {
			stretch = p.Stretch
			out = append(out, "---- changed: "+p.Change+"; the bars after it have limits of their own")
		}
		dev := ""
		if p.By.Mean > 0 {
			dev = off(p.Off)
		}
		out = append(out, fmt.Sprintf("%-12s %-12s %-12s %8s  %s  %s", p.At.Local().Format("2006-01-02"), cutTo(s.barName(p.Record), 12), si.Stress(p.Value).Text(sys), dev, strip(p), Word(p)))
	}
	for _, l := range s.Left {
		out = append(out, fmt.Sprintf("left out: %s, %s: %s", l.At.Local().Format("2006-01-02"), l.Record, l.Why))
	}
	if l := s.Chart.Shown(); l.Known() {
		out = append(out, fmt.Sprintf("mean %s, limits %s to %s, from %s", si.Stress(l.Mean).Text(sys), si.Stress(l.Low()).Text(sys), si.Stress(l.High()).Text(sys), count(l.Bars, "bar", "bars")))
	}
	out = append(out, s.Short(now))
	for i, t := range s.Look() {
		if i == 0 {
			out = append(out, "look at, in this order:")
		}
		out = append(out, "  "+t)
	}
	return out
}

// centred are the words over a strip.
func centred(low, mid, high string) string {
	b := []byte(strings.Repeat(" ", stripWide))
	m := stripWide / 2
	for _, w := range []struct {
		at int
		t  string
	}{{m - m*control.Wide/int(stripReach), low}, {m, mid}, {m + m*control.Wide/int(stripReach), high}} {
		copy(b[max(0, w.at-len(w.t)/2):], w.t)
	}
	return string(b)
}

// cutTo is a name of at most n letters.
func cutTo(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return string(r[:n-1]) + "…"
}
