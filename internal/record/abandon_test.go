package record

import (
	"os"
	"testing"
	"time"
)

func TestAbandon(t *testing.T) {
	shelf := t.TempDir()
	w, err := Create(shelf, simulatedHead())
	if err != nil {
		t.Fatal(err)
	}
	if err := w.Abandon(); err != nil {
		t.Fatal(err)
	}
	if left, err := os.ReadDir(shelf); err != nil || len(left) != 0 {
		t.Errorf("left on the shelf: %v (%v)", left, err)
	}
	w.Append(time.Second, nil, []byte("820"), "") // no folder any more: must do no harm

	if w, err = Create(shelf, simulatedHead()); err != nil {
		t.Fatal(err)
	}
	w.Append(time.Second, nil, []byte("820"), "")
	if err := w.Abandon(); err == nil {
		t.Error("a record with a line was taken back")
	}
	if err := w.Close(Closing{Reason: ByEnd, Ended: time.Now()}); err != nil {
		t.Error(err)
	}
	if r := Check(w.Dir()); r.Status != Whole {
		t.Errorf("after a refused Abandon and a Close: %s", r.Text())
	}
}
