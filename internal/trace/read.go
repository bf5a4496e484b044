package trace

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
)

// Bounds on the columns of a trace.
const (
	// Plenty are more columns than the dots of any terminal.
	Plenty = 4096
	// most bounds what may be asked for: 2 MB.
	most = 1 << 16
)

// Errors of a record that has no trace.
var (
	// ErrNoTrace says that a record has no readings, and never had.
	ErrNoTrace = errors.New("no trace: a dial gauge was read by eye, once")
	// ErrWriting says that another program still writes the record.
	ErrWriting = errors.New("the record is being written now: wait until the pull is closed")
	// ErrBlank says that no reading of a record is valid.
	ErrBlank = errors.New("no trace: not one valid reading is in it")
)

// Read reads the trace of the record in a folder in at most n columns, at least 2
// and at most 65,536: from its overview where that is as fine, else in one pass over
// its readings. Beside the errors of record.Open there are ErrNoTrace, ErrWriting and
// ErrBlank. Of a record that is damaged or was cut off it is what can be read of it.
func Read(dir string, n int) (*Trace, error) {
	return read(dir, n, func(rec *record.Record, n int) (*Trace, error) {
		if t, ok := outlined(rec, n); ok {
			return t, nil
		}
		return passed(context.Background(), rec, n)
	})
}

// read is Read by one of its ways.
func read(dir string, n int, by func(rec *record.Record, n int) (*Trace, error)) (*Trace, error) {
	rec, err := record.Open(dir)
	if err != nil {
		return nil, err
	}
	if rec.Writing && !rec.Closed() {
		return nil, fmt.Errorf("%s: %w", rec.Name(), ErrWriting)
	}
	if rec.Head.Dial != nil {
		return nil, fmt.Errorf("%s: %w", rec.Name(), ErrNoTrace)
	}
	n = max(2, min(n, most))
	t, err := by(rec, n)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", rec.Name(), err)
	}
	if len(t.Columns) == 0 {
		if t.Damage != nil {
			return nil, fmt.Errorf("%s: %w", rec.Name(), t.Damage)
		}
		return nil, fmt.Errorf("%s: %w", rec.Name(), ErrBlank)
	}
	return t, nil
}

// ReadFine is Read with Plenty of columns, and with the most there are where the pull
// is so small a part of its record that they would show few of it.
func ReadFine(dir string) (*Trace, error) {
	t, err := Read(dir, Plenty)
	if err != nil || !t.coarse() {
		return t, err
	}
	if fine, err := Read(dir, most); err == nil {
		return fine, nil
	}
	return t, nil
}

// Prove is the trace by a pass over the readings, whatever the overview says: each is held
// against what was written, so that Damage is known. With Damage it is as fine as that of
// ReadFine; without, it has Plenty of columns, and the readings were passed once.
// It ends early with the error of ctx.
func Prove(ctx context.Context, dir string) (*Trace, error) {
	pass := func(rec *record.Record, n int) (*Trace, error) { return passed(ctx, rec, n) }
	t, err := read(dir, Plenty, pass)
	if err != nil || t.Damage == nil || !t.coarse() {
		return t, err
	}
	if fine, err := read(dir, most, pass); err == nil || ctx.Err() != nil {
		return fine, err
	}
	return t, nil
}

// coarse says that few of the columns show the pull, and that there may be more.
func (t *Trace) coarse() bool {
	return t.Loaded > 0 && t.Width > firstWidth && t.last()-t.Loaded < fewColumns*t.Width
}

// fewColumns are less than the dots across a wide terminal.
const fewColumns = 400

// last is the end of what matters of a pull.
func (t *Trace) last() time.Duration {
	if t.Break > 0 {
		return t.Break
	}
	return max(t.Peak, t.Loaded)
}

