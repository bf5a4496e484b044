package main

import (
	"fmt"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/sheet"
	"draghand/internal/strength"
	"draghand/internal/wire"
)

const (
	maxRaw = record.MaxField
	// Lines are made faster than a disk takes them: no more than this may wait.
	mostWaiting = 64 << 20
	lookEvery   = 4096 // lines between two looks at it
	restWaiting = 10 * time.Millisecond
)

// startOf is when the pull began: as dated in the table, read as UTC, else so
// that it ends now.
func startOf(t *sheet.Table) time.Time {
	first := t.Rows[0].Time
	if t.Clock && first >= 365*24*time.Hour {
		return time.Unix(0, int64(first)).UTC()
	}
	return time.Now().UTC().Add(-t.Duration())
}

// keep writes the record of a table and carries it through the engine, as a
// live pull is: each reading to the record first, then to the engine.
func keep(shelf string, head record.Head, t *sheet.Table, raw func(*sheet.Row) []byte) (dir string, state pull.State, told strength.Remarks, err error) {
	w, err := record.Create(shelf, head)
	if err != nil {
		return "", state, nil, err
	}
	e := pull.New(head.Config())
	step := func(r pull.Reading) { told.Add(e.Step(r)) }
	var at time.Duration
	badMark := func(n int, text string) {
		if counted := w.Mark(at, pull.Bad, n, text); counted > 0 {
			step(pull.Reading{T: at, Mark: pull.Bad, Count: counted})
		}
	}
	for i := range t.Rows {
		row := &t.Rows[i]
		if row.Bad > 0 {
			badMark(row.Bad, fmt.Sprintf("rows before line %d", row.Line))
		}
		at = row.T.Truncate(time.Microsecond)
		text := raw(row)
		dev := row.TimeText
		if len(dev) > maxRaw {
			dev = dev[:maxRaw]
		}
		if counted := w.AppendWith(at, []byte(dev), text, "", row.Channels); counted > 0 {
			step(pull.Reading{T: at, Mark: pull.Bad, Count: counted})
		} else {
			v, _ := wire.ParseNumber(text)
			step(pull.Reading{T: at, Raw: v})
		}
		if i%lookEvery == 0 {
			waitForDisk(w)
		}
	}
	if t.BadAtEnd > 0 {
		badMark(t.BadAtEnd, "rows at the end of the table")
	}
	if counted := w.Mark(at, pull.End, 1, ""); counted > 0 {
		step(pull.Reading{T: at, Mark: pull.Bad, Count: counted})
	}
	step(pull.Reading{T: at, Mark: pull.End})
	state = e.State().Clone()
	closing := record.ClosingFrom(state, record.ByEnd)
	closing.Ended = head.Started.Add(at)
	return w.Dir(), state, told, w.Close(closing)
}

// waitForDisk holds the import back while too much waits in memory.
func waitForDisk(w *record.Writer) {
	for h := w.Health(); h.Err == nil && h.Bytes-h.Synced > mostWaiting; h = w.Health() {
		time.Sleep(restWaiting)
	}
}
