package sim

import (
	"context"
	"errors"
	"time"

	"draghand/internal/feed"
)

// SimFeed is a Sim as a source of bytes, paced by the wall clock: the feed of
// "sim:". At a speed other than 1 the simulated time runs so many times faster,
// and Chunk.At is the start plus the simulated time, so that whoever reckons
// with it sees the rig's own pace, not that of the hurried wall clock.
type SimFeed struct {
	sim   *Sim
	speed float64

	// of a sitting; see NewSitting
	next    func(n int) (*Sim, error)
	begin   chan struct{}
	bars    int      // pulled so far
	waiting *Options // of the rig that idles before the first bar

	taken chan struct{} // that a point of Steps was taken; nil: none are waited for
}

var _ feed.Feed = (*SimFeed)(nil)

// grain is how much simulated time one chunk may span.
const grain = time.Millisecond

// errUnplugged is why the source of the fault "unplug" is lost.
var errUnplugged = errors.New("simulated: the board was unplugged")

// NewFeed makes a feed of a Sim that nobody else uses. A speed of 0 or less is
// as fast as it is read, which is for tests and files, not for a live pull.
func NewFeed(s *Sim, speed float64) *SimFeed {
	f := &SimFeed{sim: s, speed: speed}
	if s.opt.Wait {
		f.taken = make(chan struct{}, 1)
	}
	return f
}

// Taken tells the simulated person that a calibration point was taken, so that he
// goes on to the next load where he waits for that. It may be called from any
// goroutine.
func (f *SimFeed) Taken() {
	select {
	case f.taken <- struct{}{}:
	default: // nil, or told already
	}
}

// Name is "sim:".
func (f *SimFeed) Name() string { return "sim:" }

// Sim is the simulated rig behind the feed; only its Options and Truth may be
// asked while the feed runs.
func (f *SimFeed) Sim() *Sim { return f.sim }

// Run feeds the pull and idles on after the break until ctx is done.
func (f *SimFeed) Run(ctx context.Context, out func(feed.Chunk)) error {
	start := time.Now()
	pace := Pacer{Start: start, Speed: f.speed}
	var shift time.Duration // when the bar in work was put in
	at := func(t time.Duration) time.Time { return start.Add(shift + t) }
	out(feed.Chunk{Kind: feed.Opened, At: start})

	// Above 1 kHz a chunk is waited for until it is full, not woken for each line.
	hold := max(0, grain-f.sim.Period())

	buf := make([]byte, 0, 4096)
	smp, ok := f.sim.Next()
	for ok {
		if !pace.Wait(ctx, shift+smp.T+hold) {
			return nil
		}
		select {
		case <-f.taken:
			f.sim.Taken()
		default:
		}
		if f.turn(smp.T) {
			shift += smp.T
			smp, ok = f.sim.Next()
			continue
		}
		if smp.Unplug {
			out(feed.Chunk{Kind: feed.Lost, At: at(smp.T), Err: errUnplugged})
			smp, ok = f.sim.Next()
			if !pace.Wait(ctx, shift+smp.T) {
				return nil
			}
			out(feed.Chunk{Kind: feed.Back, At: at(smp.T)})
			continue
		}
		// One chunk takes the readings of one grain that are due, and bears the
		// time of the last of them.
		buf = buf[:0]
		first, last := smp.T, smp.T
		for ok && !smp.Unplug && smp.T-first < grain && pace.Due(shift+smp.T) {
			buf = f.sim.AppendLine(buf, smp)
			last = smp.T
			smp, ok = f.sim.Next()
		}
		if len(buf) == 0 { // the wait ended a hair before the reading was due
			continue
		}
		out(feed.Chunk{Kind: feed.Data, At: at(last), Data: buf})
	}
	out(feed.Chunk{Kind: feed.End, At: at(smp.T)})
	return nil
}

// Pacer holds simulated time to the wall clock.
type Pacer struct {
	Start time.Time
	Speed float64 // simulated over real; 0 or less: no holding

	timer *time.Timer
}

// Due says whether a simulated time has come.
func (p *Pacer) Due(t time.Duration) bool { return p.Left(t) <= 0 }

// Left is the real time until a simulated one.
func (p *Pacer) Left(t time.Duration) time.Duration {
	if p.Speed <= 0 {
		return 0
	}
	return time.Until(p.Start.Add(time.Duration(float64(t) / p.Speed)))
}

// Wait waits for a simulated time; false where ctx is done first.
func (p *Pacer) Wait(ctx context.Context, t time.Duration) bool { return p.Sleep(ctx, p.Left(t)) }

// Sleep waits d of real time; false where ctx is done first.
func (p *Pacer) Sleep(ctx context.Context, d time.Duration) bool {
	if d <= 0 {
		return ctx.Err() == nil
	}
	if p.timer == nil {
		p.timer = time.NewTimer(d)
	} else {
		p.timer.Reset(d)
	}
	select {
	case <-ctx.Done():
		p.timer.Stop()
		return false
	case <-p.timer.C:
		return true
	}
}
