package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A comparison gets its pulls in the order asked for, with what cannot be read told.
func TestReckon(t *testing.T) {
	dir := t.TempDir()
	from := filepath.Join("..", "..", "testdata", "records")
	var dirs []string
	for _, name := range []string{"2026-11-25T141055Z-M1-4", "2026-11-25T122446Z-M1-5-earlier", "2026-11-25T140322Z-M1-3"} {
		to := filepath.Join(dir, name)
		if err := os.CopyFS(to, os.DirFS(filepath.Join(from, name))); err != nil {
			t.Fatal(err)
		}
		dirs = append(dirs, to)
	}
	dirs = append(dirs, filepath.Join(dir, "gone"))
	last := 0
	d := &desk{c: &common{data: dir}}
	got, err := d.Reckon(context.Background(), dirs, func(n int) {
		if n == len(dirs) {
			last = n
		}
	})
	if err != nil || len(got) != len(dirs) || last != len(dirs) {
		t.Fatalf("%d pulls, last told %d, %v", len(got), last, err)
	}
	for i, p := range got {
		if p.Dir != dirs[i] {
			t.Errorf("%s in the place of %s", p.Dir, dirs[i])
		}
	}
	if p := got[1]; p.Bar != "M1-5" || p.Strength < 222e6 || p.Strength > 224e6 || p.Out != "" || !p.Simulated || p.U == 0 { // 223 MPa by its results
		t.Errorf("%+v", p)
	}
	if !strings.Contains(got[3].Out, "cannot be read") {
		t.Errorf("of what is gone: %q", got[3].Out)
	}
}
