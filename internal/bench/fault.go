package bench

import (
	"context"
	"fmt"
	"path/filepath"
	"runtime"
	"strings"

	"draghand/internal/watch"
)

// caught is deferred on each goroutine of the bench's own: a fault there ends Run,
// with an error, and not the program under a screen. It must be the deferred
// function itself.
func (b *Bench) caught() {
	if p := recover(); p != nil {
		b.broke(p)
	}
}

// broke notes the first fault and wakes Run.
func (b *Bench) broke(p any) {
	where := faultPlace()
	b.breaks.Do(func() {
		b.fault = fmt.Errorf("fault in the program: %v%s", p, where)
		close(b.broken)
	})
}

// faulted is the fault, once there was one.
func (b *Bench) faulted() error {
	select {
	case <-b.broken:
		return b.fault
	default:
		return nil
	}
}

// faultPlace is where the panic was that is being recovered; empty: nobody knows.
func faultPlace() string {
	pcs := make([]uintptr, 32)
	frames := runtime.CallersFrames(pcs[:runtime.Callers(2, pcs)])
	for panicked := false; ; {
		f, more := frames.Next()
		inRuntime := strings.HasPrefix(f.Function, "runtime.")
		if panicked && !inRuntime {
			return fmt.Sprintf(" (%s:%d)", filepath.Base(f.File), f.Line)
		}
		panicked = panicked || inRuntime
		if !more {
			return ""
		}
	}
}

// tended is tend; a fault in it is noted.
func (b *Bench) tended() {
	defer b.caught()
	b.tend()
}

// close puts everything away, whatever is wrong with the bench, and gives the
// fault, if there was one.
func (b *Bench) close(byPerson bool) error {
	func() {
		defer b.caught()
		if b.faulted() != nil {
			if w := b.Running(); w != nil {
				w.DropTrip("fault in the program")
			}
		}
		b.putAway(byPerson)
	}()
	return b.faulted()
}

// carry runs a pull and takes what came of it.
func (b *Bench) carry(ctx context.Context, p *running) {
	var res watch.Result
	defer func() {
		if v := recover(); v != nil {
			b.broke(v)
			p.w.DropTrip("fault in the program")
			b.leave(p, res)
		}
	}()
	res = p.w.Run(ctx)
	b.finish(p, res)
}

// leave gives a pull up whose end failed. Where its record was closed it is whole.
func (b *Bench) leave(p *running, res watch.Result) {
	dir := p.w.Snapshot().Record.Path
	e := &Ended{Bar: p.setup.Bar, Record: dir, Reason: res.Reason, Override: p.reason}
	if dir != "" {
		e.Name = filepath.Base(dir)
	}
	if res.Save != nil || res.Record == "" {
		e.Saved = "NOT SAVED whole: what there is of it stands in " + tidy(dir)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if n := len(b.bars); n == 0 || b.bars[n-1].Record != e.Name {
		b.bars = append(b.bars, Bar{Record: e.Name, Saved: e.Saved, Specimen: e.Bar.ID, Melt: e.Bar.Melt, Outcome: res.Reason})
	}
	b.result, b.ended, b.running = res, e, nil
	b.changed()
}

// locked does something with mu held, which is free again whatever happens.
func (b *Bench) locked(do func()) {
	b.mu.Lock()
	defer b.mu.Unlock()
	do()
}
