package record

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"draghand/internal/pull"
)

// hanging is a writer whose disk hangs in a sync, with n lines taken.
func hanging(t *testing.T, n int) (w *Writer, disk *troubled, hang chan struct{}) {
	t.Helper()
	disk = new(troubled)
	w = mustCreate(t, Options{FS: disk, SyncEvery: time.Millisecond, CloseWithin: 30 * time.Millisecond}, t.TempDir())
	hang = make(chan struct{})
	disk.set(trouble{hang: hang})
	for i := range n {
		w.Append(ms(i), nil, []byte("2048.125"), "")
	}
	until(t, "a sync hangs", func() bool {
		w.mu.Lock()
		defer w.mu.Unlock()
		return !w.inflight.IsZero()
	})
	return w, disk, hang
}

// A disk that never answers holds up Close for CloseWithin and no longer; the
// whole pull is then saved elsewhere from memory.
func TestCloseHangingDisk(t *testing.T) {
	w, disk, hang := hanging(t, 9000) // more than a block
	first := w.Dir()
	from := time.Now()
	err := w.Close(Closing{Reason: ByBreak})
	took := time.Since(from)
	if !errors.Is(err, ErrNoAnswer) || !strings.Contains(err.Error(), filepath.Base(first)) {
		t.Errorf("Close = %v, want that the disk of %q does not answer", err, first)
	}
	// 30 ms stated; a shared machine may be late by far, a hang is for ever.
	if took < 30*time.Millisecond || took > 5*time.Second {
		t.Errorf("Close took %v", took)
	}
	if h := w.Health(); !errors.Is(h.Err, ErrNoAnswer) {
		t.Errorf("Health = %+v, want that the disk does not answer", h)
	}
	if bad := w.Append(time.Hour, nil, []byte("7"), ""); bad != 0 || w.Health().Lines != 9000 {
		t.Errorf("a line was taken after Close: %+v", w.Health())
	}

	w.opt.CloseWithin = time.Minute // the next disk answers, and may be late with it as any
	disk.set(trouble{})             // it is well, the old one hangs on
	must(t, w.SaveElsewhere(t.TempDir()))
	if r := Check(w.Dir()); r.Status != Whole || r.Lines != 9000 {
		t.Errorf("elsewhere: %s", r.Text())
	}
	rec, err := Open(w.Dir())
	must(t, err)
	if rec.Head.Closing == nil || rec.Head.Closing.Reason != ByBreak || len(rec.Head.Remarks) != 1 || !strings.Contains(rec.Head.Remarks[0], "does not answer") {
		t.Errorf("the new head: %+v", rec.Head)
	}
	if h := w.Health(); h.Err != nil || h.Synced != h.Bytes {
		t.Errorf("Health = %+v", h)
	}
	must(t, w.Close(Closing{})) // closed and whole: nothing more to do

	close(hang) // the old disk answers at last: its folder is let go, unfinished
	until(t, "the old folder is let go", func() bool { return !Check(first).Writing })
	if r := Check(first); r.Status != Unfinished {
		t.Errorf("the old record: %s", r.Text())
	}
}

// A disk that was only slow: the close goes on behind the error, and a second
// Close waits for it again.
func TestCloseAgainAfterHang(t *testing.T) {
	w, disk, hang := hanging(t, 100)
	if err := w.Close(Closing{Reason: ByBreak}); !errors.Is(err, ErrNoAnswer) {
		t.Fatalf("Close = %v", err)
	}
	if err := w.Close(Closing{Reason: ByEnd}); !errors.Is(err, ErrNoAnswer) {
		t.Fatalf("the second Close = %v", err)
	}
	disk.set(trouble{})
	close(hang)
	until(t, "Close is done", func() bool { return w.Close(Closing{}) == nil })
	rec, err := Open(w.Dir())
	must(t, err)
	if r := Check(w.Dir()); r.Status != Whole || r.Lines != 100 || r.Writing || rec.Head.Closing.Reason != ByBreak {
		t.Errorf("%s%+v", r.Text(), rec.Head.Closing)
	}
	if h := w.Health(); h.Err != nil {
		t.Errorf("Health = %+v, want nothing of the slow disk any more", h)
	}
	if err := w.SaveElsewhere(t.TempDir()); !errors.Is(err, ErrWhole) {
		t.Errorf("a record that is whole: %v", err)
	}
}

