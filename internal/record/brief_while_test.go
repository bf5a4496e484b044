package record

import (
	"os"
	"path/filepath"
	"testing"
)

// A pull.json that was put in the place of another since it was asked for is read
// whole, a longer one too.
func TestBriefOfLonger(t *testing.T) {
	dir := copied(t, example)
	st, err := os.Stat(filepath.Join(dir, HeadFile))
	must(t, err)
	must(t, AddRemark(dir, "a remark that makes it longer"))
	var s Skimmer
	b, err := s.BriefAt(dir, st)
	must(t, err)
	h, err := s.Head(dir)
	must(t, err)
	if b.Remarks != 2 || len(h.Said) != 1 {
		t.Errorf("%d remarks, %d of people", b.Remarks, len(h.Said))
	}
}

// A record that is closed while it is looked at is at no time taken for one that was
// cut off.
func TestBriefWhileClosed(t *testing.T) {
	whole := copied(t, example)
	closed := headText(t, whole)
	open, err := withField(closed, "closing", nil)
	must(t, err)
	for range 100 {
		dir := t.TempDir()
		unlock, err := Lock(dir)
		must(t, err)
		path := filepath.Join(dir, HeadFile)
		must(t, os.WriteFile(path, open, 0o600))
		must(t, os.WriteFile(path+".new", closed, 0o600))
		done := make(chan struct{})
		go func() {
			defer close(done)
			_ = os.Rename(path+".new", path)
			_ = unlock()
		}()
		for {
			b, err := new(Skimmer).Brief(dir)
			must(t, err)
			if b.Closing != nil {
				break
			}
			if !b.Writing {
				t.Fatal("it is told to be cut off")
			}
		}
		<-done
	}
}
