package replay

import (
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
)

// cursor is an engine on its way through the lines of a record. A record that has
// no end mark, because it was cut off or is damaged, gets one behind its last
// line: its readings end, and so does the pull.
type cursor struct {
	e     *pull.Engine
	rs    *record.Readings
	line  int           // lines taken
	t     time.Duration // time of the line last taken
	took  pull.Reading  // that line
	place record.Place  // behind it
	ended bool          // it was the end mark

	next   pull.Reading // looked at and not yet taken
	behind record.Place // it
	looked bool
}

// from begins at a checkpoint.
func from(rec *record.Record, c checkpoint) *cursor {
	return &cursor{e: c.engine.Clone(), rs: rec.ReadingsAt(c.place), line: c.line, t: c.t, place: c.place, ended: c.ended}
}

// peek is the next line; false behind the last.
func (c *cursor) peek() (pull.Reading, bool) {
	switch {
	case c.looked:
	case c.rs.Next():
		c.next, c.behind, c.looked = c.rs.Reading(), c.rs.Place(), true
	case !c.ended:
		c.next, c.behind, c.looked = pull.Reading{T: c.t, Mark: pull.End}, c.place, true
	default:
		return pull.Reading{}, false
	}
	return c.next, true
}

// step takes the line that was looked at.
func (c *cursor) step() []pull.Event {
	c.looked = false
	c.took, c.place, c.t = c.next, c.behind, c.next.T
	c.ended = c.took.Mark == pull.End
	c.line++
	return c.e.Step(c.took)
}

func (c *cursor) close() { _ = c.rs.Close() } // it was only read
