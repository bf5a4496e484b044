package record

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"draghand/internal/pull"
)

// A sync of 150 ms holds up nobody.
func TestSlowSync(t *testing.T) {
	disk := new(troubled)
	w := mustCreate(t, Options{FS: disk, SyncEvery: 10 * time.Millisecond}, t.TempDir())
	disk.set(trouble{syncDelay: 150 * time.Millisecond})
	beat := time.NewTicker(time.Millisecond)
	defer beat.Stop()
	held := watchClock()
	over, longest := 0, time.Duration(0)
	const n = 500
	for i := range n {
		<-beat.C
		from := time.Now()
		w.Append(ms(i), nil, []byte("2048"), "")
		took := time.Since(from)
		longest = max(longest, took)
		if took >= time.Millisecond {
			over++
		}
	}
	// The design's 1 ms, but for the times a shared machine takes the processor
	// away, hence 2 %. An Append that waited for a sync would take up to 150 ms; one
	// that was held up with everybody else took no longer than they were.
	if gap := held(); over > n/50 || longest > 75*time.Millisecond+gap {
		t.Errorf("%d of %d appends took 1 ms or more, the longest %v; the test itself was held up for %v at most", over, n, longest, gap)
	}
	disk.set(trouble{})
	must(t, w.Close(Closing{}))
}

// A disk that never answers: memory is bounded, what is lost is counted, said,
// and told in the record when the disk comes back.
func TestHangingDisk(t *testing.T) {
	disk := new(troubled)
	w := mustCreate(t, Options{FS: disk, SyncEvery: time.Millisecond, MaxBacklog: 2 * blockSize}, t.TempDir())
	hang := make(chan struct{})
	disk.set(trouble{hang: hang})
	for i := range 10_000 { // three blocks' worth
		w.Append(ms(i), nil, []byte("2048.125"), "")
	}
	h := w.Health()
	if h.Dropped == 0 || h.Err == nil || h.Lines+h.Dropped != 10_000 {
		t.Errorf("the full memory goes unsaid: %+v", h)
	}
	disk.set(trouble{})
	close(hang)
	until(t, "the disk caught up", func() bool { h := w.Health(); return h.Synced == h.Bytes })
	w.Append(ms(10_000), nil, []byte("1"), "")
	if err := w.Close(Closing{}); err == nil || !strings.Contains(err.Error(), fmt.Sprint(h.Dropped, " lines are missing")) {
		t.Errorf("Close = %v, want the %d missing lines said", err, h.Dropped)
	}
	got, rs := readDir(t, w.Dir())
	hole := got[len(got)-2]
	if rs.Err() != nil || hole.R.Mark != pull.Bad || int64(hole.R.Count) != h.Dropped {
		t.Errorf("before the last line stands %+v, want a mark for %d lines", hole, h.Dropped)
	}
	if r := Check(w.Dir()); r.Status != Whole {
		t.Errorf("Check = %+v", r)
	}
}

// Each failure is shown at once, loses nothing, and the record can be saved
// whole on another shelf, while the pull runs or after.
func TestFailures(t *testing.T) {
	for name, c := range map[string]struct {
		trouble trouble
		want    error // nil: it shows at closing only
	}{
		"full disk":            {trouble{full: true, room: 1007}, syscall.ENOSPC},
		"full within a line":   {trouble{full: true, room: 3}, syscall.ENOSPC},
		"silent short write":   {trouble{full: true, room: 500, silent: true}, io.ErrShortWrite},
		"sync fails":           {trouble{syncErr: syscall.EIO}, syscall.EIO},
		"sum cannot be added":  {trouble{sumErr: syscall.ENOSPC}, syscall.ENOSPC},
		"head not replaceable": {trouble{headErr: syscall.EACCES}, nil},
	} {
		for _, when := range []string{"while running", "after closing"} {
			t.Run(name+", "+when, func(t *testing.T) {
				disk := new(troubled)
				w := mustCreate(t, Options{FS: disk, SyncEvery: 5 * time.Millisecond}, t.TempDir())
				n := 0
				add := func(k int) {
					for range k {
						w.Append(ms(n), nil, strconv.AppendInt(nil, int64(n), 10), "")
						n++
					}
				}
				add(6000) // more than a block, so that some of it is in the file alone
				until(t, "all is synced", func() bool { h := w.Health(); return h.Synced == h.Bytes })
				disk.set(c.trouble)
				add(200)
				if c.want != nil {
					until(t, "the failure is shown", func() bool { return errors.Is(w.Health().Err, c.want) })
				}
				first := w.Dir()
				add(200)
				if when == "after closing" {
					if err := w.Close(Closing{Reason: ByBreak}); err == nil {
						t.Fatal("Close = nil with the disk failing")
					}
					if rec, err := Open(first); err != nil || rec.Closed() || rec.Writing {
						t.Errorf("the failed record: %+v, %v, want it readable, not closed, not locked", rec, err)
					}
				}
				disk.set(trouble{})
				must(t, w.SaveElsewhere(t.TempDir()))
				if when == "while running" {
					add(100)
					must(t, w.Close(Closing{Reason: ByBreak}))
				}
				if h := w.Health(); h.Err != nil || h.Dir == first || h.Lines != int64(n) {
					t.Errorf("Health after moving = %+v, want %d lines in another folder", h, n)
				}
				if r := Check(w.Dir()); r.Status != Whole || r.Lines != int64(n) {
					t.Errorf("the new record: %+v", r)
				}
				got, _ := readDir(t, w.Dir())
				for i, l := range got {
					if l.R.Raw != float64(i) || l.R.T != ms(i) {
						t.Fatalf("line %d = %+v", i, l)
					}
				}
				rec, err := Open(w.Dir())
				must(t, err)
				if len(rec.Head.Remarks) != 1 || !strings.Contains(rec.Head.Remarks[0], filepath.Base(first)) {
					t.Errorf("remarks = %q, want where it came from", rec.Head.Remarks)
				}
				if r := Check(first); !r.Intact() || r.Status != Unfinished || r.Lines < 6000 {
					t.Errorf("the old record: %+v", r)
				}
			})
		}
	}
}

