package replay

import (
	"slices"
	"time"

	"draghand/internal/pull"
)

// player is the position and what moves it.
type player struct {
	blank       pull.State // where nothing is known of the position yet
	first       pull.State // in which the pull was closed
	fromClosing bool       // there is that, and it is to be shown

	cur    *cursor // nil before the first landing
	at     time.Duration
	length time.Duration

	pending bool
	want    target

	playing bool
	speed   float64
	last    time.Time // of the newest beat
	note    string
	buf     forces
}

// beat is how often a playing position moves: twice a frame.
const beat = 15 * time.Millisecond

// mostSteps bounds the lines of one beat. What is faster than that plays slower
// than asked for.
const mostSteps = 200_000

// lead is how long before the load playing begins.
const lead = time.Second

type targetKind uint8

const (
	toTime targetKind = iota
	toLine
	toLoad
	toPeak
	toBreak
	toAlarm
	toEnd
)

// target is a position that is wished for.
type target struct {
	kind targetKind
	t    time.Duration // of toTime; of toAlarm: after it
	line int           // of toLine
}

// run moves the position until Close.
func (r *Replay) run() {
	defer func() {
		if r.cur != nil {
			r.cur.close()
		}
	}()
	tick := time.NewTicker(beat)
	defer tick.Stop()
	for {
		var beats <-chan time.Time
		if r.playing {
			beats = tick.C
		}
		select {
		case <-r.quit:
			return
		case w := <-r.wishes:
			r.wish(w)
		case <-r.progress:
		case now := <-beats:
			r.advance(now)
		}
		if r.pending {
			r.land()
		}
		r.publish()
	}
}

// wish takes a wish.
func (r *Replay) wish(w Transport) {
	r.note = ""
	switch w.Do {
	case PlayPause:
		r.playing = !r.playing
		r.last = time.Now()
		if r.playing && r.at >= r.length {
			r.seek(target{kind: toLoad})
		}
	case Step:
		r.playing = false
		if r.cur != nil && !r.pending {
			r.seek(target{kind: toLine, line: max(0, r.cur.line+int(min(max(w.By, -1e9), 1e9)))})
		}
	case SeekTo:
		r.seek(target{kind: toTime, t: min(max(0, w.To), r.length)})
	case SeekBy:
		by := min(max(w.To, -r.length), r.length)
		r.seek(target{kind: toTime, t: min(max(0, r.at+by), r.length)})
	case SeekStart:
		r.seek(target{kind: toTime})
	case SeekPeak:
		r.seek(target{kind: toPeak})
	case SeekBreak:
		r.seek(target{kind: toBreak})
	case SeekNextAlarm:
		r.seek(target{kind: toAlarm, t: r.at})
	case SeekEnd:
		r.playing = false
		r.seek(target{kind: toEnd})
	case Faster:
		if w.By > 0 {
			r.speed = bound(r.speed * w.By)
		}
	}
}

func (r *Replay) seek(t target) { r.pending, r.want = true, t }

// land goes to the target, once the pass has come far enough to know where it is.
func (r *Replay) land() {
	r.mu.Lock()
	p := &r.pass
	through, known, lines := p.through, p.known, p.lines
	peak, brk, loaded := p.peak, p.brk, p.loaded
	alarm, again := time.Duration(-1), ""
	if i := slices.IndexFunc(p.alarms, func(t time.Duration) bool { return t > r.want.t }); i >= 0 {
		alarm = p.alarms[i]
	} else if through && len(p.alarms) > 0 {
		alarm, again = p.alarms[0], "the first alarm again: none came after"
	}
	r.mu.Unlock()
	if through {
		r.length = known
	}
	w := r.want
	moment := func(t time.Duration, none string) {
		switch {
		case t >= 0:
			w = target{kind: toTime, t: t}
		case through:
			r.pending, r.note = false, none
		}
	}
	switch w.kind {
	case toPeak:
		moment(peak, "no reading moved the drag hand")
	case toBreak:
		moment(brk, "no break was seen")
	case toAlarm:
		moment(alarm, "no alarm was raised")
		if w.kind == toTime {
			r.note = again
		}
	case toLoad:
		if loaded > 0 || through {
			w = target{kind: toTime, t: max(0, loaded-lead)}
		}
	case toEnd:
		if through {
			w = target{kind: toLine, line: lines}
		} else {
			r.at = r.length
		}
	}
	switch {
	case !r.pending:
	case w.kind == toTime:
		if r.at = min(w.t, r.length); through || r.at < known {
			r.goTo(-1, r.at)
			r.pending = false
		}
	case w.kind == toLine && (through || w.line <= lines):
		r.goTo(min(w.line, lines), 0)
		r.at = r.cur.t
		r.pending = false
	}
	if !r.pending {
		r.last = time.Now()
	}
}

// goTo brings the cursor behind a line, or where line is negative behind all lines
// of a time.
func (r *Replay) goTo(line int, t time.Duration) {
	if line >= 0 {
		t = r.timeNear(line)
	}
	c := r.before(line, t)
	ahead := r.cur != nil && (line >= 0 && r.cur.line <= line || line < 0 && r.cur.t <= t)
	if !ahead || c.line > r.cur.line+nearLines {
		if r.cur != nil {
			r.cur.close()
		}
		r.cur = from(r.rec, c)
		r.traceMu.Lock()
		r.near.Reset()
		r.nearFrom, r.nearTo = c.t, c.t
		r.traceMu.Unlock()
	}
	r.forward(line, t, -1)
	if line >= 0 {
		t = r.cur.t
	}
	r.traceMu.Lock()
	r.nearTo = t
	r.traceMu.Unlock()
}

// timeNear is about when a line is, never after it.
func (r *Replay) timeNear(line int) (t time.Duration) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, c := range r.pass.points {
		if c.line > line {
			break
		}
		t = c.t
	}
	return t
}

// forward takes lines until a line, or where line is negative all of a time, most
// of them if that is not negative. It says whether it came there.
func (r *Replay) forward(line int, t time.Duration, most int) bool {
	c := r.cur
	got := &r.buf
	for n := 0; ; n++ {
		next, ok := c.peek()
		if !ok || line >= 0 && c.line >= line || line < 0 && next.T > t {
			r.draw(got)
			return true
		}
		if n == most {
			r.draw(got)
			return false
		}
		c.step()
		if s := c.e.Live(); s.Seen && s.T == c.t && c.took.Mark == pull.NoMark {
			got.t[got.n], got.f[got.n] = s.T, float64(s.Specimen)
			if got.n++; got.n == batch {
				r.draw(got)
			}
		}
	}
}

// draw puts forces into the trace of the position.
func (r *Replay) draw(got *forces) {
	r.traceMu.Lock()
	defer r.traceMu.Unlock()
	for i := range got.n {
		r.near.Add(got.t[i], got.f[i])
	}
	got.n = 0
}

// advance plays on to a moment.
func (r *Replay) advance(now time.Time) {
	dt := now.Sub(r.last)
	r.last = now
	if r.pending || r.cur == nil || dt <= 0 {
		return
	}
	r.at += time.Duration(float64(dt) * r.speed)
	if !r.forward(-1, r.at, mostSteps) {
		r.at = r.cur.t
	}
	if _, more := r.cur.peek(); !more || r.at >= r.length && r.known() {
		r.at, r.playing = max(r.cur.t, min(r.at, r.length)), false
		r.length = max(r.length, r.at)
	}
	r.traceMu.Lock()
	r.nearTo = r.at
	r.traceMu.Unlock()
}

// known says that the pass is through.
func (r *Replay) known() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.pass.through
}
