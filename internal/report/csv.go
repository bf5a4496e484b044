// Package report writes a record for others to read: every reading with all
// that is derived from it, as CSV or JSON. It writes to what it is given and
// opens nothing itself.
package report

import (
	"bufio"
	"io"
	"math"
	"strconv"

	"draghand/internal/pull"
	"draghand/internal/record"
)

// csvHeader names the derived columns with their units, as RFC 4180 text with
// a header line. Empty cells are not known: a mark has no raw value, a reading
// outside the valid range no force.
const csvHeader = "t_s,raw,gauge_pa,ram_n,specimen_n,stress_pa,phase,note\n"

// CSV writes one line a reading or mark, with the derived columns in SI, as
// the engine saw them.
func CSV(out io.Writer, rec *record.Record) error {
	w := bufio.NewWriterSize(out, 1<<16)
	if _, err := w.WriteString(csvHeader); err != nil {
		return err
	}
	buf := make([]byte, 0, 256)
	area := rec.Head.Specimen.Area() > 0 // else the stress is not known; 0 is a stress
	var werr error
	_, err := rec.Replay(func(r pull.Reading, e *pull.Engine) bool {
		live := e.Live()
		buf = strconv.AppendFloat(buf[:0], r.T.Seconds(), 'f', 6, 64)
		buf = append(buf, ',')
		if r.Mark == pull.NoMark {
			buf = appendKnown(buf, r.Raw, true)
		}
		seen := r.Mark == pull.NoMark && live.Seen
		buf = append(buf, ',')
		buf = appendKnown(buf, float64(live.Gauge), seen)
		buf = append(buf, ',')
		buf = appendKnown(buf, float64(live.Ram), seen)
		buf = append(buf, ',')
		buf = appendKnown(buf, float64(live.Specimen), seen)
		buf = append(buf, ',')
		buf = appendKnown(buf, float64(live.Stress), seen && area)
		buf = append(buf, ',')
		buf = append(buf, live.Phase...)
		buf = append(buf, ',')
		switch {
		case r.Mark != pull.NoMark:
			buf = append(buf, r.Mark.String()...)
		case !live.Signal.Valid():
			buf = append(buf, live.Signal.String()...)
		}
		buf = append(buf, '\n')
		_, werr = w.Write(buf)
		return werr == nil
	})
	if werr != nil {
		return werr
	}
	if ferr := w.Flush(); ferr != nil {
		return ferr
	}
	return err
}

// appendKnown appends v in the fewest digits that give it back, or nothing
// where it is not known.
func appendKnown(dst []byte, v float64, known bool) []byte {
	if !known || math.IsNaN(v) || math.IsInf(v, 0) {
		return dst
	}
	return strconv.AppendFloat(dst, v, 'g', -1, 64)
}
