package tui

import (
	"fmt"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
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

// stillNear is the share of the drag hand above which nobody can say yet that
// the peak is behind: a pump that pauses loses a few percent.
const stillNear = 0.95

// phaseText is the phase in words.
func phaseText(s *pull.State) string {
	switch s.Phase {
	case "", pull.Slack:
		return "slack, no load yet"
	case pull.PastPeak:
		if p := s.Peak.Specimen; p > 0 && s.Live.Specimen >= stillNear*p { // a pause of the pump looks like it
			return "load held or falling"
		}
		return "past the peak"
	case pull.Holding:
		return "holding"
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

// LoadText is "6,690 of 10,791 lbf" for a part, psi or bar where it is a
// pressure that limits.
func LoadText(load, allow float64, at rig.Place, u si.System) string {
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

// alarmInk is a band for an alarm that nobody has acknowledged while it is on, and
// the same colour without one for any other: what is on and new is the loudest.
func (m *PullScreen) alarmInk(a *pull.Alarm) ink {
	switch {
	case !a.Returned && !m.acked(a):
		return levelBar(a)
	case a.Blind:
		return stop
	}
	return levelInk(a.Level)
}

func levelInk(l pull.Level) ink {
	return [...]ink{live, caution, warning, stop}[min(l, pull.Stop)]
}

func limitOf(s *pull.State, name string) *pull.Limit {
	for i := range s.Limits {
		if s.Limits[i].Name == name {
			return &s.Limits[i]
		}
	}
	return nil
}
