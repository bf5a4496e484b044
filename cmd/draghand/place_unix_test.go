//go:build unix

package main

import (
	"io"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// A pipe is written into and stays a pipe.
func TestPlacePipe(t *testing.T) {
	shelf, _ := shelfOfOne(t)
	pipe := filepath.Join(t.TempDir(), "pipe")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	got := make(chan string, 1)
	go func() {
		f, err := os.Open(pipe)
		if err != nil {
			got <- err.Error()
			return
		}
		defer f.Close()
		b, _ := io.ReadAll(f)
		got <- string(b)
	}()
	code, _, said := ranIn(shelf, "list", "--csv", "-o", pipe)
	if code != exitDone {
		t.Fatalf("code %d: %s", code, said)
	}
	_, want, _ := ranIn(shelf, "list", "--csv")
	if text := <-got; text != want {
		t.Errorf("read %q, want %q", text, want)
	}
	if st, err := os.Lstat(pipe); err != nil || st.Mode()&os.ModeNamedPipe == 0 {
		t.Errorf("it is %v, %v", st.Mode(), err)
	}
}
