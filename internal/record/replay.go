package record

import (
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"draghand/internal/pull"
)

// Replay carries every reading and mark of the record through a new engine, by
// the rig in Head, and gives the state it ends in: the same state the live pull
// ended in. After each step it calls each, unless nil, which may stop the
// replay by returning false. The state of a damaged record is that of what is
// intact, or of all its lines where those are not the ones that were written; the
// damage comes back as the error.
func (r *Record) Replay(each func(pull.Reading, *pull.Engine) bool) (pull.State, error) {
	return r.ReplayLines(func(l Line) bool { return each == nil || each(l.Reading, l.Engine) })
}

// Line is one line of a record as a replay meets it. It is valid until the next.
type Line struct {
	Reading pull.Reading
	Engine  *pull.Engine // which has taken the reading
	Events  []pull.Event // what it told of it
	lines   *Readings
}

// Channel is the field in a column behind the four, as Readings.Channel.
func (l Line) Channel(i int) []byte { return l.lines.Channel(i) }

// ReplayLines is Replay for who also wants what the engine told, or the further
// channels.
func (r *Record) ReplayLines(each func(Line) bool) (pull.State, error) {
	if r.Head.Dial != nil { // no trace: the state is what the person says
		rs := r.Proven()
		defer rs.Close()
		for rs.Next() { // only whether the file is whole
		}
		return r.Head.dialState(), rs.Err()
	}
	e := pull.New(r.Head.Config())
	rs := r.Proven()
	defer rs.Close()
	ended := false
	for rs.Next() {
		reading := rs.Reading()
		ended = reading.Mark == pull.End
		events := e.Step(reading)
		if !each(Line{Reading: reading, Engine: e, Events: events, lines: rs}) {
			return e.State().Clone(), nil
		}
	}
	if !ended {
		// A record that was cut off: its readings end, and so does the pull.
		e.Step(pull.Reading{T: e.State().T, Mark: pull.End})
	}
	return e.State().Clone(), rs.Err()
}

// lastZeroSearch is how many of the newest records are looked through for a
// zero of the same rig.
const lastZeroSearch = 50

// LastZero is the raw zero of the newest closed pull of the rig named on the
// shelf; ok is false where there is none. A simulated pull says nothing about
// the zero of a real one, nor the other way round. Records that cannot be read
// are passed over, and so is what else lies on the shelf: a record counts by its
// folder's name, which begins with the start.
func LastZero(shelf, rigName string, simulated bool) (raw float64, ok bool) {
	d, err := os.Open(shelf)
	if err != nil {
		return 0, false
	}
	defer d.Close()
	names, err := d.Readdirnames(-1)
	if err != nil && err != io.EOF {
		return 0, false
	}
	names = slices.DeleteFunc(names, func(n string) bool { return !stamped(n) })
	slices.SortFunc(names, func(a, b string) int { return strings.Compare(b, a) }) // newest first
	for _, n := range names[:min(len(names), lastZeroSearch)] {
		h, err := readHead(filepath.Join(shelf, n))
		if err != nil || h.Closing == nil || h.Rig == nil || h.Rig.Name != rigName || h.Specimen.Simulated != simulated || !h.Closing.Zero.Set || h.Closing.Zero.Raw == nil {
			continue
		}
		return *h.Closing.Zero.Raw, true
	}
	return 0, false
}
