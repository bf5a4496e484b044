package record

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// The sum of a record that was cut off is that of its recovered copy, torn line or not;
// of a closed one it is that of the closing, and of other readings another.
func TestSamplesSum(t *testing.T) {
	sum := func(dir string) string {
		rec, err := Open(dir)
		must(t, err)
		s, err := rec.SamplesSum()
		must(t, err)
		return s
	}
	open, whole := copied(t, cutOff), copied(t, cutOff)
	_, err := recoverAt(OS{}, whole, replayAll, noResults, time.Date(2026, 11, 26, 8, 0, 0, 0, time.UTC))
	must(t, err)
	was := sum(open)
	if was != sum(whole) || len(was) != 64 {
		t.Errorf("%s of the one cut off, %s of its recovered copy", was, sum(whole))
	}
	samples, err := os.ReadFile(filepath.Join(open, SamplesFile))
	must(t, err)
	last := bytes.LastIndexByte(samples, '\n')
	must(t, os.WriteFile(filepath.Join(open, SamplesFile), append(samples[:last-2], "7\n"...), 0o600))
	if sum(open) == was {
		t.Error("other readings have the same sum")
	}
	rec, err := Open(copied(t, example))
	must(t, err)
	if s, err := rec.SamplesSum(); err != nil || s != rec.Head.Closing.SamplesSHA256 {
		t.Errorf("%s, %v", s, err)
	}
	must(t, os.Remove(filepath.Join(open, SamplesFile)))
	if rec, err = Open(open); err == nil {
		_, err = rec.SamplesSum()
	}
	if err == nil {
		t.Error("no readings, and a sum of them")
	}
}

// However often a record is labelled, what it was called first is known.
func TestFirstLabel(t *testing.T) {
	dir := copied(t, example)
	rec, err := Open(dir)
	must(t, err)
	was := rec.Head.Label()
	if id, melt := rec.Head.FirstLabel(); id != was.ID || melt != was.Melt {
		t.Errorf("%q %q, never labelled anew", id, melt)
	}
	for _, to := range []Label{{ID: "7, it was called 8", Melt: was.Melt}, {ID: "", Melt: "M9"}, {ID: "9", Melt: ""}} {
		must(t, Relabel(dir, to))
		rec, err = Open(dir)
		must(t, err)
		if id, melt := rec.Head.FirstLabel(); id != was.ID || melt != was.Melt {
			t.Errorf("%q %q after %+v", id, melt, to)
		}
	}
	// One that had no name had none.
	h := rec.Head
	h.Said = Label{}.replacedBy(Label{ID: "3", Melt: "M1"}, time.Now())
	if id, melt := h.FirstLabel(); id != "" || melt != "" {
		t.Errorf("%q %q", id, melt)
	}
}
