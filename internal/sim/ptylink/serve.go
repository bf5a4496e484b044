//go:build linux || darwin || freebsd || netbsd || openbsd

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
	told   bool // the break is in the log
	absent bool // after an unplugging: the reader has not come back yet
	since  time.Time

	buf     []byte    // bytes to write next
	lines   []outline // the lines in buf, in order
	sent    int
	dropped int
	lost    int // dropped since the last line that was sent
}

// outline is a line waiting to be written.
type outline struct {
	smp  sim.Sample
	body int // where its text begins in buf, past what the board sent before it; negative once cut
	end  int
	text []byte // of a line that was written in part
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
		for ok && !smp.Unplug && len(p.buf) < burst && pace.Due(smp.T) {
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
	p.drop(len(p.lines))
	p.buf, p.lines = p.buf[:0], p.lines[:0]
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
	p.buf = append(p.buf[:0], '\n')
	p.lines = p.lines[:0]
}

// add puts the sample's line at the end of buf.
func (p *pulling) add(smp sim.Sample) {
	if smp.T >= p.sim.Options().Idle {
		p.begun = true
	}
	if smp.Note != "" {
		p.log.comment("%s t_s=%.6f", smp.Note, smp.T.Seconds())
	}
	if smp.Broken && !p.told {
		p.told = true
		p.truth()
	}
	if p.absent {
		p.drop(1)
		return
	}
	body := len(p.buf) + len(smp.Before)
	p.buf = p.sim.AppendLine(p.buf, smp)
	p.lines = append(p.lines, outline{smp: smp, body: body, end: len(p.buf)})
}

// write offers buf to the port. What was taken whole is logged; of a line
// taken in part the rest stays for the next write; the others are dropped, as
// a board drops what its sender has no room for.
func (p *pulling) write() error {
	if len(p.buf) == 0 {
		return nil
	}
	n, err := p.line.write(p.buf)
	if err != nil && p.line.opened() {
		return fmt.Errorf("the simulated port %s cannot be written: %w", p.line.name, err)
	}
	i := 0
	for ; i < len(p.lines) && p.lines[i].end <= n; i++ {
		p.note(&p.lines[i])
	}
	if i == len(p.lines) {
		p.buf, p.lines = p.buf[:0], p.lines[:0]
		return nil
	}
	begin := 0
	if i > 0 {
		begin = p.lines[i-1].end
	}
	cut := p.lines[i]
	p.drop(len(p.lines) - i)
	p.lines = p.lines[:0]
	if n == begin && cut.text == nil {
		p.buf = p.buf[:0]
		return nil
	}
	p.uncount()
	if cut.text == nil {
		cut.text = bytes.Clone(p.buf[cut.body:cut.end])
	}
	rest := copy(p.buf, p.buf[n:cut.end])
	p.buf, cut.end = p.buf[:rest], rest
	p.lines = append(p.lines, cut)
	return nil
}

// note logs a line that went out whole.
func (p *pulling) note(l *outline) {
	if p.lost > 0 {
		p.log.comment("dropped lines=%d before t_s=%.6f", p.lost, l.smp.T.Seconds())
		p.lost = 0
	}
	text := l.text
	if text == nil {
		text = p.buf[l.body:l.end]
	}
	if l.smp.Before != "" {
		p.log.comment("sent before the next line: %q", l.smp.Before)
	}
	p.log.sent(&l.smp, bytes.TrimSuffix(text, []byte{'\n'}))
	p.sent++
}

func (p *pulling) drop(n int) { p.dropped, p.lost = p.dropped+n, p.lost+n }

// uncount takes back the one dropped line whose rest is still to be sent.
func (p *pulling) uncount() { p.dropped, p.lost = p.dropped-1, p.lost-1 }

// truth logs the peak and the break.
func (p *pulling) truth() {
	t := p.sim.Truth()
	p.log.comment("peak t_s=%.6f specimen_n=%.3f ram_n=%.3f gauge_pa=%.1f", t.PeakAt.Seconds(), float64(t.PeakSpecimen), float64(t.PeakRam), float64(t.PeakGauge))
	p.log.comment("break t_s=%.6f specimen_n=%.3f fall_s=%.6f", t.BreakAt.Seconds(), float64(t.BreakForce), t.Fall.Seconds())
}

func (p *pulling) close() {
	p.log.comment("end pull=%d sent=%d dropped=%d", p.number, p.sent, p.dropped)
	p.log.flush()
}
