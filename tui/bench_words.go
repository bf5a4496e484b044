package tui

import (
	"fmt"
	"strings"
	"time"

	"draghand/internal/bench"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// allowText is what a part may carry and where: "10,791 lbf on each side".
func allowText(b *rig.Bound, u si.System) string {
	if b.Limit.At == rig.AtGauge {
		return si.Pressure(b.Allowable).Text(u) + " at the gauge"
	}
	t := si.Force(b.Allowable).Text(u)
	switch b.Limit.At {
	case rig.AtRam:
		if b.Limit.Name != "ram" {
			t += " on the ram"
		}
	case rig.AtSpecimen:
		t += " on the specimen's side"
	case rig.AtFar:
		t += " on the far side"
	case rig.AtSides:
		t += " on each side"
	}
	return t
}

// benchZero says what the figures are above, or why there is no zero yet, and
// the ink to say it in.
func benchZero(look *watch.Snapshot, u si.System) (string, ink) {
	s := &look.State
	z := &s.Zero
	scatter := ""
	if s.Noise > 0 {
		scatter = ", scatter ± " + fineText(s.Noise, u)
	}
	switch {
	case z.Set && z.Refused != "":
		return "the old one stays; a new one REFUSED: " + clean(z.Refused), warning
	case z.Set:
		t := "taken when quiet"
		if z.Quality == "asked" {
			t = "taken as asked"
		}
		return t + ", " + spanText(s.T-z.T) + " ago, scatter ± " + fineText(z.SD, u), good
	case z.Refused != "":
		return "REFUSED: " + clean(z.Refused), warning
	case z.Quality == "none":
		return "NONE: there was load before any 2 quiet seconds", warning
	case s.Readings == 0:
		return "not yet: no reading so far", plain
	case s.T < quietTime:
		return fmt.Sprintf("not yet: watched for %.1f of %.0f s%s", s.T.Seconds(), quietTime.Seconds(), scatter), plain
	}
	return fmt.Sprintf("not yet: no %.0f quiet seconds so far%s; keep everything off the rig", quietTime.Seconds(), scatter), plain
}

// quietTime is how long readings must be quiet for a zero (design 5).
const quietTime = 2 * time.Second

// benchSource says how the readings come in, in w cells.
func (m *BenchScreen) benchSource(w int) (string, ink) {
	v := m.view
	switch v.Source {
	case bench.SourceFailed:
		return "FAILED: " + clean(v.SourceErr), stop
	case bench.OpeningSource:
		return "opening " + m.value(bench.FieldSource) + " …", plain
	case bench.SourceOpen:
		if v.Look != nil {
			look := *v.Look // what was wrong has a line of its own
			look.State.Faults, look.State.Gaps, look.State.BadLines = 0, 0, 0
			t, k := sourceText(&look, w-20)
			if s := &look.State; !s.Seen && s.Signal.Valid() && k != stop {
				t, k = t+"   no fresh reading", warning
			}
			return t, k
		}
		return "open, no reading yet", plain
	}
	return "none yet: p lists what is plugged in; sim: is a simulated rig", warning
}

// quality says what was wrong with readings so far; empty: nothing.
func (m *BenchScreen) quality() string {
	if m.view.Look == nil {
		return ""
	}
	s := &m.view.Look.State
	var parts []string
	say := func(n int, one, many string) {
		if n > 0 {
			parts = append(parts, counted(int64(n), one, many))
		}
	}
	say(s.Faults, "reading outside the sensor's bands", "readings outside the sensor's bands")
	say(s.BadLines, "bad line", "bad lines")
	say(s.Gaps, "gap", "gaps")
	return strings.Join(parts, ", ")
}

// value is a field as understood, or as written.
func (m *BenchScreen) value(id bench.FieldID) string {
	f := fieldOf(m.view, id)
	switch {
	case f == nil || f.Fault != "":
		return ""
	case f.Read != "":
		return clean(f.Read)
	}
	return clean(f.Text)
}

// ident says what is on the bench, in w cells.
func (m *BenchScreen) ident(w int) string {
	var parts []string
	parts = append(parts, barWords(m.value(bench.FieldSpecimen), pull.Kind(m.value(bench.FieldKind)), m.value(bench.FieldStock) != ""))
	if t := m.value(bench.FieldMelt); t != "" {
		parts = append(parts, "melt "+t)
	}
	sizes, _, _ := strings.Cut(m.value(bench.FieldDiameters), ": ") // without what is said of them
	parts = append(parts, m.value(bench.FieldAlloy), sizes)
	t := joinFit(w, parts...)
	if t == "" {
		t = cut("no specimen named yet", w)
	}
	return t
}

// loaded says that there is load on the rig while no pull is recorded.
func loaded(look *watch.Snapshot) bool {
	return look != nil && watch.Loaded(look.State.Phase)
}

// alarmNow is the worst alarm of the look that is on, in ever fewer words; nil:
// none is.
func alarmNow(look *watch.Snapshot, u si.System) ([]string, ink) {
	if look == nil || look.State.Outcome != "" {
		return nil, plain
	}
	m := PullScreen{snap: look, units: u}
	a := m.worst(func(a *pull.Alarm) bool { return !a.Returned })
	switch {
	case a == nil:
		return nil, plain
	case grave(a) && !a.Blind:
		return []string{
			levelWord(a) + "   release the pressure: " + m.alarmText(a),
			levelWord(a) + "  " + m.alarmBrief(a) + ": release the pressure",
		}, m.alarmInk(a)
	}
	return m.alarmTexts(a), m.alarmInk(a)
}

// firstAlert is the most urgent of alerts, which stays in sight under help.
func firstAlert(look *watch.Snapshot, u si.System, w int) (string, ink) {
	if lines, inks := alerts(look, u, w); len(lines) > 0 {
		return lines[0], inks[0]
	}
	return "", plain
}

// alerts are what must be read before anything else, the most urgent first, each
// in w cells: an alarm of the look, and load that nobody records.
func alerts(look *watch.Snapshot, u si.System, w int) (lines []string, inks []ink) {
	if look == nil {
		return nil, nil
	}
	say := func(k ink, texts ...string) {
		h := headline{texts: texts}
		lines, inks = append(lines, cut(h.within(w), w)), append(inks, k)
	}
	if texts, k := alarmNow(look, u); texts != nil {
		say(k, texts...)
	}
	if loaded(look) {
		say(warningBar,
			"▲ LOAD ON THE RIG: nothing is recorded yet; release the pressure before you arm",
			"▲ LOAD ON THE RIG: nothing is recorded yet")
	}
	return lines, inks
}
