package tui

import (
	"fmt"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// strokesFrom is the load ratio of the nearest limit from which on it is told
// how many strokes are left: the lead time's own.
const strokesFrom = 0.5

// mostStrokes is the most that is told: what is farther is not about to happen.
const mostStrokes = 50

// strokesLeft is how many whole strokes of the newest gain fit below the stop of
// the nearest limit; false where that cannot be said. They are counted from the
// drag hand, the crest of the newest stroke, unless the load has come down by more
// than a tenth since. It is rounded down: told too few errs to the safe side.
func strokesLeft(s *pull.State, levels rig.Alarm) (n int, l *pull.Limit, ok bool) {
	if s.Nearest < 0 || s.Nearest >= len(s.Limits) || s.Phase != pull.Loading || s.Outcome != "" ||
		!s.Seen || s.Strokes.Giving || !(s.Strokes.Gain > 0) {
		return 0, nil, false
	}
	l = &s.Limits[s.Nearest]
	at := l.AtForce * si.Force(levels.Stop)
	if !(l.Ratio > strokesFrom) || l.Ratio >= levels.Stop || !(at > 0) {
		return 0, nil, false
	}
	from := s.Live.Specimen
	if crest := s.Peak.Specimen; from > 0.9*crest {
		from = max(from, crest)
	}
	left := float64((at - from) / s.Strokes.Gain)
	if !(left < mostStrokes) { // a NaN as well
		return 0, nil, false
	}
	return int(max(0, left)), l, true
}

// strokesText is what the strokes of the pump do, in w cells; empty where there
// are none.
func (m *PullScreen) strokesText(w int) string {
	s := &m.snap.State
	if s.Strokes.Count <= 0 || s.Outcome != "" {
		return ""
	}
	parts := []string{counted(int64(s.Strokes.Count), "stroke", "strokes")}
	if g := s.Strokes.Gain; g > 0 {
		t := "each gains " + g.Text(m.units)
		if s.Strokes.Giving {
			t += ", at best " + s.Strokes.Best.Text(m.units)
		}
		parts = append(parts, t)
	}
	if n, l, ok := strokesLeft(s, m.snap.Levels); ok {
		switch n {
		case 0:
			parts = append(parts, "the next may reach the stop of "+clean(l.Name))
		default:
			parts = append(parts, fmt.Sprintf("about %d to the stop of %s", n, clean(l.Name)))
		}
	}
	return joinFit(w, parts...)
}
