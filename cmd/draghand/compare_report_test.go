package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"draghand/internal/compare"
)

// The report of a comparison is kept in the working folder, never over another file,
// and says where it is; it has the traces of its pulls.
func TestKeepComparison(t *testing.T) {
	shelf, work := t.TempDir(), t.TempDir()
	name := "2026-11-25T122446Z-M1-5-earlier"
	dir := filepath.Join(shelf, name)
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "..", "testdata", "records", name))); err != nil {
		t.Fatal(err)
	}
	t.Chdir(work)
	d := &desk{c: &common{data: shelf, units: "si"}}
	pulls, err := d.Reckon(context.Background(), []string{dir}, func(int) {})
	if err != nil {
		t.Fatal(err)
	}
	c := compare.Of(pulls, compare.By{Field: compare.ByMelt}, compare.NewOptions())
	at := time.Date(2026, 11, 26, 14, 3, 0, 0, time.Local)
	for i, want := range []string{"comparison-2026-11-26-1403.html", "comparison-2026-11-26-1403-2.html", "comparison-2026-11-26-1403-3.html"} {
		path, err := keepComparison(d.c, &c, ".", at)
		if err != nil {
			t.Fatal(err)
		}
		if filepath.Base(path) != want || !filepath.IsAbs(path) {
			t.Errorf("report %d is %s, want %s with its whole path", i, path, want)
		}
		page, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		// 223 MPa by its own results.
		for _, s := range []string{"SIMULATED: no metal was broken", `<td class="n">223</td>`, "The pulls over each other</title>", "a: M1-5, peak"} {
			if !strings.Contains(string(page), s) {
				t.Errorf("the report lacks %q", s)
			}
		}
		if i == 0 {
			if err := os.WriteFile(path, []byte("mine"), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	if b, err := os.ReadFile("comparison-2026-11-26-1403.html"); err != nil || string(b) != "mine" {
		t.Errorf("the first was written over: %v", err)
	}
	path, err := d.KeepComparison(&c)
	if err != nil {
		t.Fatal(err)
	}
	if found, _ := filepath.Glob(filepath.Join(shelf, "*.html")); len(found) != 0 || filepath.Dir(path) == shelf {
		t.Errorf("it stands on the shelf: %s", path)
	}
	if _, err := keepComparison(d.c, &c, filepath.Join(work, "gone"), at); err == nil || !strings.Contains(err.Error(), "was not saved") {
		t.Errorf("into a folder that is none: %v", err)
	}
}