// Saving elsewhere may hang too: Close waits for it no longer than stated, and
// the record is closed when it is through.
func TestCloseWhileMoving(t *testing.T) {
	disk := new(troubled)
	w := mustCreate(t, Options{FS: disk, SyncEvery: time.Hour, CloseWithin: 30 * time.Millisecond}, t.TempDir())
	w.Append(ms(1), nil, []byte("7"), "")
	hang := make(chan struct{})
	disk.set(trouble{hang: hang})
	moved := make(chan error)
	shelf := t.TempDir()
	go func() { moved <- w.SaveElsewhere(shelf) }()
	until(t, "the new folder is begun", func() bool { names, _ := os.ReadDir(shelf); return len(names) > 0 })
	if err := w.Close(Closing{Reason: ByEnd}); !errors.Is(err, ErrNoAnswer) {
		t.Errorf("Close = %v", err)
	}
	w.opt.CloseWithin = time.Minute // the disk answers now, and may be late with it as any
	disk.set(trouble{})
	close(hang)
	must(t, <-moved)
	if r := Check(w.Dir()); r.Status != Whole || r.Lines != 1 || filepath.Dir(w.Dir()) != shelf {
		t.Errorf("%s", r.Text())
	}
}

// A disk that does not even read back: what is in memory is saved, what is not
// is named, as with a disk that cannot be read.
func TestSaveElsewhereReadHangs(t *testing.T) {
	disk := new(troubled)
	w := mustCreate(t, Options{FS: disk, SyncEvery: 5 * time.Millisecond, CloseWithin: 30 * time.Millisecond}, t.TempDir())
	for i := range 6000 { // more than a block, so that some of it is in the file alone
		w.Append(ms(i), nil, []byte("2048.125"), "")
	}
	until(t, "all is synced", func() bool { h := w.Health(); return h.Synced == h.Bytes })
	hang := make(chan struct{})
	disk.set(trouble{readHang: hang})
	moved := make(chan error, 1)
	go func() { moved <- w.SaveElsewhere(t.TempDir()) }()
	select {
	case err := <-moved:
		must(t, err)
	case <-time.After(time.Minute): // 30 ms stated; a shared machine may be late by far, a hang is for ever
		t.Error("SaveElsewhere waits for the old disk")
		close(hang)
		<-moved
		return
	}
	w.opt.CloseWithin = time.Minute // the new disk answers
	must(t, w.Close(Closing{}))
	r := Check(w.Dir())
	got, _ := readDir(t, w.Dir())
	if r.Status != Whole || len(got) < 2 || got[0].R.Mark != pull.Bad || !strings.Contains(got[0].Text, "unreadable") || got[len(got)-1].R.T != ms(5999) {
		t.Errorf("%sfirst %+v", r.Text(), got[0])
	}
	close(hang)
}

// stuckDisk is a disk whose first write of readings hangs, and keeps what it
// was given.
type stuckDisk struct {
	OS
	mu     sync.Mutex
	armed  bool
	stuck  chan struct{} // closed when the write hangs
	hang   chan struct{} // it hangs until this is closed
	before []byte
	after  []byte
	done   chan struct{}
}

type stuckFile struct {
	File
	d *stuckDisk
}

func (d *stuckDisk) Open(path string, flag int) (File, error) {
	f, err := d.OS.Open(path, flag)
	if err != nil || filepath.Base(path) != SamplesFile {
		return f, err
	}
	return stuckFile{f, d}, nil
}

func (f stuckFile) Write(b []byte) (int, error) {
	f.d.mu.Lock()
	mine := f.d.armed
	f.d.armed = false
	f.d.mu.Unlock()
	if mine {
		f.d.before = bytes.Clone(b)
		close(f.d.stuck)
		<-f.d.hang
		f.d.after = bytes.Clone(b)
		defer close(f.d.done)
	}
	return f.File.Write(b)
}

// A write that hangs still reads the memory it was given after the writer has
// moved on: that memory must not be used again for other lines.
func TestHangingWriteKeepsItsMemory(t *testing.T) {
	disk := &stuckDisk{stuck: make(chan struct{}), hang: make(chan struct{}), done: make(chan struct{})}
	w := mustCreate(t, Options{FS: disk, SyncEvery: time.Millisecond}, t.TempDir())
	disk.mu.Lock()
	disk.armed = true
	disk.mu.Unlock()
	w.Append(ms(0), nil, []byte("1111"), "")
	<-disk.stuck
	must(t, w.SaveElsewhere(t.TempDir()))
	for i := range 20_000 { // several blocks, so that the first is free again
		w.Append(ms(1+i), nil, []byte("2222"), "")
		if i%4000 == 0 {
			until(t, "the new disk has it", func() bool { h := w.Health(); return h.Synced == h.Bytes })
		}
	}
	close(disk.hang)
	<-disk.done
	if !bytes.Equal(disk.before, disk.after) {
		t.Errorf("the hanging write was given %q, and then read %.80q", disk.before, disk.after)
	}
	must(t, w.Close(Closing{}))
	if r := Check(w.Dir()); r.Status != Whole || r.Lines != 20_001 {
		t.Errorf("%s", r.Text())
	}
}
