package tui

import (
	"fmt"
	"math"
	"strings"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
)

// moment is a time in a record to the tenth: "0:41.2".
func moment(d time.Duration) string {
	tenths := int64(max(0, d) / (100 * time.Millisecond))
	return fmt.Sprintf("%d:%02d.%d", tenths/600, tenths/10%60, tenths%10)
}

// positionTexts say where the pull is looked at, in ever fewer words.
func (m *ReplayScreen) positionTexts() []string {
	b := &m.back
	before := b.Break > 0 && b.At == b.Break-1
	shown := b.At
	if before {
		shown = b.Break
	}
	at := "at " + moment(shown) + " of " + moment(b.Length)
	how := "paused"
	if b.Playing {
		how = "playing"
	}
	if b.Playing || b.Speed != 1 {
		how += " × " + speedText(b.Speed)
	}
	where := ""
	switch {
	case b.Seeking:
	case b.At == b.Peak:
		where = "the peak"
	case before:
		where = "the last reading before the break"
	case b.At == b.Break:
		where = "the break"
	}
	read := "everything read"
	if b.Known < b.Length || b.Lines == 0 {
		part := 0.0
		if b.Length > 0 {
			part = math.Floor(100 * b.Known.Seconds() / b.Length.Seconds())
		}
		read = "reading …, " + si.Number(min(part, 99), 0) + " % so far"
	}
	line := ""
	if b.Line > 0 && b.Lines > 0 {
		line = "line " + si.Number(float64(b.Line), 0) + " of " + si.Number(float64(b.Lines), 0)
	}
	join := func(parts ...string) string {
		var out []string
		for _, p := range parts {
			if p != "" {
				out = append(out, p)
			}
		}
		return strings.Join(out, ", ")
	}
	texts := []string{join(at, where, how, read, line, b.Note), join(at, where, how, read, b.Note), join(at, where, how, b.Note)}
	if where != "" {
		texts = append(texts, join(at, where, how))
	}
	return append(texts, join(at, how, read), join(at, how))
}

// speedText writes a speed with no digit it does not need.
func speedText(v float64) string {
	if v >= 1 {
		return si.Number(v, 0)
	}
	return si.Number(v, 1)
}

// hurtText says in a few words that the record is not whole; the row of the record
// says how.
func (m *ReplayScreen) hurtText() (string, ink) {
	switch {
	case m.back.Err != "":
		return "DAMAGED, shown up to " + moment(m.back.Length), stop
	case m.back.Unfinished:
		return "NEVER CLOSED", warning
	}
	return "", plain
}

// rigText says by which other rig the pull is reckoned; empty for its own.
func (m *ReplayScreen) rigText() string {
	switch b := &m.back; {
	case b.Rig == "":
		return ""
	case b.Seeking && b.Lines == 0:
		return "recomputing with " + clean(b.Rig)
	default:
		return "recomputed with " + clean(b.Rig)
	}
}

// raisedTexts say of an alarm that it was raised, in ever fewer words. It asks
// nobody to do anything: the pull is over.
func (m *ReplayScreen) raisedTexts(a *pull.Alarm) []string {
	word := levelWord(a) + " was raised at " + moment(a.Raised)
	if a.Blind {
		word = "■ the force could not be seen from " + moment(a.Raised)
	}
	about := ""
	switch name := clean(a.Limit); {
	case a.Blind:
		about = m.pull.blindCause(a)
	case name == "" || !(a.Allow > 0):
		about = name
	case a.Ahead:
		about = name + " limit came near"
	default:
		about = name + " at " + percent(a.Load/a.Allow) + ", " + LoadText(a.Load, a.Allow, a.At, m.pull.units)
		if a.Single {
			about += ", one reading only"
		}
	}
	var is []string
	if a.Acked {
		is = append(is, "acknowledged")
	}
	if a.Returned {
		is = append(is, "no longer")
	}
	join := func(parts ...string) string {
		t := "replay: " + word
		for _, p := range parts {
			if p != "" {
				t += ", " + p
			}
		}
		return t
	}
	short, _, _ := strings.Cut(about, ", ")
	return []string{join(append([]string{about}, is...)...), join(about), join(short), join()}
}

// headlines are what must be read first of the position: how it came out, and the
// worst alarm that stood then.
func (m *ReplayScreen) headlines() []headline {
	s := &m.pull.snap.State
	var out []headline
	if m.unread() {
		return []headline{{[]string{"reading the record: this moment is shown once the engine has come to it", "reading the record …"}, strong}}
	}
	if texts := outcomeTexts(s, m.pull.units); len(texts) > 0 {
		for i := range texts {
			texts[i] = "replay: " + texts[i]
		}
		out = append(out, headline{texts, strong})
	}
	if a := m.pull.worst(func(*pull.Alarm) bool { return true }); a != nil {
		k := levelInk(a.Level)
		if a.Blind {
			k = stop
		}
		out = append(out, headline{m.raisedTexts(a), k})
	}
	return out
}

// unread says that nothing is known of the position yet.
func (m *ReplayScreen) unread() bool {
	s := &m.pull.snap.State
	return m.back.Seeking && s.Readings == 0 && m.back.Lines == 0
}

// recordText says which record it is and what is wrong with it, in w cells.
func (m *ReplayScreen) recordText(w int) (string, ink) {
	r := &m.pull.snap.Record
	name := clean(r.Name)
	lines := counted(r.Lines, "line", "lines")
	switch {
	case m.back.Err != "":
		return m.damageText(w, name), stop
	case m.back.Unfinished:
		return joinFit(w, "never closed: these are the readings that were saved", name, lines), warning
	}
	return joinFit(w, name, lines), plain
}

// damageText says where the record is damaged, how, and up to when it is shown.
func (m *ReplayScreen) damageText(w int, name string) string {
	what := strings.TrimPrefix(clean(m.back.Err), "samples.csv is ")
	if rest, ok := strings.CutPrefix(what, "damaged"); ok {
		what = "DAMAGED" + rest
	} else {
		what = "DAMAGED: " + what
	}
	upTo := "; shown up to " + moment(m.back.Length)
	where, _, _ := strings.Cut(what, "): ")
	if where != what {
		where += ")"
	}
	h := headline{texts: []string{what + upTo + "   " + name, what + upTo, where + upTo, "DAMAGED" + upTo}}
	return h.within(w)
}

// sourceText says where the readings came from, and what was wrong with them.
func (m *ReplayScreen) sourceText(w int) string {
	snap := m.pull.snap
	s := &snap.State
	name := clean(snap.Source.Name)
	if name == "" {
		name = "no source named"
	}
	parts := []string{"readings from " + cut(name, max(12, w/3))}
	if s.Readings > 0 {
		parts = append(parts, counted(int64(s.Readings), "reading", "readings"), si.Number(snap.Source.Rate, 0)+" a second")
	}
	for _, n := range []struct {
		n         int
		one, many string
	}{{s.Faults, "fault", "faults"}, {s.Gaps, "gap", "gaps"}, {s.BadLines, "bad line", "bad lines"}} {
		if n.n > 0 {
			parts = append(parts, counted(int64(n.n), n.one, n.many))
		}
	}
	return joinFit(w, parts...)
}
