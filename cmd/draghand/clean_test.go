package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Nothing that steers a terminal, has no width or turns the direction of writing gets
// through; letters do.
func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"M\u202e1\u202c":       "M1",
		"M\u200b1\u200d\ufeff": "M1",
		"a\u00adb\u2066c":      "abc",
		"a\u2028b\u2029c":      "abc",
		"\x1b[2Ja\x07\u0085b":  "ab",
		"two\nlines":           "two\nlines",
		"炉é 1150 °C\u00a0x":    "炉é 1150 °C\u00a0x",
	} {
		if got := clean(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

// A melt of a head by another hand is shown without them, in every list.
func TestListHidesTheUnseen(t *testing.T) {
	shelf, rec := shelfOfOne(t)
	path := filepath.Join(rec, "pull.json")
	text, err := os.ReadFile(path)
	if err == nil {
		err = os.WriteFile(path, []byte(strings.Replace(string(text), `"M1"`, `"M`+"\u202e\u200b"+`1"`, 1)), 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"list"}, {"list", "--csv"}, {"results", rec}, {"compare", rec}} {
		if code, out, said := ranIn(shelf, args...); code != exitDone || strings.ContainsAny(out, "\u202e\u200b") || !strings.Contains(out, "M1") {
			t.Errorf("%v: code %d, %s, %q", args, code, said, out)
		}
	}
	if code, _, said := ranIn(shelf, "label", rec, "--melt", "M\u200b1"); code != exitUsage || !strings.Contains(said, "holds what is no text") {
		t.Errorf("code %d: %s", code, said)
	}
	if code, out, said := ranIn(shelf, "label", rec, "--specimen", "9"); code != exitDone || !strings.Contains(out, "M1-9") {
		t.Errorf("code %d: %s%s", code, out, said)
	}
}

// Tags in one cell can be told apart again.
func TestTagsCell(t *testing.T) {
	for want, tags := range map[string][]string{
		"":                            nil,
		"wet sand, 1150C":             {"wet sand", "1150C"},
		`"a,b", c, "the ""old"" one"`: {"a,b", "c", `the "old" one`},
	} {
		if got := tagsCell(tags); got != want {
			t.Errorf("%q: %s, want %s", tags, got, want)
		}
	}
}
