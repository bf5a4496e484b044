package tui

import (
	"fmt"
	"strings"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// clock writes a time since the record's start as minutes:seconds.
func clock(d time.Duration) string {
	s := int(max(0, d) / time.Second)
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// span of time in words: no more digits than a person can use.
func spanText(d time.Duration) string {
	switch d = max(0, d); {
	case d < time.Second:
		return fmt.Sprintf("%d ms", d.Milliseconds())
	case d < 10*time.Second:
		return fmt.Sprintf("%.1f s", d.Seconds())
	case d < 120*time.Second:
		return fmt.Sprintf("%.0f s", d.Seconds())
	}
	return clock(d) + " min"
}

// phaseText is the phase in words.
func phaseText(s *pull.State) string {
	switch s.Phase {
	case "", pull.Slack:
		return "slack, no load yet"
	case pull.PastPeak:
		return "past the peak"
	case pull.Broken:
		if s.Break != nil && s.Break.Provisional {
			return "broken?"
		}
		return "broken"
	case pull.Faded:
		return "faded, no snap"
	case pull.LetOff:
		return "let off"
	}
	return clean(string(s.Phase))
}

// loadText is "6,690 of 10,791 lbf" for a part, psi or bar where it is a
// pressure that limits.
func loadText(load, allow float64, at rig.Place, u si.System) string {
	if at == rig.AtGauge {
		return si.Pressure(load).In(u).Number() + " of " + si.Pressure(allow).Text(u)
	}
	return si.Force(load).In(u).Number() + " of " + si.Force(allow).Text(u)
}

// percent of a ratio, whole; nothing is rounded up to the limit it has not
// reached.
func percent(r float64) string {
	p := r * 100
	if r < 1 && p > 99 {
		p = 99
	}
	return si.Number(p, 0) + " %"
}

// symbol and word of an alarm level. The word is enough by itself.
func levelWord(a *pull.Alarm) string {
	switch {
	case a.Blind:
		return "■ CANNOT SEE THE FORCE"
	case a.Level == pull.Stop:
		return "■ STOP"
	case a.Level == pull.Warning:
		return "▲ WARNING"
	}
	return "△ CAUTION"
}

func levelBar(a *pull.Alarm) ink {
	switch {
	case a.Blind || a.Level == pull.Stop:
		return stopBar
	case a.Level == pull.Warning:
		return warningBar
	}
	return cautionBar
}

func levelInk(l pull.Level) ink {
	return [...]ink{live, caution, warning, stop}[min(l, pull.Stop)]
}

// alarmText is the sentence of an alarm that goes with its word. It is made
// here rather than taken from the engine so that it follows the units chosen
// on this screen.
func alarmText(a *pull.Alarm, s *pull.State, u si.System) string {
	if a.Limit == "" {
		t := clean(a.Text)
		if t == "" && a.Blind {
			t = "cannot see the force: stop pumping"
		}
		return t
	}
	load, allow := a.Load, a.Allow
	if !a.Returned {
		if l := limitOf(s, a.Limit); l != nil {
			load, allow = l.Load, l.Allowable
		}
	}
	if !(allow > 0) {
		return clean(a.Limit)
	}
	if a.Ahead && !a.Returned {
		return soonText(a, s) + " at this pace: pump more slowly or stop"
	}
	return fmt.Sprintf("%s at %s of its limit: %s", clean(a.Limit), percent(load/allow), loadText(load, allow, a.At, u))
}

// alarmBrief is what of an alarm cannot be left out beside its word: the part
// and how far it is.
func alarmBrief(a *pull.Alarm, s *pull.State) string {
	load, allow := a.Load, a.Allow
	if !a.Returned {
		if l := limitOf(s, a.Limit); l != nil {
			load, allow = l.Load, l.Allowable
		}
	}
	switch {
	case a.Limit == "" || !(allow > 0):
		return clean(a.Limit)
	case a.Ahead && !a.Returned:
		return soonText(a, s)
	}
	return clean(a.Limit) + " at " + percent(load/allow)
}

// soonText says how soon the limit of a look-ahead alarm is reached. The engine
// tells the time to the nearest limit alone.
func soonText(a *pull.Alarm, s *pull.State) string {
	nearest := s.Nearest >= 0 && s.Nearest < len(s.Limits) && s.Limits[s.Nearest].Name == a.Limit
	if !nearest || s.Lead <= 0 {
		return clean(a.Limit) + " limit soon"
	}
	return clean(a.Limit) + " limit in " + spanText(s.Lead)
}

// alarmState is what has become of an alarm since it was raised.
func (m *PullScreen) alarmState(a *pull.Alarm) string {
	var out []string
	if a.Single {
		out = append(out, "a single reading")
	}
	if a.Returned {
		out = append(out, "over now")
	}
	if m.acked(a) {
		out = append(out, "acknowledged")
	}
	return strings.Join(out, ", ")
}

func limitOf(s *pull.State, name string) *pull.Limit {
	for i := range s.Limits {
		if s.Limits[i].Name == name {
			return &s.Limits[i]
		}
	}
	return nil
}

// outcomeText says how the pull came out; empty while it goes on.
func outcomeText(s *pull.State, u si.System) string {
	if b := s.Break; b != nil && (s.Outcome == pull.Broken || s.Outcome == "" && s.Phase == pull.Broken) {
		t := fmt.Sprintf("BROKE at %s, %.2f s into the record", b.Specimen.Text(u), b.T.Seconds())
		if b.Fall > 0 {
			t += ", in " + spanText(b.Fall)
		}
		if b.Provisional {
			t += "; provisional: a slip, should the force come back"
		}
		return t
	}
	switch s.Outcome {
	case "":
		return ""
	case pull.Broken:
		return "BROKE"
	case pull.Faded:
		return "FADED: the force went down without a snap"
	case pull.LetOff:
		return "LET OFF: the force was taken off; no break was seen"
	case pull.Ended:
		return "ENDED before a break was seen"
	case pull.Unclear:
		return "UNCLEAR: the fall may be a break or a let-off; look at the specimen"
	}
	return strings.ToUpper(clean(string(s.Outcome)))
}

// recordText says whether the pull is being saved, and the ink to say it in.
func recordText(snap *watch.Snapshot) (string, ink) {
	r := &snap.Record
	name := clean(r.Name)
	lines := si.Number(float64(r.Lines), 0) + " lines"
	switch {
	case r.Failed != "" && snap.Closed:
		return "NOT SAVED: " + clean(r.Failed), stop
	case r.Failed != "":
		return "NOT SAVED: " + clean(r.Failed) + "; the pull goes on in memory", stop
	case r.Path == "":
		return "NOT SAVED: no record is kept of this pull", stop
	case r.Saved:
		return "saved as " + name + "   " + lines, good
	case snap.Closed:
		return "NOT SAVED YET: " + name + "   " + lines, warning
	case r.Synced > 2*time.Second: // the record promises 1 s
		return name + "   " + lines + "   DISK IS LATE: to " + spanText(r.Synced) + " ago", warning
	}
	return name + "   " + lines + "   on disk to " + spanText(r.Synced) + " ago", plain
}

// sourceText says how the readings come in.
func sourceText(snap *watch.Snapshot) (string, ink) {
	s, k := &snap.Source, plain
	t := clean(s.Name)
	if t == "" {
		t = "no source"
	}
	switch s.Status {
	case "live", "":
	case "lost", "silent":
		t, k = t+"   "+strings.ToUpper(clean(s.Status)), stop
	default:
		t += "   " + clean(s.Status)
	}
	st := &snap.State
	if st.Readings > 0 {
		t += "   " + si.Number(s.Rate, 0) + " readings/s   newest " + spanText(s.Age) + " ago   signal " + st.Signal.String()
	}
	for _, n := range []struct {
		n         int
		one, many string
	}{{st.Faults, "fault", "faults"}, {st.Gaps, "gap", "gaps"}, {st.BadLines, "bad line", "bad lines"}} {
		switch {
		case n.n == 1:
			t += "   1 " + n.one
		case n.n > 1:
			t += "   " + si.Number(float64(n.n), 0) + " " + n.many
		}
	}
	return t, k
}

// zeroText says which zero the figures are above.
func zeroText(s *pull.State, u si.System) string {
	z := &s.Zero
	switch {
	case z.Quality == "none":
		return "NONE: not taken before the load"
	case !z.Set && refused(s):
		return "NONE YET: refused, see above"
	case !z.Set:
		return "not yet: needs 2 quiet seconds"
	}
	how := clean(z.Quality)
	if z.Quality == "asked" {
		how = "as asked"
	}
	t := fmt.Sprintf("%s at %s, ± %s", how, clock(z.T), z.SD.Text(u))
	if refused(s) {
		t += ", kept"
	}
	return t
}

// identText says what is being pulled.
func identText(snap *watch.Snapshot, u si.System) string {
	sp := &snap.Specimen
	var parts []string
	if sp.ID != "" {
		parts = append(parts, clean(sp.ID))
	}
	if sp.Melt != "" {
		parts = append(parts, "melt "+clean(sp.Melt))
	}
	if sp.Alloy != "" {
		parts = append(parts, clean(sp.Alloy))
	}
	if d := sp.Diameter(); d > 0 {
		parts = append(parts, d.Text(u))
	}
	if len(parts) == 0 {
		parts = append(parts, "specimen not named")
	}
	if snap.RigName != "" {
		parts = append(parts, "on "+clean(snap.RigName))
	}
	return strings.Join(parts, "  ")
}
