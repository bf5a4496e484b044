//go:build unix

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creack/pty"
)

// A picture is not written to a terminal, which would take its bytes for orders;
// into a file it is.
func TestPictureNotToATerminal(t *testing.T) {
	master, slave, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer master.Close()
	defer slave.Close()
	rec := filepath.Join("..", "..", "testdata", "records", "2026-11-25T140322Z-M1-3")
	var said bytes.Buffer
	w := world{in: strings.NewReader(""), out: slave, err: &said, getenv: os.Getenv}
	if code := run([]string{"export", rec, "--as", "png"}, w); code != exitUsage || !strings.Contains(said.String(), "not written to a terminal") {
		t.Errorf("code %d, said %q", code, said.String())
	}
	file := filepath.Join(t.TempDir(), "x.png")
	if code := run([]string{"export", rec, "--as", "png", "-o", file}, w); code != exitDone {
		t.Errorf("code %d", code)
	}
	if b, err := os.ReadFile(file); err != nil || !bytes.HasPrefix(b, []byte("\x89PNG")) {
		t.Errorf("the file: %v, %d bytes", err, len(b))
	}
}
