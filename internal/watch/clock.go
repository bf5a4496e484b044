package watch

import (
	"time"

	"draghand/internal/rig"
	"draghand/internal/wire"
)

// layoutOf is the decoder's layout as the rig file states it.
func layoutOf(s rig.Source) wire.Layout {
	return wire.Layout{
		Separator: s.Separator, Columns: s.Columns, XOR: s.Checksum == "xor",
		Tick: tickOf(s.Clock), ClockBits: s.ClockBits,
	}
}

// tickOf is the unit of the board's clock; 0 without one.
func tickOf(unit string) time.Duration {
	switch unit {
	case "us":
		return time.Microsecond
	case "ms":
		return time.Millisecond
	case "s":
		return time.Second
	}
	return 0
}

// newClock is the board's clock; nil without one.
func newClock(s rig.Source) *wire.Clock {
	if tick := tickOf(s.Clock); tick > 0 {
		return wire.NewClock(tick, s.ClockBits)
	}
	return nil
}

// timeOf is the causal time of a line: never before the line before it.
func (w *Watch) timeOf(l *wire.Line) (t time.Duration, restarted bool) {
	switch {
	case w.o.Time == RateTime:
		t = time.Duration(float64(w.good) / w.o.Rig.Source.Rate * float64(time.Second))
	case w.o.Time == BoardTime && w.clock != nil && l.HasDev:
		t, restarted = w.clock.Alone(l.Dev)
	case w.clock != nil && l.HasDev:
		t, restarted = w.clock.Map(w.arrival.Sub(w.start), l.Dev)
	default:
		t = w.arrival.Sub(w.start)
	}
	// Whole microseconds, as the record keeps them: a replay sees the same.
	return max(t.Truncate(time.Microsecond), w.last), restarted
}

// now is the record's time at this moment: the newest reading's time plus what
// has passed since on the wall clock.
func (w *Watch) now() time.Duration {
	if w.start.IsZero() {
		return 0
	}
	if w.o.Time != HostTime {
		return w.last
	}
	if w.missed > 0 { // of what came before the pull: then
		return w.last + max(0, w.taken.Sub(w.lastWall))
	}
	return w.last + time.Since(w.lastWall)
}

// timeIsUp says whether the pull has lasted for as long as was asked for: by the
// record's time, and for a live source by the clock on the wall too, whatever the
// record's time does.
func (w *Watch) timeIsUp() bool {
	return w.o.For > 0 && (w.now() >= w.o.For || w.o.Time == HostTime && time.Since(w.began) >= w.o.For)
}

// rateMeter counts readings over the last two seconds of the record's time, in
// buckets of a tenth of a second.
type rateMeter struct {
	bucket  int64
	count   [20]int
	started int64
	any     bool
}

func (r *rateMeter) add(t time.Duration) {
	b := int64(t / (100 * time.Millisecond))
	if !r.any {
		r.any, r.bucket, r.started = true, b, b
	}
	if b-r.bucket >= int64(len(r.count)) {
		clear(r.count[:])
		r.bucket = b
	}
	for r.bucket < b {
		r.bucket++
		r.count[r.bucket%int64(len(r.count))] = 0
	}
	r.count[b%int64(len(r.count))]++
}

// perSecond is the rate over the full buckets; 0 until there is one.
func (r *rateMeter) perSecond() float64 {
	span := min(r.bucket-r.started, int64(len(r.count))-1)
	if !r.any || span < 1 {
		return 0
	}
	n := 0
	for i := range r.count {
		if int64(i) != r.bucket%int64(len(r.count)) {
			n += r.count[i]
		}
	}
	return float64(n) / (float64(span) * 0.1)
}
