package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A record is found by the bar that was pulled where the shelf has one of it; of
// several all are listed, and none is taken.
func TestRecordByItsBar(t *testing.T) {
	from, shelf := filepath.Join("..", "..", "testdata", "records"), t.TempDir()
	if err := os.CopyFS(filepath.Join(shelf, "2026-11-25T141055Z-M1-4"), os.DirFS(filepath.Join(from, "2026-11-25T141055Z-M1-4"))); err != nil {
		t.Fatal(err)
	}
	call := func(args ...string) (int, string) {
		var out, said bytes.Buffer
		w := world{in: strings.NewReader(""), out: &out, err: &said, getenv: os.Getenv}
		code := run(append(args, "--data", shelf), w)
		return code, out.String() + said.String()
	}
	for _, args := range [][]string{{"results", "M1-4"}, {"check", "m1-4"}, {"export", "4", "--as", "csv"}, {"results", "2026-11-25T141055Z-M1-4"}} {
		if code, text := call(args...); code != exitDone {
			t.Errorf("%v: code %d, %s", args, code, text)
		}
	}
	if code, text := call("results", "M1-9"); code != exitInput || !strings.Contains(text, "not a pull record") {
		t.Errorf("none: code %d, %s", code, text)
	}
	// As where a variable of a script is empty.
	for _, args := range [][]string{{"results", ""}, {"compare", ""}, {"compare", "M1-4", ""}, {"check", ""}, {"trash", ""}, {"recover", ""}, {"label", "", "--melt", "M2"}, {"export", ""}} {
		if code, text := call(args...); code != exitUsage || !strings.Contains(text, "the name of a record is empty") {
			t.Errorf("%q: code %d, %s", args, code, text)
		}
	}
	if err := os.CopyFS(filepath.Join(shelf, "again"), os.DirFS(filepath.Join(from, "2026-11-25T141055Z-M1-4"))); err != nil {
		t.Fatal(err)
	}
	for _, verb := range []string{"results", "check", "export", "finish", "replay"} {
		if code, text := call(verb, "M1-4"); code != exitInput || !strings.Contains(text, "again") || !strings.Contains(text, "2026-11-25T141055Z-M1-4") {
			t.Errorf("%s of two: code %d, %s", verb, code, text)
		}
	}
}
