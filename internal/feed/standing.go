package feed

import (
	"context"
	"fmt"
	"sync"
	"time"
)

// Beginner is a feed that likes to know when a pull begins; only the simulated
// rig minds. Begin may be called from any goroutine while the feed runs, and more
// than once.
type Beginner interface{ Begin() }

// Taker is a feed that likes to know when a calibration point was taken; only the
// simulated rig minds. Taken may be called from any goroutine while the feed runs.
type Taker interface{ Taken() }

// Standing keeps one source open for a whole sitting, while those who take its
// bytes come and go: opening a port anew would reset many a board. What comes
// while nobody is attached is dropped, but for the last few seconds. It is for
// sources that send by themselves; a file would run through with nobody there.
//
// Its methods may be called from any goroutine.
type Standing struct {
	f    Feed
	turn chan struct{} // holds one element while somebody is attached
	over chan struct{} // closed when the source has ended, err is set before

	mu     sync.Mutex
	kept   kept
	skew   time.Duration // how far the times of arrival run ahead of the clock on the wall
	opened *Chunk        // as the source said; nil until then
	lost   *Chunk        // while it is away
	end    *Chunk        // once it has no more bytes
	now    *receiver     // who is attached
	err    error
}

// NewStanding is a source to be kept open. Nothing is opened before Run.
func NewStanding(f Feed) *Standing {
	return &Standing{f: f, turn: make(chan struct{}, 1), over: make(chan struct{})}
}

// Run opens the source and holds it open until it ends, is lost for good or ctx
// is done, with the error of the feed. It is called once. When it returns, every
// attached Run has been told or is about to return.
func (s *Standing) Run(ctx context.Context) (err error) {
	defer func() {
		s.mu.Lock()
		if s.err = err; err == nil && s.end == nil {
			s.err = closedError(s.f.Name()) // for those who are still attached, or come later
		}
		s.mu.Unlock()
		close(s.over)
	}()
	defer caught(s.f.Name(), &err)
	return s.f.Run(ctx, s.take)
}

func closedError(name string) error {
	return &Error{What: fmt.Sprintf("the source %q is closed", name), Hint: "open it again", kind: ErrSource}
}

// Attach gives a feed of the source as it is from then on. Its Run waits until
// whoever is attached now has ended, tells Opened, Torn and Joined where the
// source was open before, and then what comes. Its end does not close the source.
// Where the source fails, its Run gives the source's error.
func (s *Standing) Attach() Feed { return &attached{s: s} }

// AttachFrom is like Attach, for a pull: it first gives what came within the time
// before, up to 5 s and 1 MB of it and not across a loss of the source, with its
// own times of arrival, and then goes on without a byte lost or doubled. The
// source is told that a pull begins, if it is a Beginner.
func (s *Standing) AttachFrom(before time.Duration) Feed {
	return &attached{s: s, before: max(0, before), pull: true}
}

// take is called by the source with each of its chunks.
func (s *Standing) take(c Chunk) {
	s.mu.Lock()
	mine := c
	switch c.Kind {
	case Opened, Back:
		s.opened, s.lost = &mine, nil
		s.kept.restart(c.Torn)
	case Lost:
		s.lost = &mine
		s.kept.restart(true)
	case End:
		s.end = &mine
	case Data:
		mine = s.kept.add(c)
		s.skew = time.Until(c.At)
	}
	r := s.now
	live := r == nil || r.live
	if !live {
		r.push(mine)
		for r.waiting > mostWaiting && s.now == r && !r.live {
			r.room.Wait()
		}
	}
	s.mu.Unlock()
	if r != nil && live {
		r.give(c)
	}
}

// mostWaiting is how many bytes may wait for a receiver that is still at what came
// before it; past that the source waits for it, as it does for every receiver.
const mostWaiting = 4 << 20

// receiver is who is attached. Until it is live its own goroutine gives it the
// chunks in its queue, after that the source's does.
type receiver struct {
	room *sync.Cond // of the Standing's mutex: the queue was taken, or it is gone

	// under the Standing's mutex
	live    bool
	queue   []Chunk
	waiting int

	calling sync.Mutex // held during a call of out
	out     func(Chunk)
	gone    bool
}

func (r *receiver) push(c Chunk) {
	r.queue = append(r.queue, c)
	r.waiting += cost(c)
}

func (r *receiver) give(c Chunk) {
	r.calling.Lock()
	defer r.calling.Unlock()
	if !r.gone {
		r.out(c)
	}
}

// attached is the feed of one who comes and goes.
type attached struct {
	s      *Standing
	before time.Duration
	pull   bool
}

// Name is that of the source.
func (a *attached) Name() string { return a.s.f.Name() }

// Run is as Feed wants it, but that out is called from two goroutines, one after
// the other.
func (a *attached) Run(ctx context.Context, out func(Chunk)) error {
	s := a.s
	select {
	case <-ctx.Done():
		return nil
	case s.turn <- struct{}{}:
	}
	defer func() { <-s.turn }()
	r := &receiver{out: out, room: sync.NewCond(&s.mu)}
	s.join(r, a)
	defer s.leave(r)
	if b, ok := s.f.(Beginner); ok && a.pull {
		b.Begin()
	}
	for s.catchUp(ctx, r) {
	}
	select {
	case <-ctx.Done():
		return nil
	case <-s.over:
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if ctx.Err() != nil || s.end != nil {
		return nil
	}
	return s.err
}

// join attaches a receiver and puts into its queue what it missed.
func (s *Standing) join(r *receiver, a *attached) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.now = r
	select {
	case <-s.over:
		if s.end == nil {
			return // Run tells why
		}
	default:
	}
	if s.opened == nil {
		return // it is told in time
	}
	opened := *s.opened
	opened.Kind, opened.At, opened.Torn, opened.Joined, opened.Note = Opened, time.Now().Add(s.skew), true, true, ""
	var missed []Chunk
	if a.pull {
		missed = s.kept.since(opened.At, a.before)
	}
	if opened.Missed = len(missed); len(missed) > 0 {
		opened.At = missed[0].At
	}
	r.push(opened)
	for _, c := range missed {
		r.push(c)
	}
	if s.lost != nil {
		r.push(*s.lost)
	}
	if s.end != nil {
		r.push(*s.end)
	}
}

// catchUp gives a receiver what is in its queue, without holding up the source;
// false once it is live, or ctx is done.
func (s *Standing) catchUp(ctx context.Context, r *receiver) bool {
	s.mu.Lock()
	batch := r.queue
	r.queue, r.waiting = nil, 0
	r.live = len(batch) == 0
	live := r.live
	r.room.Broadcast()
	s.mu.Unlock()
	for _, c := range batch {
		if ctx.Err() != nil {
			return false
		}
		r.give(c)
	}
	return !live
}

// leave detaches a receiver: out is not called any more when it returns.
func (s *Standing) leave(r *receiver) {
	r.calling.Lock()
	r.gone = true
	r.calling.Unlock()
	s.mu.Lock()
	s.now = nil
	r.room.Broadcast()
	s.mu.Unlock()
}
