//go:build linux || darwin || freebsd || openbsd

package ptylink

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"time"

	"draghand/internal/sim"
)

// journal is the log of what was truly sent: CSV with a header, a row a line
// that went out whole, and comments that begin with #. A nil writer makes it
// silent. The first error stays.
type journal struct {
	w       *bufio.Writer
	row     []byte
	flushed time.Time
	err     error
}

const journalHeader = "t_s,line,true_gauge_pa,true_ram_n,true_specimen_n\n"

func newJournal(w io.Writer) *journal {
	j := &journal{}
	if w != nil {
		j.w = bufio.NewWriterSize(w, 64<<10)
		_, j.err = j.w.WriteString(journalHeader)
	}
	return j
}

// sent notes a line (without its line end) and the truth at its time.
func (j *journal) sent(smp *sim.Sample, line []byte) {
	if j.w == nil || j.err != nil {
		return
	}
	b := strconv.AppendFloat(j.row[:0], smp.T.Seconds(), 'f', 6, 64)
	b = append(b, ',', '"') // RFC 4180: the line has commas of its own
	for _, c := range line {
		if c == '"' {
			b = append(b, '"')
		}
		b = append(b, c)
	}
	b = append(b, '"', ',')
	b = strconv.AppendFloat(b, float64(smp.TruePressure), 'f', 1, 64)
	b = append(b, ',')
	b = strconv.AppendFloat(b, float64(smp.TrueRam), 'f', 3, 64)
	b = append(b, ',')
	b = strconv.AppendFloat(b, float64(smp.TrueSpecimen), 'f', 3, 64)
	j.row = append(b, '\n')
	_, j.err = j.w.Write(j.row)
}

func (j *journal) comment(format string, args ...any) {
	if j.w == nil || j.err != nil {
		return
	}
	_, j.err = fmt.Fprintf(j.w, "# "+format+"\n", args...)
}

// tick writes out what has lain long enough.
func (j *journal) tick(now time.Time) {
	if j.w != nil && now.Sub(j.flushed) >= logEvery-2*nap {
		j.flushed = now
		j.flush()
	}
}

func (j *journal) flush() {
	if j.w != nil && j.err == nil {
		j.err = j.w.Flush()
	}
}
