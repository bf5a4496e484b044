package record

import (
	"encoding/hex"
	"errors"
	"fmt"
	"path/filepath"
	"time"
)

// closeWithin is how long Close waits for the disk: longer than a stick takes
// to write out what it was given, short enough for a person who watches.
const closeWithin = 10 * time.Second

// ErrNoAnswer says that a disk did not answer in time.
var ErrNoAnswer = errors.New("the disk does not answer")

// Close ends the record: everything is written, synced and summed, then the
// closing goes into pull.json with the SHA-256 of samples.csv, and the lock is
// given back. Lines that come later are not taken.
//
// It returns every error. Where the readings could not be saved, pull.json is
// left without a closing and the readings stay in memory: SaveElsewhere then
// writes and closes the whole record in another folder.
//
// It waits for the disk, but no longer than Options.CloseWithin: then the error
// is ErrNoAnswer, and the closing goes on behind it should the disk come back.
// Whoever has time calls Close again, which waits as long once more and keeps
// the first closing; whoever has not, SaveElsewhere.
func (w *Writer) Close(c Closing) error {
	w.mu.Lock()
	if !w.stopped {
		w.tellBad(w.last, "")
		w.stopped = true
		w.closing = &c
	}
	dir := w.tg.dir
	w.mu.Unlock()
	limit := time.NewTimer(w.opt.CloseWithin)
	defer limit.Stop()
	select {
	case w.moving <- struct{}{}:
		defer w.moved()
	case <-limit.C:
		return fmt.Errorf("close %q: %w after %v: the record is being saved elsewhere; wait, or try another folder", dir, ErrNoAnswer, w.opt.CloseWithin)
	}
	return w.finish(limit.C)
}

// moved ends a Close, a SaveElsewhere or an Abandon.
func (w *Writer) moved() { <-w.moving }

// finish closes the present target, and waits for that until the limit. The
// caller holds w.moving.
func (w *Writer) finish(limit <-chan time.Time) error {
	w.mu.Lock()
	tg := w.tg                       // changes under w.moving only
	if w.closed && tg.ended == nil { // abandoned
		w.mu.Unlock()
		return nil
	}
	if tg.ended == nil {
		tg.ended = make(chan struct{})
		close(tg.quit)
		go w.end(tg)
	}
	w.mu.Unlock()
	select {
	case <-tg.ended:
	case <-limit:
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if !tg.over {
		tg.late = fmt.Errorf("close %q: %w: after %v, %d of %d bytes are known to be on it; close the record again to wait longer, or save it elsewhere",
			tg.dir, ErrNoAnswer, w.opt.CloseWithin, tg.synced, w.log.end)
		return tg.late
	}
	return tg.result
}

// end carries a target to its end, on a goroutine of its own that a dead disk
// may keep for ever. From here on the files are its own; the rest it touches
// under w.mu, and only while the writer is still at this target.
func (w *Writer) end(tg *target) {
	defer close(tg.ended)
	tg.done.Wait()
	w.sync(tg)
	err, whole := w.seal(tg)
	if cerr := tg.close(); cerr != nil {
		err, whole = errors.Join(err, fmt.Errorf("close the record: %w", cerr)), false
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	tg.over, tg.late, tg.result = true, nil, err
	switch {
	case !whole:
		tg.err = err
	case w.tg == tg:
		w.closed = true
	}
}

// seal writes the closing of a target that is synced as far as it will be. It
// says whether the record is whole; lines that were dropped are an error and no
// reason to leave the rest unclosed, since the record says where they are
// missing. Where the writer has moved on, the record stays as it is.
func (w *Writer) seal(tg *target) (err error, whole bool) {
	var errs []error
	if err := tg.sum.Sync(); err != nil {
		errs = append(errs, fmt.Errorf("sync %s: %w", SumFile, err))
	}
	w.mu.Lock()
	switch {
	case w.tg != tg:
		w.mu.Unlock()
		return nil, false
	case tg.err != nil:
		errs = append(errs, tg.err)
	}
	if len(errs) == 0 && w.dropped > 0 {
		err = fmt.Errorf("%d lines are missing in %q: the disk took no data and the memory was full", w.dropped, tg.dir)
	}
	h, c := w.head, *w.closing
	c.SamplesBytes, c.SamplesLines = tg.written, w.lines
	w.mu.Unlock()
	if len(errs) > 0 {
		return errors.Join(errs...), false
	}
	c.SamplesSHA256 = hex.EncodeToString(tg.sha.Sum(nil))
	h.Closing = &c
	if serr := w.saveHead(tg, h); serr != nil {
		return errors.Join(err, fmt.Errorf("close the record: %w", serr)), false
	}
	w.leaveOverview(tg, &c)
	return err, true
}

func (w *Writer) saveHead(tg *target, h Head) error {
	text, err := encodeHead(h)
	if err != nil {
		return err
	}
	return replace(tg.fs, filepath.Join(tg.dir, HeadFile), text)
}
