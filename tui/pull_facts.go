package tui

import (
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// outcomeText says how the pull came out; empty while it goes on.
func outcomeText(s *pull.State, u si.System) string {
	if b := s.Break; b != nil && (s.Outcome == pull.Broken || s.Outcome == "" && s.Phase == pull.Broken) {
		t := fmt.Sprintf("BROKE at %s, %.2f s into the record", b.Specimen.Text(u), b.T.Seconds())
		if b.Fall > 0 {
			t += ", " + fallText(b.Fall, s)
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
		if s.Kind == pull.Crush {
			return "LET OFF: the force was taken off"
		}
		return "LET OFF: the force was taken off; no break was seen"
	case pull.Ended:
		if s.Kind == pull.Crush {
			return "ENDED under load"
		}
		return "ENDED before a break was seen"
	case pull.Unclear:
		return "UNCLEAR: the fall may be a break or a let-off; look at the specimen"
	}
	return strings.ToUpper(clean(string(s.Outcome)))
}

// outcomeTexts are outcomeText and the same in ever fewer words.
func outcomeTexts(s *pull.State, u si.System) []string {
	full := outcomeText(s, u)
	if full == "" {
		return nil
	}
	b := s.Break
	if b == nil || !strings.HasPrefix(full, "BROKE at") {
		short := full
		for _, end := range []string{": ", "; "} {
			short, _, _ = strings.Cut(short, end)
		}
		return []string{full, short}
	}
	is := ""
	if b.Provisional {
		is = "; provisional"
	}
	force := "BROKE at " + b.Specimen.Text(u)
	when := fmt.Sprintf(", %.2f s into the record", b.T.Seconds())
	out := []string{full}
	if b.Fall > 0 {
		out = append(out, force+when+", "+fallText(b.Fall, s)+is)
	}
	return append(out, force+when+is, force+is)
}

// fallText says how long the fall took, and no finer than the readings stand
// apart.
func fallText(fall time.Duration, s *pull.State) string {
	if s.Readings > 0 {
		if two := 2 * s.T / time.Duration(s.Readings); fall < two {
			return "within " + spanText(max(time.Millisecond, two.Round(time.Millisecond))) + ", two readings"
		}
	}
	return "in " + spanText(max(time.Millisecond, fall.Round(time.Millisecond)))
}

// recordText says whether the pull is being saved, in w cells where it is not,
// and the ink to say it in.
func recordText(snap *watch.Snapshot, w int) (string, ink) {
	r := &snap.Record
	name := clean(r.Name)
	lines := counted(r.Lines, "line", "lines")
	switch {
	case r.Failed != "":
		return notSaved(snap, w), stop
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

// notSaved says why the record failed and what to do, both in w cells; what was
// being done to which file comes last, and only where there is room.
func notSaved(snap *watch.Snapshot, w int) string {
	long, short := "; it is in memory: keep running", "; keep running"
	if snap.Closed {
		long, short = "; closing with q saves it elsewhere", "; q saves elsewhere"
	}
	cause, doing := errorCause(snap.Record.Failed)
	cause = "NOT SAVED: " + cause
	if ansi.StringWidth(cause+long) > w {
		return cut(cause, w-len(short)) + short
	}
	return joinFit(w, cause+long, doing)
}

func counted(n int64, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return si.Number(float64(n), 0) + " " + many
}

// sourceText says how the readings come in, in w cells: of what has no room the
// least needed is left out whole.
func sourceText(snap *watch.Snapshot, w int) (string, ink) {
	s, st, k := &snap.Source, &snap.State, plain
	name := clean(s.Name)
	if name == "" {
		name = "no source"
	}
	parts := []string{cut(name, max(12, w/3))}
	switch s.Status {
	case "live", "":
	case "lost", "silent":
		parts, k = append(parts, strings.ToUpper(clean(s.Status))), stop
	default:
		parts = append(parts, clean(s.Status))
	}
	if t, failed := tripText(snap); t != "" {
		if parts = append(parts, t); failed && k == plain {
			k = warning
		}
	}
	if st.Readings > 0 {
		rate := si.Number(s.Rate, 0) + " readings/s"
		newest := "newest " + spanText(s.Age) + " ago"
		switch signal := signalText(snap); {
		case k == stop: // how old the newest is says it all
			parts = append(parts, newest, signal)
		case !st.Seen || !st.Signal.Valid():
			parts = append(parts, signal, rate)
		default:
			parts = append(parts, rate, newest, signal)
		}
	}
	for _, n := range []struct {
		n         int
		one, many string
	}{{st.Faults, "fault", "faults"}, {st.Gaps, "gap", "gaps"}, {st.BadLines, "bad line", "bad lines"}} {
		if n.n > 0 {
			parts = append(parts, counted(int64(n.n), n.one, n.many))
		}
	}
	if why, failed := strings.CutPrefix(snap.Trip, "failed: "); failed {
		parts = append(parts, clean(why))
	}
	return joinFit(w, parts...), k
}

// tripText says what the trip line shows, empty where there is none.
func tripText(snap *watch.Snapshot) (t string, failed bool) {
	switch {
	case snap.Trip == "":
		return "", false
	case strings.HasPrefix(snap.Trip, "failed"):
		return "TRIP LINE FAILED", true
	}
	return "trip line " + clean(snap.Trip), false
}

// standsStill is what the engine calls a reading that does not change any more.
const standsStill = "the reading stands still"

// signalText is the quality of the newest reading. A good one of a force that is
// not seen is no good signal: it stands still, or it is old.
func signalText(snap *watch.Snapshot) string {
	s := &snap.State
	switch {
	case !s.Signal.Valid() || s.Seen:
		return "signal " + s.Signal.String()
	case still(s):
		return standsStill
	}
	return ""
}

// still says that the force is not seen because the reading stands still.
func still(s *pull.State) bool {
	for i := range s.Alarms {
		if a := &s.Alarms[i]; a.Blind && !a.Returned {
			return strings.Contains(a.Text, standsStill)
		}
	}
	return false
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

// barText names what is pulled: only a bar to be broken is called one.
func barText(id string, k pull.Kind) string {
	if k == pull.Tension || k == "" {
		return "bar " + id
	}
	return id
}

// barWords names what is pulled, a check bar as one; empty where nobody has named it.
func barWords(id string, k pull.Kind, check bool) string {
	switch {
	case check && id == "":
		return "check bar"
	case check:
		return "check bar " + id
	case id == "":
		return ""
	}
	return barText(id, k)
}

// identText says what is being pulled.
func identText(snap *watch.Snapshot, u si.System) string {
	sp := &snap.Specimen
	var parts []string
	if t := barWords(clean(sp.ID), snap.State.Kind, sp.Stock != ""); t != "" {
		parts = append(parts, t)
	}
	if sp.Melt != "" {
		parts = append(parts, "melt "+clean(sp.Melt))
	}
	if sp.Alloy != "" {
		parts = append(parts, clean(sp.Alloy))
	}
	if sp.Shape != specimen.Round {
		if size := sp.SizeText(u); size != "" {
			parts = append(parts, size)
		}
	} else if d := sp.Diameter(); d > 0 {
		parts = append(parts, d.Size(u))
	}
	if len(parts) == 0 {
		parts = append(parts, "no specimen named")
	}
	if sp.Side == specimen.Far {
		parts = append(parts, "far side")
	}
	if snap.RigName != "" {
		parts = append(parts, "on "+clean(snap.RigName))
	}
	return strings.Join(parts, "  ")
}
