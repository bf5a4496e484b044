//go:build unix

package main

import (
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/bench"
)

// A field is found by its word and by the name it is shown with; the longer name
// counts.
func TestFieldIsNamedAsItIsShown(t *testing.T) {
	v := &bench.View{Fields: []bench.Field{
		{ID: bench.FieldRig, Label: "rig file"},
		{ID: bench.FieldTarget, Label: "hold at"},
		{ID: bench.FieldHold, Label: "hold for"},
		{ID: bench.FieldGauge, Label: "gauge length"},
		{ID: bench.FieldMelt, Label: "melt"},
	}}
	for line, want := range map[string][2]string{
		"rig a.toml":           {"rig", "a.toml"},
		"rig file a.toml":      {"rig", "a.toml"},
		"Rig  File":            {"rig", ""},
		"hold at 20 kN":        {"target", "20 kN"},
		"hold 60 s":            {"hold", "60 s"},
		"hold for 60 s":        {"hold", "60 s"},
		"gauge length 50 mm":   {"gauge", "50 mm"},
		"gauge 50 mm":          {"gauge", "50 mm"},
		"melt M1, second pour": {"melt", "M1, second pour"},
		"melting":              {"", ""},
		"":                     {"", ""},
	} {
		f, text := fieldNamed(v, line)
		id := ""
		if f != nil {
			id = string(f.ID)
		}
		if id != want[0] || text != want[1] {
			t.Errorf("%q: field %q, text %q, want %q", line, id, text, want)
		}
	}
}

// What is wrong with a field or the source is told once in a show, and what is not
// set is told as what holds.
func TestShowTellsAFaultOnce(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	k := startTalk(t, dir, "--plain", "--from", "sim:?frob=1", "--rig", filepath.Join(dir, "none.toml"), "--diameter", "twelve", "--data", filepath.Join(dir, "shelf"))
	k.hear("it is no safety device")
	for range 2 { // the second time the rig file was surely tried
		k.tell("show")
		k.hear("not seen to:")
	}
	k.tell("quit")
	if err := k.cmd.Wait(); err != nil {
		t.Error(err)
	}
	text := k.text[strings.LastIndex(k.text, "rig file, type rig"):]
	for _, once := range []string{"stands without a number", "no such file"} {
		if n := strings.Count(text, once); n > 1 {
			t.Errorf("%d times %q in:\n%s", n, once, text)
		}
	}
	if !strings.Contains(text, "kind: tension") || !strings.Contains(text, "as said above") {
		t.Errorf("said was:\n%s", text)
	}
}