// headed is what a record's head says of a trace.
func headed(rec *record.Record) *Trace {
	s := &rec.Head.Specimen
	bar := strings.Trim(s.Melt+"-"+s.ID, "-")
	if bar == "" {
		bar = rec.Name()
	}
	return &Trace{
		Dir: rec.Dir, Record: rec.Name(), Bar: bar, Kind: rec.Head.Kind,
		Area: s.Area(), Simulated: s.Simulated, Unfinished: !rec.Closed(),
	}
}

// ended is how a pull came out.
func (t *Trace) ended(s *pull.State) {
	t.Outcome = s.Outcome
	if t.Outcome == "" {
		t.Outcome = s.Phase
	}
	t.End = s.T
	if t.Loaded = s.LoadedAt; t.Loaded == 0 {
		return // what peak there is is of the noise
	}
	t.Peak, t.PeakForce = s.Peak.T, s.Peak.Specimen
	if s.Break != nil {
		t.Break = s.Break.T
	}
}

// outlined is the trace by the overview and the closing; false where they do not
// say as much as the readings do: there is no overview of these samples, the force was
// out of sight at times, or an earlier program did not say when the load began.
func outlined(rec *record.Record, n int) (*Trace, bool) {
	c := rec.Head.Closing
	if c == nil || c.Gaps > 0 || c.Loaded <= 0 && !c.NeverLoaded || c.Zero.Set && c.Zero.Pressure == nil {
		return nil, false
	}
	o, err := rec.Overview()
	if err != nil || !regular(o.Bin) || o.Bin > firstWidth && 2*len(o.Spans)-1 <= n {
		return nil, false
	}
	chain := rec.Head.Rig.Chain()
	b := newBins(n)
	for i, s := range o.Spans {
		if s.Empty() {
			continue
		}
		at := time.Duration(i) * o.Bin
		low, _ := chain.Pressure(s.Min)
		high, _ := chain.Pressure(s.Max)
		b.add(at, low, false)
		b.add(at, high, false)
	}
	b.widen(o.Bin)
	t := headed(rec)
	s := pull.State{T: c.Length.Duration(), Phase: c.Phase, Outcome: c.Outcome, LoadedAt: c.Loaded.Duration()}
	if c.Zero.Set {
		s.Zero.Pressure = *c.Zero.Pressure
	}
	if p := c.Peak; p != nil {
		s.Peak.T = p.T.Duration()
		if p.Specimen != nil {
			s.Peak.Specimen = *p.Specimen
		}
	}
	if c.Break != nil {
		s.Break = &pull.Break{T: c.Break.T.Duration()}
	}
	t.ended(&s)
	t.Columns, t.Width = b.columns(chain, s.Zero.Pressure), b.width()
	return t, true
}

// passed is the trace by one pass over the readings; it ends early with the error of ctx.
func passed(ctx context.Context, rec *record.Record, n int) (*Trace, error) {
	b := newBins(n)
	chain := rec.Head.Rig.Chain()
	var look sight
	s, err := rec.ReplayLines(func(l record.Line) bool {
		if gap, seen := look.step(l); seen {
			p, _ := chain.Pressure(l.Reading.Raw)
			b.add(l.Reading.T, p, gap)
		}
		return ctx.Err() == nil
	})
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	t := headed(rec)
	if t.Damage = err; err != nil {
		if t.Intact = intact(ctx, rec, err); ctx.Err() != nil {
			return nil, ctx.Err() // it is too early
		}
	}
	t.ended(&s)
	t.Columns, t.Width = b.columns(chain, s.Zero.Pressure), b.width()
	return t, nil
}

// intact is the time of the last reading before a damage, by another pass up to it; where
// ctx ends it, of one before that.
func intact(ctx context.Context, rec *record.Record, damage error) (at time.Duration) {
	d, ok := errors.AsType[*record.DamageError](damage)
	if !ok {
		return 0
	}
	rs := rec.Proven()
	defer rs.Close()
	for ctx.Err() == nil && rs.Next() && rs.Offset() < d.Offset {
		at = rs.Reading().T
	}
	return at
}
