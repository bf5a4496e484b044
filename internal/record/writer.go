package record

import (
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"time"

	"draghand/internal/pull"
	"draghand/internal/wire"
)

// Bounds on what a flood of bad lines may write. The engine of a replay must
// notice within its 0.5 s that the force cannot be seen, hence 0.1 s; ten short
// lines a second are 0.7 MB an hour.
const (
	maxTexts = 100                                              // evidence texts a record keeps, of bad lines and of other marks each
	badEvery = int64(100 * time.Millisecond / time.Microsecond) // µs between lines that only count
)

// Options say how a record is written. The zero value is right for a pull; the
// fields are there for tests.
type Options struct {
	FS         FS            // nil: OS
	FlushEvery time.Duration // between two writes at least; 0: 20 ms, so that the kernel has a line within 50 ms
	SyncEvery  time.Duration // between two syncs; 0: 0.75 s, so that the disk has it within 1 s, the sync itself included
	MaxBacklog int64         // bytes kept in memory while the disk takes none; 0: 256 MB, an hour and more at 1 kHz
	// CloseWithin is how long Close waits for the disk, and SaveElsewhere for
	// each read of the old one; 0: 10 s.
	CloseWithin time.Duration
}

// Writer writes one record. Append and Mark are for one goroutine, the rest
// may be called from any; none of Append, Mark, Event and Health waits for the
// disk.
type Writer struct {
	opt  Options
	head Head

	moving chan struct{} // full: a Close, SaveElsewhere or Abandon is at work

	mu       sync.Mutex
	closed   bool // closed well, or abandoned
	tg       *target
	log      backlog
	line     [maxLine]byte
	note     [2 * MaxEvidence]byte
	lines    int64
	last     int64 // time of the newest line, µs
	dropped  int64 // lines that found no memory
	hole     int64 // those of them not yet told in the record
	stopped  bool  // Close was called: no more lines
	closing  *Closing
	pending  time.Time // when the oldest line no sync has begun for came; zero: none
	inflight time.Time // the same of those a sync has begun for

	bad      int   // bad lines counted and not yet written
	badLast  int64 // time of the newest line about bad lines
	badAny   bool
	badTexts int
	texts    int // of other marks

	over *overview
}

// Health is how the saving goes.
type Health struct {
	Dir       string        // folder of the record
	Err       error         // the first failure, nil while all is well; then nothing more reaches Dir, but for ErrNoAnswer
	Lines     int64         // taken, dropped ones not counted
	Bytes     int64         // of samples.csv so far, in memory and in the file
	Written   int64         // of these handed to the kernel
	Synced    int64         // of these known to be on disk
	SyncedAge time.Duration // age of the oldest line not known to be on disk; 0: all are
	Dropped   int64         // lines lost because the backlog was full
}

// Create begins a record on a shelf, a folder that is made if missing. The
// head's format number is set here; its start time must be set, its rig too.
// On return the folder is on disk, locked, and named after the start, the melt
// and the specimen. Close ends it.
func Create(shelf string, head Head) (*Writer, error) { return Options{}.Create(shelf, head) }

// Create begins a record as the package function does, with these options.
func (o Options) Create(shelf string, head Head) (*Writer, error) {
	if o.FS == nil {
		o.FS = OS{}
	}
	if o.FlushEvery <= 0 {
		o.FlushEvery = 20 * time.Millisecond
	}
	if o.SyncEvery <= 0 {
		o.SyncEvery = 750 * time.Millisecond
	}
	if o.MaxBacklog <= 0 {
		o.MaxBacklog = 256 << 20
	}
	if o.CloseWithin <= 0 {
		o.CloseWithin = closeWithin
	}
	if !startFits(head.Started) {
		return nil, errors.New("begin a record: the start time is not set")
	}
	if head.Rig == nil {
		return nil, errors.New("begin a record: the rig is not set")
	}
	head.Rig = head.placed()
	head.Format, head.Closing = formatOf(head), nil
	head.Channels = ChannelColumns(head.Channels)
	head.Started = head.Started.UTC()
	tg, err := makeTarget(o.FS, shelf, head)
	if err != nil {
		return nil, err
	}
	w := &Writer{opt: o, head: head, moving: make(chan struct{}, 1), tg: tg, log: newBacklog(tg.written, o.MaxBacklog), over: newOverview(head.Rig)}
	w.run(tg)
	return w, nil
}

// Dir is the folder of the record. SaveElsewhere changes it.
func (w *Writer) Dir() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.tg.dir
}

// Name is the last element of Dir.
func (w *Writer) Name() string { return filepath.Base(w.Dir()) }

// Health says how the saving goes.
func (w *Writer) Health() Health {
	w.mu.Lock()
	defer w.mu.Unlock()
	h := Health{
		Dir: w.tg.dir, Err: w.tg.trouble(),
		Lines: w.lines, Bytes: w.log.end, Written: w.tg.written, Synced: w.tg.synced,
		Dropped: w.dropped,
	}
	if h.Err == nil && w.dropped > 0 {
		h.Err = fmt.Errorf("%q takes no data and the memory for it is full: %d lines are lost", w.tg.dir, w.dropped)
	}
	oldest := w.inflight
	if oldest.IsZero() {
		oldest = w.pending
	}
	if !oldest.IsZero() {
		h.SyncedAge = time.Since(oldest)
	}
	return h
}

