package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// An import that was cut off is made anew by the same call: the part stays, named, and
// the third call has nothing left to do.
func TestImportCutOffAnew(t *testing.T) {
	dir := t.TempDir()
	shelf, tables := filepath.Join(dir, "shelf"), filepath.Join(dir, "tables")
	var rows strings.Builder
	rows.WriteString("Time (s),Load (kN)\n")
	for i := range 60 {
		fmt.Fprintf(&rows, "%d,%d\n", i, i)
	}
	err := os.Mkdir(tables, 0o755)
	if err == nil {
		err = os.WriteFile(filepath.Join(tables, "a.csv"), []byte(rows.String()), 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	call := func(args ...string) string {
		t.Helper()
		var out, errs bytes.Buffer
		code := run(append([]string{"import", "--data", shelf}, args...), world{in: strings.NewReader(""), out: &out, err: &errs, getenv: func(string) string { return "" }})
		if code != 0 {
			t.Fatalf("code %d: %s", code, errs.String())
		}
		return out.String()
	}
	call(tables)
	cut := onlyRecord(t, shelf)
	cutOff(t, cut)
	before, err := os.ReadFile(filepath.Join(cut, "pull.json"))
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Base(cut)
	for _, c := range []struct{ args, want string }{
		{tables + " --dry-run", "; was cut off as " + name + ", which stays\n"},
		{tables + " --dry-run --json", `"cut_off_before": "` + name + `"`},
		{filepath.Join(tables, "a.csv") + " --dry-run", "imported before, and cut off: " + name + " holds a part of the same file and stays"},
		{tables, "; was cut off as " + name + ", which stays: imported anew as "},
		{tables, "a.csv  imported before as "},
	} {
		if got := call(strings.Fields(c.args)...); !strings.Contains(got, c.want) {
			t.Errorf("%s: no %q in\n%s", c.args, c.want, got)
		} else if strings.HasPrefix(c.want, "a.csv") && strings.Contains(got, "before as "+name+"\n") {
			t.Errorf("the part stands for the whole: %s", got)
		}
	}
	if all, err := os.ReadDir(shelf); err != nil || len(all) != 2 {
		t.Errorf("%d on the shelf, %v", len(all), err)
	}
	if after, err := os.ReadFile(filepath.Join(cut, "pull.json")); err != nil || !bytes.Equal(before, after) {
		t.Errorf("the part was changed: %v", err)
	}
}

// cutOff makes a record as the power leaves it when it goes: never closed.
func cutOff(t *testing.T, dir string) {
	t.Helper()
	name := filepath.Join(dir, "pull.json")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var head map[string]json.RawMessage
	if err := json.Unmarshal(text, &head); err != nil {
		t.Fatal(err)
	}
	if head["closing"] == nil {
		t.Fatalf("%s was never closed", dir)
	}
	delete(head, "closing")
	delete(head, "results")
	if text, err = json.Marshal(head); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, text, 0o644); err != nil {
		t.Fatal(err)
	}
}
