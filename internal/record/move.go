package record

import (
	"bytes"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"path/filepath"
	"slices"
	"time"

	"draghand/internal/pull"
)

// SaveElsewhere moves the record to a new folder on another shelf, or the same
// one: what was written is read back, what is in memory follows, and the pull
// is recorded there from now on. After a Close that failed it closes the new
// record too. The old folder stays as it is, unfinished; one whose disk answers
// again in just this moment may come out whole as well.
//
// What cannot be read back, or keeps it waiting longer than Options.CloseWithin,
// is told in the new record by a remark and a mark; the error, if any, is about
// the new folder, and then the writer stays where it was. It waits for the new
// disk; Append goes on meanwhile.
func (w *Writer) SaveElsewhere(shelf string) error {
	w.moving <- struct{}{}
	defer w.moved()
	w.mu.Lock()
	if w.closed {
		w.mu.Unlock()
		return ErrWhole
	}
	w.log.held = true
	old := w.tg
	base, cause := w.log.base(), old.trouble()
	synced, crc := old.synced, old.syncedCRC
	w.mu.Unlock()

	h := w.head // changes under w.moving only
	why := "it was asked for"
	if cause != nil {
		why = cause.Error()
	}
	h.Remarks = append(slices.Clone(h.Remarks), fmt.Sprintf("moved here from %q: %s", old.dir, why))
	tg, c, err := w.begin(shelf, h, old, base, synced, crc)
	if err != nil {
		w.mu.Lock()
		w.log.held = false
		w.mu.Unlock()
		return fmt.Errorf("save the record elsewhere: %w", err)
	}
	if c.note != "" {
		h.Remarks = append(h.Remarks, c.note)
	}
	stopped, err := w.switchTo(tg, h, c, base)
	if err != nil {
		tg.discard()
		return err
	}
	w.run(tg)
	if stopped {
		limit := time.NewTimer(w.opt.CloseWithin)
		defer limit.Stop()
		return w.finish(limit.C)
	}
	w.sync(tg)
	w.mu.Lock()
	defer w.mu.Unlock()
	return tg.err
}

// ErrWhole is the answer of SaveElsewhere where the record is closed and whole
// in the folder it is in. After a Close that gave ErrNoAnswer that is good
// news: the disk came back, and there is nothing left to save.
var ErrWhole = errors.New("save the record elsewhere: it is closed and whole where it is")

// switchTo makes tg the writer's target, unless the old one has been closed in
// the meantime by a disk that came back. It says whether Close was called.
func (w *Writer) switchTo(tg *target, h Head, c copier, base int64) (stopped bool, err error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.log.held = false
	if w.closed {
		return w.stopped, ErrWhole
	}
	old := w.tg
	w.head = h
	w.over.lost = w.over.lost || c.note != ""
	w.lines = c.lines + w.log.lines()
	w.log.shift(tg.written - base)
	w.log.lend()
	w.tg = tg
	if old.ended == nil {
		close(old.quit)
		// It may hang in a dead disk: nobody waits for it. Its record stays
		// unfinished whatever comes of it.
		go func() {
			old.done.Wait()
			_ = old.close()
		}()
	}
	return w.stopped, nil
}

// begin makes the new folder and copies the start of the samples into it, up
// to base, where the memory goes on. The CRC is that of all before synced.
func (w *Writer) begin(shelf string, h Head, old *target, base, synced int64, crc uint32) (tg *target, c copier, err error) {
	tg, err = makeTarget(w.opt.FS, shelf, h)
	if err != nil {
		return nil, c, err
	}
	defer func() {
		if err != nil {
			tg.discard()
		}
	}()
	from := tg.written // both files begin with the same header
	c = copier{to: tg, skip: from, channels: len(h.Channels)}
	src := openBack(w.opt.FS, filepath.Join(old.dir, SamplesFile), w.opt.CloseWithin)
	c.run(src, base)
	_ = src.Close() // it was only read
	if c.err != nil {
		return nil, c, c.err
	}
	if missing := base - max(from, c.read); missing > 0 {
		c.note = fmt.Sprintf("%d bytes of the first folder were unreadable", missing)
	} else if w.sumFrom(c.crc, base, synced) != crc {
		c.note = "the first folder reads back otherwise than written"
	}
	if c.note != "" {
		c.put(appendChannels(appendLine(nil, c.last, "", nil, appendNote(nil, pull.Bad, 1, c.note)), nil, c.channels))
	}
	return tg, c, c.err
}

// sumFrom carries a CRC on over what is in memory between two offsets.
func (w *Writer) sumFrom(crc uint32, off, end int64) uint32 {
	for off < end {
		w.mu.Lock()
		b := w.log.from(off)
		w.mu.Unlock()
		if len(b) == 0 {
			return ^crc // less in memory than was written: never equal
		}
		b = b[:min(int64(len(b)), end-off)]
		crc = crc32.Update(crc, castagnoli, b)
		off += int64(len(b))
	}
	return crc
}

// copier copies the lines of an old samples.csv that are whole.
type copier struct {
	to    *target
	skip  int64 // bytes of the header, which the new file has already
	read  int64 // bytes of the old file copied or skipped, to the end of a line
	crc   uint32
	lines int64
	last  int64  // time of the newest line
	note  string // what is missing
	// channels is how many columns a line has behind the four.
	channels int
	err      error // of the new file
}

// run copies up to end. It stops without a word at what cannot be read.
func (c *copier) run(src io.Reader, end int64) {
	buf := make([]byte, blockSize)
	n := 0
	for c.read < end && c.err == nil {
		m, err := src.Read(buf[n:min(int64(len(buf)), end-c.read)])
		n += m
		whole := bytes.LastIndexByte(buf[:n], '\n') + 1
		c.crc = crc32.Update(c.crc, castagnoli, buf[:whole])
		c.put(buf[min(int64(whole), max(0, c.skip-c.read)):whole])
		c.read += int64(whole)
		n = copy(buf, buf[whole:n])
		if err != nil || m == 0 && whole == 0 {
			return
		}
	}
}

// put writes whole lines into the new file.
func (c *copier) put(b []byte) {
	if len(b) == 0 || c.err != nil {
		return
	}
	var n int64
	n, c.err = c.to.write(b)
	c.to.written += n
	c.lines += int64(bytes.Count(b, []byte{'\n'}))
	c.last = firstTime(b[bytes.LastIndexByte(b[:len(b)-1], '\n')+1:])
}
