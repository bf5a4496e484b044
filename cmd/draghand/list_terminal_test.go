//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/picture"
)

// The list on a pseudo-terminal of 80 columns.
func TestListOnTerminal(t *testing.T) {
	dir := t.TempDir()
	from := filepath.Join("..", "..", "testdata", "records")
	if err := os.CopyFS(filepath.Join(dir, "shelf"), os.DirFS(from)); err != nil {
		t.Fatal(err)
	}
	term := onTerminal(t, dir, picture.Options{Cols: 80, Rows: 24}, "list", "--data", filepath.Join(dir, "shelf"))
	s := see(t, term, "2026-11-25T140322Z-M1-3-earlier", "2026-11-25T141055Z-M1-4", "2026-11-25T122446Z-M1-5-earlier")
	for _, name := range []string{"2026-11-25T140322Z-M1-3-earlier", "2026-11-25T141055Z-M1-4"} {
		if !strings.Contains(s.Text(), ", "+name+"\n") {
			t.Errorf("no line ends with %s:\n%s", name, s.Text())
		}
	}
}
