//go:build linux || darwin || freebsd || openbsd

package ptylink

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"time"

	"draghand/internal/sim"
)

// Serve puts a pseudo-terminal at link and pulls one simulated bar for each
// reader that opens it, until ctx is done (nil) or something fails. next makes
// the pull of a number, from 0; a reader that leaves before the first stroke
// has used up none.
func Serve(ctx context.Context, link string, next func(pull int) (*sim.Sim, error), o Options) error {
	if o.Speed == 0 {
		o.Speed = 1
	}
	if !(o.Speed > 0) {
		return fmt.Errorf("simulated port at speed %g: the speed must be above 0", o.Speed)
	}
	s := &server{link: link, opt: o, log: newJournal(o.Log)}
	defer s.unplug()
	err := s.serve(ctx, next)
	s.log.flush()
	if s.log.err != nil {
		err = errors.Join(err, fmt.Errorf("the simulator's log cannot be written: %w", s.log.err))
	}
	return err
}

type server struct {
	link string
	opt  Options
	line *line
	log  *journal
}

// plug makes a fresh pseudo-terminal and turns the link to it.
func (s *server) plug() error {
	old := s.line
	l, err := openLine()
	if err != nil {
		return err
	}
	if err := l.place(s.link); err != nil {
		l.close()
		return err
	}
	s.line = l
	old.close()
	if s.opt.Ready != nil {
		s.opt.Ready(s.link)
	}
	return nil
}

// unplug takes link and pseudo-terminal away.
func (s *server) unplug() {
	if s.line != nil {
		s.line.remove(s.link)
		s.line.close()
		s.line = nil
	}
}

func (s *server) serve(ctx context.Context, next func(int) (*sim.Sim, error)) error {
	for pull := 0; ; {
		one, err := next(pull)
		if err != nil {
			return err
		}
		if s.line == nil {
			if err := s.plug(); err != nil {
				return err
			}
		}
		if !s.awaitReader(ctx) {
			return nil
		}
		p := pulling{server: s, sim: one, number: pull}
		if err := p.run(ctx); err != nil || ctx.Err() != nil || s.log.err != nil {
			return err
		}
		if p.begun {
			if s.opt.Once {
				return nil
			}
			pull++
		}
		// At once, before the next pull is worked out: a reader that comes back
		// in a hurry must not find the port of the last one.
		if err := s.plug(); err != nil {
			return err
		}
	}
}

// awaitReader waits until the link has been open for the settling time.
func (s *server) awaitReader(ctx context.Context) bool {
	var pace sim.Pacer
	var since time.Time
	for {
		now := time.Now()
		switch {
		case !s.line.opened():
			since = time.Time{}
		case since.IsZero():
			since = now
		case now.Sub(since) >= settle:
			s.line.discard()
			return true
		}
		s.log.tick(now)
		if !pace.Sleep(ctx, glance) {
			return false
		}
	}
}

// pulling is one pull on the wire.
type pulling struct {
	*server
	sim    *sim.Sim
	number int

	begun  bool // the first stroke was reached
	told   bool // the truth is in the log
	absent bool // after an unplugging: the reader has not come back yet
	since  time.Time

	buf     []byte    // from the beginning of the first line not yet out whole
	head    int       // bytes of buf already written
	lines   []outline // the lines in buf, in order
	sent    int
	dropped int
	lost    int // dropped since the last line put into buf
}

// outline is where a line lies in buf, past what the board sent before it.
type outline struct {
	smp       sim.Sample
	body, end int
	lost      int // lines dropped right before it
}

func (p *pulling) run(ctx context.Context) error {
	start := time.Now()
	pace := sim.Pacer{Start: start, Speed: p.opt.Speed}
	o := p.sim.Options()
	p.log.comment("start wall=%s pull=%d seed=%d rate_hz=%g speed=%g %s", start.Format(time.RFC3339Nano), p.number, o.Seed, o.Rate, p.opt.Speed, p.sim.Describe())
	defer p.close()
	p.greet()

	smp, ok := p.sim.Next()
	for ok {
		now := time.Now()
		if !p.present(now) {
			p.log.comment("reader gone t_s=%.6f", smp.T.Seconds())
			return nil
		}
		for n := 0; ok && !smp.Unplug && n < burst && pace.Due(smp.T); n++ {
			p.add(smp)
			smp, ok = p.sim.Next()
		}
		if err := p.write(); err != nil {
			return err
		}
		if p.log.tick(now); p.log.err != nil {
			return nil // Serve tells it
		}
		if smp.Unplug && pace.Due(smp.T) {
			if smp, ok = p.gone(ctx, smp, &pace); !ok {
				return nil
			}
			if err := p.plug(); err != nil {
				return err
			}
			continue
		}
		if !p.rest(ctx, &pace, smp.T) {
			return nil
		}
	}
	return nil
}

// rest sleeps until the next line is due, not longer than a nap and, where the
// lines come fast, not shorter than half a millisecond.
func (p *pulling) rest(ctx context.Context, pace *sim.Pacer, t time.Duration) bool {
	left := pace.Left(t)
	const least = 500 * time.Microsecond
	if fast := float64(p.sim.Period())/pace.Speed < float64(least); fast && left > 0 {
		left = max(left, least)
	}
	return pace.Sleep(ctx, min(left, nap))
}

