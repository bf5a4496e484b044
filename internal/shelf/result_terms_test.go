package shelf_test

import (
	"testing"

	"draghand/internal/pull"
	"draghand/internal/shelf"
	"draghand/internal/specimen"
)

// What of a filter is about what came out.
func TestByResult(t *testing.T) {
	for text, want := range map[string]string{
		"":                                 "",
		"alloy:C905 melt:M1 since:2026-01": "",
		"M1 is:simulated rig:one tag:wet kind:tension state:closed diameter>0.4in": "",
		"strength>40ksi":          "strength>40ksi",
		"melt:M1 -strength<40ksi": "-strength<40ksi",
		"atleast>30ksi":           "atleast>30ksi",
		"stress>30ksi force>2kN":  "stress>30ksi force>2kN",
		"elongation>5%":           "elongation>5%",
		"counts:yes M1":           "counts:yes",
		"outcome:broken":          "outcome:broken",
		"broken":                  "broken",
		"-let-off":                `-let-off`,
		"be":                      "",
		"bronze":                  "",
	} {
		f, err := shelf.ParseFilter(text)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		g, err := shelf.ParseFilter(want)
		if err != nil {
			t.Fatal(err)
		}
		if got := f.ByResult(); got != g.String() {
			t.Errorf("%q: %q, want %q", text, got, g.String())
		}
	}
}

// What of the melts that were taken was not, and could be read.
func TestBehind(t *testing.T) {
	entry := func(dir, melt string, change func(e *shelf.Entry)) shelf.Entry {
		e := shelf.Entry{Dir: dir, Name: dir, Condition: shelf.Whole, Kind: pull.Tension, Specimen: specimen.Specimen{Melt: melt}}
		if change != nil {
			change(&e)
		}
		return e
	}
	all := []shelf.Entry{
		entry("a", "M1", nil),
		entry("b", "m1 ", nil),
		entry("c", "M2", nil),
		entry("d", "", nil),
		entry("e", "M1", func(e *shelf.Entry) { e.Kind = pull.Crush }),
		entry("f", "M1", func(e *shelf.Entry) { e.Condition = shelf.Damaged }),
		entry("g", "M1", func(e *shelf.Entry) { e.Counts = "no" }),
		entry("h", "M1", func(e *shelf.Entry) { e.Condition = shelf.Unfinished; e.Counts = "with-remarks" }),
		entry("i", "", nil),
		entry("j", "M 1", nil), // one to who typed it, maybe
	}
	got := ""
	for _, e := range shelf.Behind(all, map[string]bool{"a": true, "d": true}) {
		got += e.Dir
	}
	if got != "bhj" {
		t.Errorf("%q, want b, h and j", got)
	}
	if got := shelf.Behind(all, nil); len(got) != 0 {
		t.Errorf("of nothing: %v", got)
	}
	if got := shelf.Unread(all, map[string]bool{"a": true}); len(got) != 1 || got[0] != "f" {
		t.Errorf("cannot be read: %v, want f", got)
	}
	if got := shelf.Unread(all, map[string]bool{"f": true}); len(got) != 0 {
		t.Errorf("taken: %v", got)
	}
}
