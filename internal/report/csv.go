// Package report writes a record for others to read: every reading with all
// that is derived from it, as CSV or JSON. It writes to what it is given and
// opens nothing itself.
package report

import (
	"bufio"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/record"
)

// csvHeader names the derived columns with their units, as RFC 4180 text with
// a header line. Empty cells are not known: a mark has no raw value, a reading
// outside the valid range no force.
const csvHeader = "t_s,raw,gauge_pa,ram_n,specimen_n,stress_pa,phase,note"

// channelHeader names the further channels of a record, each with its unit as
// stated where it came from: travel_mm. No name comes twice.
func channelHeader(channels []record.Channel) string {
	var b strings.Builder
	taken := strings.Split(csvHeader, ",")
	for _, c := range channels {
		name := word(c.Column)
		if u := word(strings.ReplaceAll(c.Unit, "%", "percent")); u != "" && !strings.HasSuffix(name, "_"+u) {
			name += "_" + u
		}
		free := name
		for n := 2; slices.Contains(taken, free); n++ {
			free = name + "_" + strconv.Itoa(n)
		}
		taken = append(taken, free)
		b.WriteString("," + free)
	}
	return b.String()
}

// word is the letters, digits and low lines of a text, in ASCII.
func word(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '_' {
			return r
		}
		return -1
	}, s)
}

// CSV writes one line a reading or mark, with the derived columns in SI, as
// the engine saw them, and behind them the further channels as they came.
func CSV(out io.Writer, rec *record.Record) error {
	w := bufio.NewWriterSize(out, 1<<16)
	channels := rec.Head.Channels[:min(len(rec.Head.Channels), record.MaxChannels)]
	if _, err := w.WriteString(csvHeader + channelHeader(channels) + "\n"); err != nil {
		return err
	}
	buf := make([]byte, 0, 256)
	area := rec.Head.Specimen.Area() > 0 // else the stress is not known; 0 is a stress
	var werr error
	_, err := rec.ReplayLines(func(l record.Line) bool {
		r, live := l.Reading, l.Engine.Live()
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
		for i := range channels {
			buf = append(buf, ',')
			buf = append(buf, l.Channel(i)...)
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
