package record

import (
	"fmt"
	"time"
)

// run starts the two goroutines of a target; stop ends them.
func (w *Writer) run(tg *target) {
	tg.done.Go(func() { w.flushLoop(tg) })
	tg.done.Go(func() { w.syncLoop(tg) })
}

// flushLoop hands lines to the kernel: the first at once, then at most every
// FlushEvery, so that a thousand readings a second cost fifty writes.
func (w *Writer) flushLoop(tg *target) {
	beat := time.NewTimer(w.opt.FlushEvery)
	defer beat.Stop()
	for {
		select {
		case <-tg.quit:
			return
		case <-tg.kick:
		}
		w.flush(tg)
		beat.Reset(w.opt.FlushEvery)
		select {
		case <-tg.quit:
			return
		case <-beat.C:
		}
	}
}

// syncLoop syncs every SyncEvery and when asked.
func (w *Writer) syncLoop(tg *target) {
	beat := time.NewTicker(w.opt.SyncEvery)
	defer beat.Stop()
	for {
		select {
		case <-tg.quit:
			return
		case <-beat.C:
		case <-tg.now:
		}
		w.sync(tg)
	}
}

// flush writes what is in memory and not in the file yet. After a failure it
// does nothing: the file ends where it ends, the memory has the rest.
func (w *Writer) flush(tg *target) {
	tg.io.Lock()
	defer tg.io.Unlock()
	for {
		w.mu.Lock()
		var b []byte
		if w.tg == tg && tg.err == nil {
			b = w.log.from(tg.written)
		}
		w.mu.Unlock()
		if len(b) == 0 {
			return
		}
		n, err := tg.write(b)
		w.mu.Lock()
		tg.written += n
		w.fail(tg, err)
		w.mu.Unlock()
		if err != nil {
			return
		}
	}
}

// sync writes what is in memory, syncs the file, and lets go of the memory
// that is on disk now. One that comes to an end after SaveElsewhere has moved
// the writer to another folder changes nothing there.
func (w *Writer) sync(tg *target) {
	tg.syncing.Lock()
	defer tg.syncing.Unlock()
	w.flush(tg)

	tg.io.Lock()
	w.mu.Lock()
	off, crc := tg.written, tg.crc
	idle := w.tg != tg || tg.err != nil || off == tg.synced
	if !idle {
		if w.inflight.IsZero() {
			w.inflight = w.pending
		}
		w.pending = time.Time{}
		if off < w.log.end { // lines came since the flush: a few µs old
			w.pending = time.Now()
		}
	}
	w.mu.Unlock()
	tg.io.Unlock()
	if idle {
		return
	}

	err := tg.prove(off, crc)
	w.mu.Lock()
	defer w.mu.Unlock()
	w.fail(tg, err)
	if err != nil {
		return
	}
	tg.synced, tg.syncedCRC = off, crc
	if w.tg == tg {
		w.inflight = time.Time{}
		w.log.release(off)
	}
}

// fail keeps the first failure of a target. The caller holds w.mu.
func (w *Writer) fail(tg *target, err error) {
	if err != nil && tg.err == nil {
		tg.err = fmt.Errorf("save to %q: %w", tg.dir, err)
	}
}