// gone is the board unplugged: the port goes away, the pull goes on unseen.
func (p *pulling) gone(ctx context.Context, smp sim.Sample, pace *sim.Pacer) (sim.Sample, bool) {
	p.log.comment("%s t_s=%.6f", smp.Note, smp.T.Seconds())
	p.log.flush()
	p.forget()
	p.unplug()
	p.absent, p.since = true, time.Time{}
	smp, ok := p.sim.Next()
	return smp, ok && pace.Wait(ctx, smp.T)
}

// present says whether there is a reader, or one is still to come back.
func (p *pulling) present(now time.Time) bool {
	open := p.line.opened()
	if !p.absent {
		return open
	}
	switch {
	case !open:
		p.since = time.Time{}
	case p.since.IsZero():
		p.since = now
	case now.Sub(p.since) >= settle:
		p.absent = false
		p.line.discard()
		p.greet()
	}
	return true
}

// greet sends an empty line first. Whoever opens a port cannot know whether
// the first bytes begin a line, and discards through the first line end; this
// one costs no reading.
func (p *pulling) greet() {
	p.forget()
	p.buf = append(p.buf, '\n')
}

// forget drops what is still to be written.
func (p *pulling) forget() {
	p.drop(len(p.lines))
	p.buf, p.head, p.lines = p.buf[:0], 0, p.lines[:0]
}

// add puts the sample's line at the end of buf, or drops it where nobody reads
// or buf is full.
func (p *pulling) add(smp sim.Sample) {
	if smp.T >= p.sim.Options().Idle {
		p.begun = true
	}
	if smp.Note != "" {
		p.log.comment("%s t_s=%.6f", smp.Note, smp.T.Seconds())
	}
	if !p.told && smp.T >= p.sim.Truth().EndAt {
		p.told = true
		p.truth()
	}
	if p.absent || len(p.buf) >= backlog {
		p.drop(1)
		return
	}
	body := len(p.buf) + len(smp.Before)
	p.buf = p.sim.AppendLine(p.buf, smp)
	p.lines = append(p.lines, outline{smp: smp, body: body, end: len(p.buf), lost: p.lost})
	p.lost = 0
}

// write offers buf to the port and logs the lines that are now out whole. Of a
// line taken in part the rest stays first in buf, so no line is ever torn.
func (p *pulling) write() error {
	if p.head == len(p.buf) {
		return nil
	}
	n, err := p.line.write(p.buf[p.head:])
	if err != nil && p.line.opened() {
		return fmt.Errorf("the simulated port %s cannot be written: %w", p.line.name, err)
	}
	p.head += n
	out, cut := 0, 0
	for ; out < len(p.lines) && p.lines[out].end <= p.head; out++ {
		p.note(&p.lines[out])
		cut = p.lines[out].end
	}
	if cut == 0 {
		return nil
	}
	p.buf = p.buf[:copy(p.buf, p.buf[cut:])]
	p.lines = p.lines[:copy(p.lines, p.lines[out:])]
	for i := range p.lines {
		p.lines[i].body -= cut
		p.lines[i].end -= cut
	}
	p.head -= cut
	return nil
}

// note logs a line that went out whole.
func (p *pulling) note(l *outline) {
	if l.lost > 0 {
		p.log.comment("dropped lines=%d before t_s=%.6f", l.lost, l.smp.T.Seconds())
	}
	if l.smp.Before != "" {
		p.log.comment("sent before the next line: %q", l.smp.Before)
	}
	p.log.sent(&l.smp, bytes.TrimSuffix(p.buf[l.body:l.end], []byte{'\n'}))
	p.sent++
}

func (p *pulling) drop(n int) { p.dropped, p.lost = p.dropped+n, p.lost+n }

// truth logs the peak, the break and all else that happened.
func (p *pulling) truth() {
	t := p.sim.Truth()
	p.log.comment("peak t_s=%.6f specimen_n=%.3f ram_n=%.3f gauge_pa=%.1f", t.PeakAt.Seconds(), float64(t.PeakSpecimen), float64(t.PeakRam), float64(t.PeakGauge))
	if t.Outcome == sim.OutcomeBroken {
		p.log.comment("break t_s=%.6f specimen_n=%.3f fall_s=%.6f", t.BreakAt.Seconds(), float64(t.BreakForce), t.Fall.Seconds())
	} else {
		p.log.comment("outcome %s t_s=%.6f", t.Outcome, t.EndAt.Seconds())
	}
	for _, e := range t.Events {
		if e.Kind != sim.EventPeak && e.Kind != sim.EventBreak {
			p.log.comment("event %s from_s=%.6f to_s=%.6f from_n=%.3f to_n=%.3f %s", e.Kind, e.At.Seconds(), e.Until.Seconds(), float64(e.From), float64(e.To), e.Name)
		}
	}
}

func (p *pulling) close() {
	p.forget()
	p.log.comment("end pull=%d sent=%d dropped=%d", p.number, p.sent, p.dropped)
	p.log.flush()
}
