package replay

import (
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/watch"
)

// checkpoint is the engine as it stood behind a line of the record.
type checkpoint struct {
	engine *pull.Engine
	place  record.Place
	line   int
	t      time.Duration // of that line; 0 at the beginning
	ended  bool          // that line was the end mark
}

// told is something notable of the pull, and behind which line it was told.
type told struct {
	line int
	watch.Told
}

// pass is what the pass over the whole record has found so far. Replay.mu guards
// it.
type pass struct {
	known   time.Duration // time of the newest line it took
	lines   int           // lines it took
	through bool
	err     string // why it ended early, in words
	loaded  time.Duration
	peak    time.Duration // once through; -1: none
	brk     time.Duration
	alarms  []time.Duration
	story   []told
	points  []checkpoint
	spacing int
}

// batch is how many lines the pass takes between two looks at the rest of the
// world: half a millisecond.
const batch = 4096

// forces collects a batch of the trace, so that its lock is not taken for each.
type forces struct {
	n int
	t [batch]time.Duration
	f [batch]float64
}

// scan is the pass over the whole record.
func (r *Replay) scan() {
	e := pull.New(r.head.Config())
	rs := r.rec.Proven() // the pass reads it all; the first frame waits for none of it
	defer rs.Close()
	r.keep(checkpoint{engine: e.Clone()})
	c := cursor{e: e, rs: rs}
	got := new(forces)
	alarms := []time.Duration(nil)
	story := []told(nil)
	for {
		n := 0
		for ; n < batch; n++ {
			if _, ok := c.peek(); !ok {
				break
			}
			if c.line > 0 && c.line%r.spacing() == 0 {
				// Behind the line before; the one looked at is read again from here.
				r.keep(checkpoint{engine: c.e.Clone(), place: c.place, line: c.line, t: c.t, ended: c.ended})
			}
			for _, ev := range c.step() {
				if ev.Kind == pull.EvAlarm && !ev.Alarm.Acked && !ev.Alarm.Returned && len(alarms) < mostAlarms {
					alarms = append(alarms, ev.T)
				}
				if ev.Kind == pull.EvPeak || len(story) >= mostTold {
					continue
				}
				if t, ok := watch.ToldOf(watch.EventOf(ev, c.e, time.Time{})); ok {
					t.Text = past(t.Text)
					story = append(story, told{c.line, t})
				}
			}
			if s := c.e.Live(); s.Seen && s.T == c.t && c.took.Mark == pull.NoMark {
				got.t[got.n], got.f[got.n] = s.T, float64(s.Specimen)
				got.n++
			}
		}
		r.traceMu.Lock()
		for i := range got.n {
			r.whole.Add(got.t[i], got.f[i])
		}
		got.n = 0
		r.traceMu.Unlock()
		r.found(&c, alarms, story, n < batch)
		if n < batch || r.over() {
			return
		}
	}
}

// found publishes what the pass has come to.
func (r *Replay) found(c *cursor, alarms []time.Duration, story []told, through bool) {
	s := c.e.State()
	r.mu.Lock()
	p := &r.pass
	p.known, p.lines, p.alarms, p.story = c.t, c.line, alarms, story
	p.loaded = s.LoadedAt
	if through {
		p.through = true
		p.peak, p.brk = peakOf(s.Peak), breakOf(s.Break)
		if err := c.rs.Err(); err != nil {
			p.err = err.Error()
		}
	}
	r.mu.Unlock()
	if through {
		r.traceMu.Lock()
		r.scanned = true
		r.sketch.Reset()
		r.traceMu.Unlock()
	}
	select {
	case r.progress <- struct{}{}:
	default:
	}
}

func peakOf(p pull.Point) time.Duration {
	if p == (pull.Point{}) {
		return -1
	}
	return p.T
}

func breakOf(b *pull.Break) time.Duration {
	if b == nil {
		return -1
	}
	return b.T
}

func (r *Replay) spacing() int {
	// Only the pass itself changes it.
	return r.pass.spacing
}

// keep keeps a checkpoint, and thins them out where there are too many.
func (r *Replay) keep(c checkpoint) {
	r.mu.Lock()
	defer r.mu.Unlock()
	p := &r.pass
	p.points = append(p.points, c)
	if len(p.points) < checkpoints {
		return
	}
	p.spacing *= 2
	kept := p.points[:0]
	for _, c := range p.points {
		if c.line%p.spacing == 0 {
			kept = append(kept, c)
		}
	}
	clear(p.points[len(kept):]) // lets the engines go
	p.points = kept
}

// before is the checkpoint to begin from for a line, or where line is negative for
// a time: the last one at or before it, or one that lies far enough before it for
// the finest trace of a window, if that costs little more.
func (r *Replay) before(line int, t time.Duration) checkpoint {
	r.mu.Lock()
	defer r.mu.Unlock()
	points := r.pass.points
	i := len(points) - 1
	for i > 0 && (line >= 0 && points[i].line > line || line < 0 && points[i].t >= t) {
		i--
	}
	at := points[i]
	for i > 0 && points[i].t > t-nearSpan && at.line-points[i-1].line <= nearLines {
		i--
	}
	return points[i]
}

// nearSpan is how far before the position the trace is kept at its finest: the
// longest window of the chart that is not the whole. nearLines bounds what that
// may cost a seek.
const (
	nearSpan  = 62 * time.Second
	nearLines = 300_000
)