// A new shelf that fails leaves the writer where it was, and no folder behind.
func TestSaveElsewhereFails(t *testing.T) {
	disk := new(troubled)
	w := mustCreate(t, Options{FS: disk}, t.TempDir())
	w.Append(ms(1), nil, []byte("1"), "")
	dir, other := w.Dir(), t.TempDir()
	for name, tr := range map[string]trouble{
		"no folder":   {mkdirErr: fs.ErrPermission},
		"no new head": {headErr: syscall.EROFS},
	} {
		disk.set(tr)
		if err := w.SaveElsewhere(other); err == nil || w.Dir() != dir {
			t.Errorf("%s: err %v, folder %q", name, err, w.Dir())
		}
		if names, _ := os.ReadDir(other); len(names) > 0 {
			t.Errorf("%s: left %v behind", name, names)
		}
		disk.set(trouble{})
	}
	must(t, w.Close(Closing{}))
	if r := Check(dir); r.Status != Whole || r.Lines != 1 {
		t.Errorf("Check = %+v", r)
	}
}

// What cannot be read back is named, in the readings and in a remark.
func TestSaveElsewhereUnreadable(t *testing.T) {
	disk := new(troubled)
	w := mustCreate(t, Options{FS: disk, SyncEvery: 5 * time.Millisecond}, t.TempDir())
	for i := range 6000 {
		w.Append(ms(i), nil, []byte("1"), "")
	}
	until(t, "all is synced", func() bool { h := w.Health(); return h.Synced == h.Bytes })
	disk.set(trouble{readErr: true})
	must(t, w.SaveElsewhere(t.TempDir()))
	disk.set(trouble{})
	must(t, w.Close(Closing{}))
	if r := Check(w.Dir()); r.Status != Whole {
		t.Errorf("Check = %+v", r)
	}
	rec, err := Open(w.Dir())
	must(t, err)
	if n := len(rec.Head.Remarks); n != 2 || !strings.Contains(rec.Head.Remarks[1], "unreadable") {
		t.Errorf("remarks = %q", rec.Head.Remarks)
	}
	got, _ := readDir(t, w.Dir())
	told := 0
	for _, l := range got {
		if l.R.Mark == pull.Bad && strings.Contains(l.Text, "unreadable") {
			told++
		}
	}
	if told != 1 || got[0].R.T != 0 || got[len(got)-1].R.T != ms(5999) {
		t.Errorf("%d marks, first %+v, last %+v", told, got[0], got[len(got)-1])
	}
}

// A shelf that cannot be made or written is an error that names it.
func TestNoShelf(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a file")
	must(t, os.WriteFile(file, nil, 0o644))
	if _, err := Create(filepath.Join(file, "shelf"), simulatedHead()); err == nil || !strings.Contains(err.Error(), "a file") {
		t.Errorf("a shelf under a file: %v", err)
	}
	disk := new(troubled)
	for _, want := range []error{fs.ErrPermission, syscall.EROFS} {
		disk.set(trouble{mkdirErr: want})
		if _, err := (Options{FS: disk}).Create(t.TempDir(), simulatedHead()); !errors.Is(err, want) {
			t.Errorf("Create = %v, want %v", err, want)
		}
	}
	disk.set(trouble{full: true, room: 3})
	shelf := t.TempDir()
	if _, err := (Options{FS: disk}).Create(shelf, simulatedHead()); !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("Create on a full disk = %v", err)
	}
	if names, _ := os.ReadDir(shelf); len(names) > 0 {
		t.Errorf("left %v behind", names)
	}
}

// A sync that never returns cannot keep the pull from another folder.
func TestSaveElsewhereFromHangingDisk(t *testing.T) {
	disk := new(troubled)
	w := mustCreate(t, Options{FS: disk, SyncEvery: time.Millisecond}, t.TempDir())
	hang := make(chan struct{})
	disk.set(trouble{hang: hang})
	first := w.Dir()
	for i := range 100 {
		w.Append(ms(i), nil, []byte("1"), "")
	}
	until(t, "a sync hangs", func() bool {
		w.mu.Lock()
		defer w.mu.Unlock()
		return !w.inflight.IsZero()
	})
	disk.set(trouble{}) // the next disk is well, the sync at work still hangs
	must(t, w.SaveElsewhere(t.TempDir()))
	w.Append(ms(100), nil, []byte("1"), "")
	must(t, w.Close(Closing{}))
	if r := Check(w.Dir()); r.Status != Whole || r.Lines != 101 {
		t.Errorf("Check = %+v", r)
	}
	if r := Check(first); !r.Writing {
		t.Errorf("the hanging record is not held: %+v", r)
	}
	close(hang)
	until(t, "the old folder is let go", func() bool { return !Check(first).Writing })
	if h := w.Health(); h.Err != nil || h.Synced != h.Bytes {
		t.Errorf("the late sync of the old folder shows in the new: %+v", h)
	}
}
