package bench

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/watch"
)

// preRoll is how much of what came before arming belongs to the pull at the most:
// a zero takes zeroSpan of quiet, so that none has to be waited for after it.
const (
	preRoll  = 3 * time.Second
	zeroSpan = 2 * time.Second
)

// closeAnyway is how long a pull may take to end when the bench is closed, before
// it is cut short.
const closeAnyway = 2 * time.Second

// running is a pull under way.
type running struct {
	w       *watch.Watch
	setup   Setup
	reason  string // it was armed for against a refusal
	cancel  context.CancelFunc
	done    chan struct{} // its record is closed and Ended made
	refused []string
}

// Refused is why a pull was not armed.
type Refused struct {
	Refusals []Refusal
	Unseen   []string // those of them that a reason was not about, since it came before them
}

func (r *Refused) Error() string {
	if len(r.Unseen) > 0 {
		return "not armed: new since the reason was asked for: " + strings.Join(r.Unseen, "; ")
	}
	var what []string
	for _, one := range r.Refusals {
		what = append(what, one.What)
	}
	return "not armed: " + strings.Join(what, "; ")
}

// Next is what to do about the weightiest.
func (r *Refused) Next() string {
	if len(r.Refusals) == 0 {
		return ""
	}
	return r.Refusals[0].Next
}

// Arm begins a pull on the open source, with the last seconds before it, and
// gives its watch, which runs on whatever becomes of the caller. What is not
// final is overruled by a reason, which is kept in the record, where it stands in
// shown too: the view that the person gave the reason for. Without a reason, or
// where something is final or new since then, the error is a *Refused and nothing
// has changed. nil shows nothing.
func (b *Bench) Arm(reason string, shown *View) (w *watch.Watch, err error) {
	if err := b.faulted(); err != nil {
		return nil, err
	}
	defer func() {
		if p := recover(); p != nil {
			b.broke(p)
			w, err = nil, b.faulted()
		}
	}()
	reason = tidy(reason)
	b.work.Lock()
	defer b.work.Unlock()
	shelfErr := writable(b.o.Shelf)
	if b.Running() == nil {
		b.tendPulled(true)
		b.tendRig(true) // a pull is judged by the file as it is
	}
	var (
		m      *moment
		ctx    context.Context
		asRead *rig.Rig // m.rig has the bar on its side
	)
	b.locked(func() {
		b.shelfErr = shelfErr
		b.changed()
		m, ctx, asRead = b.moment(b.snapshot()), b.ctx, b.form.rig
	})

	refusals := m.refusals()
	var overruled []string
	for _, r := range refusals {
		if r.Final || reason == "" {
			return nil, &Refused{Refusals: refusals}
		}
		overruled = append(overruled, r.What)
	}
	if unseen := m.unseen(refusals, shown); len(unseen) > 0 {
		return nil, &Refused{Refusals: refusals, Unseen: unseen}
	}
	if len(overruled) == 0 {
		reason = ""
	}
	setup := m.setup
	setup.Bar.Simulated = b.src.simulated
	before := m.preRoll()
	w, err = watch.New(watch.Options{
		Feed: b.src.standing.AttachFrom(before), Before: before, Rig: m.rig, Kind: setup.Kind, Specimen: setup.Bar, Proof: setup.Proof,
		Shelf: b.o.Shelf, Version: b.o.Version, LastZero: m.zeroForPull(), ZeroReturn: true, Listen: b.listen,
		Trip: b.src.trip, Arming: arming(m.points, overruled, reason),
	})
	if err != nil {
		return nil, fmt.Errorf("the pull could not be begun: %w", err)
	}
	b.locked(func() {
		if m.look != nil && m.look.State.Zero.Set && b.form.rig == asRead {
			b.trustZero(m.look, true)
		}
	})
	b.stopLook()
	if b.o.Armed != nil {
		b.o.Armed(setup)
	}
	ctx, cancel := context.WithCancel(ctx)
	p := &running{w: w, setup: setup, reason: reason, cancel: cancel, done: make(chan struct{}), refused: overruled}
	b.mu.Lock()
	b.running, b.ended, b.loadSeen = p, nil, nil
	b.changed()
	b.mu.Unlock()
	go func() {
		defer close(p.done)
		defer cancel()
		b.carry(ctx, p)
	}()
	return w, nil
}

// preRoll reaches back no farther than the readings that the look's zero was taken
// from: what was let off before them is no part of this pull.
func (m *moment) preRoll() time.Duration {
	s := &m.look.State
	if !s.Zero.Set {
		return 0
	}
	return max(0, min(preRoll, s.T-s.Zero.T+zeroSpan))
}

// zeroForPull is the last zero that the engine is given: that of the pull before
// on this rig, but where the person let one pass that lies farther off, that one.
func (m *moment) zeroForPull() *float64 {
	s := &m.look.State
	_, moved := m.zeroMoved(s)
	if s.Zero.Set && (m.lastZero == nil || moved) {
		raw := s.Zero.Raw
		return &raw
	}
	return m.lastZero
}

// arming is what the record keeps of the bench.
func arming(points []Point, overruled []string, reason string) *record.Arming {
	a := &record.Arming{Confirmed: []record.SetupPoint{}, Unconfirmed: []record.SetupPoint{}, Overruled: append([]string{}, overruled...), Reason: reason}
	for _, p := range points {
		one := record.SetupPoint{ID: string(p.ID), Text: p.Text}
		if p.Done {
			a.Confirmed = append(a.Confirmed, one)
		} else {
			a.Unconfirmed = append(a.Unconfirmed, one)
		}
	}
	return a
}

// Running is the watch of the pull under way; nil where there is none.
func (b *Bench) Running() *watch.Watch {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.running == nil {
		return nil
	}
	return b.running.w
}

// putAway ends everything. byPerson says that it was asked for.
func (b *Bench) putAway(byPerson bool) {
	b.work.Lock()
	defer b.work.Unlock()
	b.mu.Lock()
	p := b.running
	b.changed()
	b.mu.Unlock()
	if p != nil {
		if byPerson {
			p.w.Do(watch.EndPull)
			select {
			case <-p.done:
			case <-time.After(closeAnyway):
			}
		}
		p.cancel()
		<-p.done
	}
	b.stopLook()
	b.stopSource()
}

// errNoPull refuses a remark that no record would keep.
var errNoPull = errors.New("no pull has been recorded yet: there is nothing to add a remark to")
