package replay

import (
	"fmt"
	"math"
	"sync"
	"sync/atomic"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// Replay is a saved pull being looked at. Its methods may be called from any
// goroutine and wait for nothing.
type Replay struct {
	rec   *record.Record
	head  record.Head // with the rig it is reckoned by
	opt   Options
	units si.System
	stop  *rig.First // of the rig

	wishes   chan Transport
	progress chan struct{} // the pass has come further
	quit     chan struct{}
	closed   sync.Once
	done     sync.WaitGroup

	snap atomic.Pointer[watch.Snapshot]
	play atomic.Pointer[Playback]

	mu   sync.Mutex
	pass pass

	traceMu  sync.Mutex
	whole    watch.Pyramid // of the pass
	sketch   watch.Pyramid // of the overview, until the pass is through
	sketched bool
	scanned  bool
	near     watch.Pyramid // of the position, at its finest
	nearFrom time.Duration
	nearTo   time.Duration

	player // owned by its goroutine
}

// Open opens the record in dir and shows how it came out: from its closing state
// and its overview at once, where it has them and its own rig is used. The pass
// over its readings runs on behind. A record that another program still writes is
// refused with ErrWriting, one without a trace with ErrNoTrace; one that was never closed or is damaged is shown as far
// as it goes.
func Open(dir string, o Options) (*Replay, error) {
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
	r := &Replay{
		rec: rec, head: rec.Head, opt: o,
		wishes: make(chan Transport, 256), progress: make(chan struct{}, 1), quit: make(chan struct{}),
	}
	if o.Rig != nil {
		r.head.UseRig(o.Rig)
	}
	r.stop = r.head.Rig.FirstStop()
	r.units = r.head.Rig.Units
	if o.Units != nil {
		r.units = *o.Units
	}
	r.pass = pass{spacing: firstSpacing, peak: -1, brk: -1}
	r.player = player{speed: bound(o.Speed), pending: true, want: target{kind: toEnd}}
	r.begin()
	r.done.Go(r.scan)
	r.done.Go(r.run)
	return r, nil
}

// begin makes the first snapshot.
func (r *Replay) begin() {
	tail := r.rec.LastReadings()
	if n := len(tail); n > 0 {
		r.length = tail[n-1].T
	}
	c := r.head.Closing
	r.blank = pull.New(r.head.Config()).State().Clone()
	if c != nil && r.opt.Rig == nil {
		r.length = c.Length.Duration()
		r.first = closingState(r.head, tail)
		r.fromClosing = true
		r.pass.peak, r.pass.brk = peakOf(r.first.Peak), breakOf(r.first.Break)
		r.outline()
	}
	r.at = r.length
	r.publish()
}

// outline makes the trace of the overview: the least and the largest of each bin
// as forces by the zero at the end.
func (r *Replay) outline() {
	o, err := r.rec.Overview()
	if err != nil {
		return
	}
	chain := r.head.Rig.Chain()
	force := func(raw float64) float64 {
		p, _ := chain.Pressure(raw)
		return float64(chain.Specimen(p - r.first.Zero.Pressure))
	}
	for i, s := range o.Spans {
		if !s.Empty() {
			t := time.Duration(i)*o.Bin + o.Bin/2
			r.sketch.Add(t, force(s.Min))
			r.sketch.Add(t, force(s.Max))
		}
	}
	r.sketched = true
}

// Snapshot is the pull at the position. Never nil.
func (r *Replay) Snapshot() *watch.Snapshot { return r.snap.Load() }

// Playback is where the position is.
func (r *Replay) Playback() Playback { return *r.play.Load() }

// Trace copies the force from one time to another into dst: of the whole record,
// what is behind the position included. Until the pass is through it is that of
// the overview. A stretch that ends at the position comes in its finest columns.
func (r *Replay) Trace(dst *watch.Trace, from, to time.Duration) {
	r.traceMu.Lock()
	defer r.traceMu.Unlock()
	switch {
	case to <= r.nearTo && from >= r.nearFrom:
		r.near.CopyRange(dst, from, to)
	case !r.scanned && r.sketched:
		r.sketch.CopyRange(dst, from, to)
	default:
		r.whole.CopyRange(dst, from, to)
	}
}

// Do does nothing: what was asked of the pull was asked when it was pulled.
func (r *Replay) Do(watch.Command) {}

// Control hands a wish over. One that finds 256 unserved is dropped.
func (r *Replay) Control(t Transport) {
	select {
	case r.wishes <- t:
	default:
	}
}

// Close ends both goroutines and waits for that.
func (r *Replay) Close() {
	r.closed.Do(func() { close(r.quit) })
	r.done.Wait()
}

// over says that Close was called.
func (r *Replay) over() bool {
	select {
	case <-r.quit:
		return true
	default:
		return false
	}
}

// bound keeps a speed within what there is; 0 and no number are 1.
func bound(speed float64) float64 {
	if math.IsNaN(speed) || speed <= 0 {
		return 1
	}
	return min(max(speed, slowest), fastest)
}
