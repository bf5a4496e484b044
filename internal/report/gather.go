package report

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
	"path/filepath"
	"time"

	"draghand/internal/finish"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// Options are how a report is written.
type Options struct {
	Units   si.System
	Program string    // name and version of the program that writes it
	Made    time.Time // when; the zero time: it does not say
}

// facts are all that a report tells, as found.
type facts struct {
	rec     *record.Record
	head    *record.Head
	rig     *rig.Rig // with the bar where it stood
	opt     Options
	state   pull.State
	results strength.Results
	trace   *trace
	damage  error
	started bool // load was seen, or read off a dial
}

// gather carries the readings once through a new engine and keeps of them what a
// picture needs: the memory it takes does not grow with the record.
func gather(rec *record.Record, o Options) *facts {
	rec = inUnits(rec, o.Units)
	f := &facts{rec: rec, head: &rec.Head, rig: rec.Head.Config().Rig, opt: o, trace: newTrace()}
	var told strength.Remarks
	f.state, f.damage = rec.ReplayLines(func(l record.Line) bool {
		told.Add(l.Events)
		f.trace.add(l)
		return true
	})
	f.trace.finish()
	f.results = finish.Of(rec, f.state, told, f.damage)
	f.started = f.state.LoadedAt != 0 || f.state.Eye != nil
	return f
}

// inUnits is a record whose rig shows other units, so that all that is said of it
// is said in them. The record itself stays as it is.
func inUnits(rec *record.Record, sys si.System) *record.Record {
	out, r := *rec, *rec.Head.Rig
	r.Units = sys
	out.Head.Rig = &r
	return &out
}

// sum is the SHA-256 of a file of the record in hexadecimal, and its length; the
// text says so where it cannot be read.
func (f *facts) sum(name string) (text string, size int64) {
	file, err := os.Open(filepath.Join(f.rec.Dir, name))
	if err != nil {
		return "cannot be read", 0
	}
	defer file.Close()
	h := sha256.New()
	if size, err = io.Copy(h, file); err != nil {
		return "cannot be read", size
	}
	return hex.EncodeToString(h.Sum(nil)), size
}

// known says whether a quantity is there and a number.
func known(v *float64) bool { return v != nil && *v-*v == 0 }