// Append adds one reading. t is cut to whole microseconds and never goes back;
// the engine must be given the same. dev is the board's clock as sent, empty
// where it has none, raw the number as sent; both at most MaxField bytes. note
// is for a person, "above range" say: it is cut to MaxEvidence bytes and means
// nothing when read.
//
// raw must be what wire.ParseNumber takes. Any other would make the rest
// unreadable: it is recorded as a bad line instead, at once, and bad is for how
// many bad lines that line stands, those counted before included. Give the
// engine just these, not the reading. bad is 0 where the reading was taken.
func (w *Writer) Append(t time.Duration, dev, raw []byte, note string) (bad int) {
	return w.AppendWith(t, dev, raw, note, nil)
}

// AppendWith is Append with the cells of the head's channels, in order: text of
// plain ASCII of at most MaxField bytes each; any other is left out.
func (w *Writer) AppendWith(t time.Duration, dev, raw []byte, note string, cells []string) (bad int) {
	v, ok := wire.ParseNumber(raw)
	if !ok {
		return w.refuse(t, raw)
	}
	if len(dev) > MaxField {
		dev = dev[:MaxField] // the board's clock is evidence: t alone is time
	}
	if len(note) > MaxEvidence {
		note = note[:MaxEvidence]
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	us := w.at(t)
	w.add(appendChannels(appendLine(w.line[:0], us, dev, raw, note), cells, len(w.head.Channels)))
	if !w.stopped {
		w.over.add(us, v)
	}
	return 0
}

// refuse records what Append was given and cannot take. It writes its line even
// in a flood: a caller must see from the count that this was no reading.
func (w *Writer) refuse(t time.Duration, raw []byte) (bad int) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.bad++
	text := string(raw[:min(len(raw), MaxEvidence)])
	if w.badTexts >= maxTexts {
		text = ""
	} else if text != "" {
		w.badTexts++
	}
	return w.tellBad(w.at(t), text)
}

// Mark adds something that happened between readings. count is how many lines
// a pull.Bad stands for, text the evidence or the reason, cut to MaxEvidence
// bytes. Bad lines are counted together so that a flood of them leaves the
// file and the memory flat: after 100 texts there is at most one line in 0.1 s.
//
// It returns for how many bad lines a line was written, before the mark itself
// if that is another. Give the engine just these, so that a replay gives it
// the same.
func (w *Writer) Mark(t time.Duration, m pull.Mark, count int, text string) (bad int) {
	if word(m) == "" {
		return 0
	}
	if len(text) > MaxEvidence {
		text = text[:MaxEvidence]
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	us := w.at(t)
	if m == pull.Bad {
		w.bad += max(count, 1)
		switch {
		case text != "" && w.badTexts < maxTexts:
			w.badTexts++
		case !w.badAny || us-w.badLast >= badEvery:
			text = ""
		default:
			return 0
		}
		return w.tellBad(us, text)
	}
	bad = w.tellBad(us, "")
	if text != "" && w.texts >= maxTexts {
		text = ""
	} else if text != "" {
		w.texts++
	}
	w.mark(us, m, 0, text)
	return bad
}

// tellBad writes the bad lines counted so far, if any, and says how many.
func (w *Writer) tellBad(us int64, text string) int {
	n := w.bad
	if n == 0 {
		return 0
	}
	w.bad, w.badLast, w.badAny = 0, us, true
	w.mark(us, pull.Bad, n, text)
	return n
}

func (w *Writer) mark(us int64, m pull.Mark, count int, text string) {
	note := appendNote(w.note[:0], m, count, text)
	w.add(appendChannels(appendLine(w.line[:0], us, "", nil, note), nil, len(w.head.Channels)))
}

// at is the time of the next line: whole microseconds, never before the line
// above.
func (w *Writer) at(t time.Duration) int64 {
	w.last = max(w.last, t.Microseconds())
	return w.last
}

// add puts a line into memory and wakes the one that writes it.
func (w *Writer) add(line []byte) {
	if w.stopped {
		return
	}
	if w.hole > 0 && !w.tellHole(line) {
		return
	}
	if !w.log.add(line) {
		w.dropped++
		w.hole++
		return
	}
	w.lines++
	if w.pending.IsZero() {
		w.pending = time.Now()
	}
	select {
	case w.tg.kick <- struct{}{}:
	default: // it is awake
	}
}

// tellHole writes a mark where lines were dropped, once there is memory again.
func (w *Writer) tellHole(next []byte) bool {
	var note [2 * MaxEvidence]byte
	var line [maxLine]byte
	us := firstTime(next)
	n := appendNote(note[:0], pull.Bad, int(w.hole), "not recorded: the disk took no data and the memory was full")
	if !w.log.add(appendChannels(appendLine(line[:0], us, "", nil, n), nil, len(w.head.Channels))) {
		w.dropped++
		w.hole++
		return false
	}
	w.hole = 0
	w.lines++
	return true
}

// firstTime is the time in µs that a line begins with.
func firstTime(line []byte) (us int64) {
	for _, c := range line {
		if c < '0' || c > '9' {
			break
		}
		us = us*10 + int64(c-'0')
	}
	return us
}

// Event asks for a sync now, not at the next beat: after an alarm, a break, a
// lost source. It does not wait for it.
func (w *Writer) Event() {
	w.mu.Lock()
	tg := w.tg
	w.mu.Unlock()
	select {
	case tg.now <- struct{}{}:
	default: // one is on its way
	}
}
