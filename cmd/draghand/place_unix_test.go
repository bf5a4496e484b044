//go:build unix

package main

import (
	"io"
	"os"
	"path/filepath"
	"strings"
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

// Where there is no room no verb ends as if its answer had been written.
func TestPlaceFull(t *testing.T) {
	const full = "/dev/full"
	if st, err := os.Stat(full); err != nil || st.Mode()&os.ModeCharDevice == 0 {
		t.Skip("no " + full + " here")
	}
	shelf, rec := shelfOfOne(t)
	for name, args := range writers(rec) {
		code, out, said := ranIn(shelf, append(args, "-o", full)...)
		if code != exitSave || out != "" || !strings.Contains(said, "write \""+full+`": no space`) || !strings.Contains(said, "see that there is room") {
			t.Errorf("%s: code %d, %q, %s", name, code, out, said)
		}
	}
}
