//go:build unix

package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"

	"draghand/internal/picture"
)

// A device that sends escape sequences, 1 MB lines, binary noise and NUL bytes:
// none of it reaches the terminal, memory stays flat, bad_lines counts it.
func TestHostileDevice(t *testing.T) {
	dir := t.TempDir()
	master, slave, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer master.Close()
	defer slave.Close()
	rigFile := weakRig(t, dir)
	shelf := filepath.Join(dir, "shelf")
	term := onTerminal(t, dir, picture.Options{}, "watch", "--rig", rigFile, "--from", "serial:"+slave.Name(), "--data", shelf, "--melt", "M1")
	see(t, term, "slack")

	rng := rand.New(rand.NewPCG(7, 7))
	noise := make([]byte, 1<<16)
	for i := range noise {
		noise[i] = byte(rng.Uint32())
	}
	send := func(b []byte) {
		if _, err := master.Write(b); err != nil {
			t.Fatal(err)
		}
	}
	send([]byte("hello\n"))
	before := 0
	for i := range 12 {
		send([]byte("\x1b[2J\x1b]0;owned\a\x1b[31mHOSTILE\x1b[?1049l\n"))
		send(bytes.Repeat([]byte("A"), 1<<20))
		send([]byte("\n"))
		send(noise)
		send([]byte("\n\x00\x00\x00\n"))
		for j := range 200 {
			send(fmt.Appendf(nil, "%d,%d\n", (i*200+j)*1000+1_000_000, 820+j%2))
		}
		if i == 3 {
			before = resident(t, term.PID())
		}
	}
	waitFor(t, 10*time.Second, "the last line in the record", func() bool {
		found, _ := filepath.Glob(filepath.Join(shelf, "*", "samples.csv"))
		if len(found) != 1 {
			return false
		}
		text, err := os.ReadFile(found[0])
		return err == nil && bytes.Contains(text, []byte(",3399000,"))
	})
	after := resident(t, term.PID())
	t.Logf("resident memory %d kB after 4 MB of noise, %d kB after 13 MB", before, after)
	if after > before+16<<10 {
		t.Errorf("memory grew from %d kB to %d kB", before, after)
	}
	text := term.Screen().Text()
	if strings.Contains(text, "HOSTILE") || strings.Contains(text, "owned") {
		t.Errorf("the device's text is on the screen:\n%s", text)
	}
	press(t, term, "q")
	if _, err := term.Until(t.Context(), "the end", func(s *picture.Screen) bool {
		return s.Contains("saved as") || s.Contains("y/n") || s.Contains("y to end")
	}); err != nil {
		t.Fatalf("%v:\n%s", err, term.Screen().Text())
	}
	_ = term.Type("y") // it may have ended by now
	ended(t, term)
	for _, sequence := range []string{"]0;owned", "HOSTILE", "\x00"} {
		if bytes.Contains(term.Raw(), []byte(sequence)) {
			t.Errorf("the device's %q reached the terminal", sequence)
		}
	}
	waitClosed(t, shelf, 5*time.Second)
	res := resultsOf(t, dir, onlyRecord(t, shelf))
	if bad := res["bad_lines"].(float64); bad < 12*3 {
		t.Errorf("bad_lines = %v, want at least %d", bad, 12*3)
	}
	if n := res["samples"].(float64); n < 12*190 {
		t.Errorf("samples = %v, want nearly %d: good lines between the noise count", n, 12*200)
	}
}

// resident is the memory of a process in kB.
func resident(t *testing.T, pid int) int {
	t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		t.Skip("no /proc here: ", err)
	}
	for line := range strings.Lines(string(text)) {
		if v, ok := strings.CutPrefix(line, "VmRSS:"); ok {
			n, err := strconv.Atoi(strings.Fields(v)[0])
			if err != nil {
				t.Fatal(err)
			}
			return n
		}
	}
	t.Fatal("no VmRSS")
	return 0
}
