package tui

import (
	"fmt"
	"strings"

	"draghand/internal/pull"
)

// alarmTexts are an alarm with its word and with what has become of it, in ever
// fewer words. They are made here rather than taken from the engine so that they
// follow the units chosen on this screen.
func (m *PullScreen) alarmTexts(a *pull.Alarm) []string {
	word, is := levelWord(a), m.alarmState(a)
	var out []string
	say := func(sep, t string) {
		if t != "" {
			t = sep + t
		}
		if is != "" {
			t += ", " + is
		}
		out = append(out, word+t)
	}
	if a.Limit != "" || !a.Blind {
		say("   ", m.alarmText(a))
		say("  ", m.alarmBrief(a))
		return out
	}
	cause := m.blindCause(a)
	brief, _, _ := strings.Cut(cause, " though ")
	if !a.Returned {
		say(": ", strings.TrimPrefix(cause+": stop pumping", ": "))
		say(": ", strings.TrimPrefix(brief+": stop pumping", ": "))
	}
	say(": ", cause)
	say(": ", brief)
	say("", "")
	return out
}

// blindCause is why the force cannot be seen: the part of the engine's sentence
// in brackets, or else the signal.
func (m *PullScreen) blindCause(a *pull.Alarm) string {
	t := clean(a.Text)
	if from, to := strings.IndexByte(t, '('), strings.LastIndexByte(t, ')'); from >= 0 && from < to {
		return t[from+1 : to]
	}
	if s := &m.snap.State; !a.Returned && !s.Signal.Valid() {
		return s.Signal.String()
	}
	return ""
}

// alarmText is the sentence of an alarm that goes with its word: the part and
// its load now, or what the load was where it is not that any more.
func (m *PullScreen) alarmText(a *pull.Alarm) string {
	if a.Limit == "" {
		return clean(a.Text)
	}
	name := clean(a.Limit)
	load, allow, past := m.alarmLoad(a)
	if !(allow > 0) {
		return name
	}
	loads := LoadText(load, allow, a.At, m.units)
	switch {
	case m.aheadNow(a):
		return m.soonText(a) + " at this pace: pump more slowly or stop"
	case a.Ahead:
		return name + " limit came near"
	case a.Single:
		return fmt.Sprintf("%s was at %s: %s, one reading only", name, percent(load/allow), loads)
	case past:
		return fmt.Sprintf("%s was at %s: %s", name, percent(load/allow), loads)
	}
	return fmt.Sprintf("%s at %s of its limit: %s", name, percent(load/allow), loads)
}

// alarmBrief is what of an alarm cannot be left out beside its word: the part
// and how far it is.
func (m *PullScreen) alarmBrief(a *pull.Alarm) string {
	name := clean(a.Limit)
	load, allow, past := m.alarmLoad(a)
	switch {
	case a.Limit == "" || !(allow > 0):
		return name
	case m.aheadNow(a):
		return m.soonText(a)
	case a.Ahead:
		return name + " limit came near"
	case past:
		name += " was"
	}
	return name + " at " + percent(load/allow)
}

// alarmLoad is the load an alarm is to be shown with: that of its limit now, or
// what it was. A single reading, an alarm that is over and one whose load has
// come down are shown with the load that raised them: the load now is not what
// they are about. A load that is not seen any more is the last one seen.
func (m *PullScreen) alarmLoad(a *pull.Alarm) (load, allow float64, past bool) {
	s := &m.snap.State
	l := limitOf(s, a.Limit)
	if a.Returned || a.Single || l == nil {
		return highest(s, l, a), a.Allow, a.Returned || a.Single
	}
	if s.Seen && !a.Ahead && l.Ratio < keeps*m.levelRatio(a.Level) {
		return highest(s, l, a), a.Allow, true
	}
	return l.Load, l.Allowable, !s.Seen
}

// highest is the highest load since an alarm was raised, not the one that raised
// it: somebody decides by it whether the part is used again. A lone reading
// stays what it was.
func highest(s *pull.State, l *pull.Limit, a *pull.Alarm) float64 {
	if l == nil || a.Single || s.Peak.T < a.Raised {
		return a.Load
	}
	return max(a.Load, l.PeakRatio*l.Allowable)
}

// keeps is how much of its level a load may lose before its alarm is about to be
// over. It is the engine's, which waits for half a second beside.
const keeps = 0.97

// levelRatio is the load ratio of a level on this rig.
func (m *PullScreen) levelRatio(l pull.Level) float64 {
	switch l {
	case pull.Caution:
		return m.snap.Levels.Caution
	case pull.Warning:
		return m.snap.Levels.Warning
	}
	return m.snap.Levels.Stop
}

// aheadNow says that the limit of an alarm is still coming nearer, as far as can
// be seen.
func (m *PullScreen) aheadNow(a *pull.Alarm) bool {
	s := &m.snap.State
	return a.Ahead && !a.Returned && s.Seen && s.Outcome == "" && s.Phase != pull.Broken
}

// soonText says how soon the limit of a look-ahead alarm is reached. The engine
// tells the time to the nearest limit alone.
func (m *PullScreen) soonText(a *pull.Alarm) string {
	s := &m.snap.State
	nearest := s.Nearest >= 0 && s.Nearest < len(s.Limits) && s.Limits[s.Nearest].Name == a.Limit
	if !nearest || s.Lead <= 0 {
		return clean(a.Limit) + " limit soon"
	}
	return clean(a.Limit) + " limit in " + spanText(s.Lead)
}

// seenAgain is what has become of a force that could not be seen.
const seenAgain = "the force is seen again"

// alarmState is what has become of an alarm since it was raised.
func (m *PullScreen) alarmState(a *pull.Alarm) string {
	var out []string
	switch {
	case a.Returned && a.Blind:
		out = append(out, seenAgain)
	case a.Returned:
		out = append(out, "no longer")
	}
	if m.acked(a) {
		out = append(out, "acknowledged")
	}
	return strings.Join(out, ", ")
}
