package record

import (
	"os"
	"testing"
	"time"

	"draghand/internal/pull"
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
	// No folder any more: must do no harm.
	w.Append(time.Second, nil, []byte("820"), "")
	w.Mark(time.Second, pull.Bad, 1, "x")
	w.Event()
	if err := w.Close(Closing{}); err != nil {
		t.Errorf("Close after Abandon = %v", err)
	}
	if err := w.Abandon(); err == nil {
		t.Error("a second Abandon says nothing")
	}
	if h := w.Health(); h.Lines != 0 || h.Err != nil {
		t.Errorf("Health = %+v", h)
	}
	if left, err := os.ReadDir(shelf); err != nil || len(left) != 0 {
		t.Errorf("left on the shelf: %v (%v)", left, err)
	}

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
	if err := w.Abandon(); err == nil || Check(w.Dir()).Status != Whole {
		t.Errorf("a closed record was taken back: %v", err)
	}
}

// Bad lines that have only been counted so far are something recorded too.
func TestAbandonKeepsBadLines(t *testing.T) {
	for what, put := range map[string]func(w *Writer){
		"a bad line":  func(w *Writer) { w.Mark(0, pull.Bad, 1, "x") },
		"a mark":      func(w *Writer) { w.Mark(0, pull.Lost, 1, "") },
		"not a line":  func(w *Writer) { w.Append(0, nil, []byte("of"), "") },
		"no evidence": func(w *Writer) { w.Mark(0, pull.Bad, 1, "") },
	} {
		w := mustCreate(t, Options{}, t.TempDir())
		put(w)
		if err := w.Abandon(); err == nil {
			t.Errorf("%s: taken back", what)
		}
		must(t, w.Close(Closing{}))
		if r := Check(w.Dir()); r.Status != Whole || r.Lines != 1 {
			t.Errorf("%s: %s", what, r.Text())
		}
	}
}
