//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"draghand/internal/picture"
)

// A fault on the bench ends the screen first: the terminal is as it was, and two
// lines stay on it.
func TestFaultLeavesTheTerminal(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	file := filepath.Join(dir, "rig.toml")
	text, err := exec.Command(program(t), "rig", "new").Output()
	if err == nil {
		err = os.WriteFile(file, text, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	at, err := exec.LookPath("draghand-faulty")
	if err != nil {
		t.Fatal(err)
	}
	args := []string{"--rig", file, "--from", "sim:", "--data", filepath.Join(dir, "shelf")}
	term, err := picture.Start(t.Context(), picture.Options{Cmd: at, Args: args, Env: home(dir), Timeout: 40 * time.Second})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { term.Close() })
	see(t, term, " readings/s")
	if err := os.WriteFile(filepath.Join(dir, faultName), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	s := see(t, term, "fault in the program: a test's fault (faulty_test.go", "next: what was pulled is on the shelf")
	if s.Contains(" readings/s") {
		t.Errorf("the bench is still there:\n%s", s.Text())
	}
	if code := ended(t, term); code != exitFailed {
		t.Errorf("code %d", code)
	}

	cmd := exec.Command(at, append(args, "--plain", "--every", "0")...)
	cmd.Env = append(os.Environ(), home(dir)...)
	in, err := cmd.StdinPipe() // nobody types
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	out, err := cmd.CombinedOutput()
	if cmd.ProcessState.ExitCode() != exitFailed || !strings.Contains(string(out), "draghand: fault in the program: a test's fault") {
		t.Errorf("in words: %v, said:\n%s", err, out)
	}
}
