//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
)

// A port that is not there, may not be opened, or is in use: two lines that say
// what to do, and exit code 4. No record of nothing is left.
func TestPortFaults(t *testing.T) {
	master, slave, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer master.Close()
	defer slave.Close()
	dir := t.TempDir()
	file := weakRig(t, dir)
	if err := os.Chmod(file, 0o644); err != nil {
		t.Fatal(err)
	}
	watch := func(from string, prefix ...string) (string, int) {
		shelf, err := os.MkdirTemp("", "shelf")
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { os.RemoveAll(shelf) })
		if err := os.Chmod(shelf, 0o777); err != nil {
			t.Fatal(err)
		}
		rig := filepath.Join(shelf, "r.toml")
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(rig, text, 0o644); err != nil {
			t.Fatal(err)
		}
		args := append(prefix, program(t), "watch", "--rig", rig, "--from", from, "--headless", "--data", shelf)
		cmd := exec.Command(args[0], args[1:]...)
		cmd.Env = append(os.Environ(), home(shelf)...)
		var stderr strings.Builder
		cmd.Stderr = &stderr
		_ = cmd.Run()
		if left, _ := filepath.Glob(filepath.Join(shelf, "*", "pull.json")); len(left) > 0 {
			t.Errorf("%s: a record of nothing was left: %v", from, left)
		}
		return stderr.String(), cmd.ProcessState.ExitCode()
	}
	check := func(name, stderr string, code int, words ...string) {
		t.Helper()
		lines := strings.Split(strings.TrimSpace(stderr), "\n")
		if code != exitSource || len(lines) != 2 || !strings.HasPrefix(lines[1], "  next: ") {
			t.Errorf("%s: code %d, stderr:\n%s", name, code, stderr)
		}
		for _, w := range words {
			if !strings.Contains(stderr, w) {
				t.Errorf("%s: no %q in:\n%s", name, w, stderr)
			}
		}
	}
	stderr, code := watch("serial:" + filepath.Join(dir, "nowhere"))
	check("missing", stderr, code, "nowhere")
	stderr, code = watch("serial:" + dir)
	check("a folder", stderr, code)

	first := start(t, dir, "watch", "--rig", file, "--from", "serial:"+slave.Name(), "--headless", "--data", filepath.Join(dir, "first"))
	if err := first.Start(); err != nil {
		t.Fatal(err)
	}
	stop := make(chan struct{})
	defer close(stop)
	go func() {
		tick := time.NewTicker(10 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-tick.C:
				_, _ = master.WriteString("1000,820\n")
			case <-stop:
				return
			}
		}
	}()
	waitFor(t, 5*time.Second, "readings", func() bool {
		found, _ := filepath.Glob(filepath.Join(dir, "first", "*", "samples.csv"))
		if len(found) != 1 {
			return false
		}
		s, err := os.Stat(found[0])
		return err == nil && s.Size() > 100
	})
	stderr, code = watch("serial:" + slave.Name())
	check("in use", stderr, code, "in use")

	if _, err := exec.LookPath("setpriv"); err != nil || os.Geteuid() != 0 {
		t.Skip("the rest needs root and setpriv: a port somebody else may not open")
	}
	other, device, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	defer device.Close()
	stderr, code = watch("serial:"+device.Name(), "setpriv", "--reuid=65534", "--regid=65534", "--clear-groups")
	check("no permission", stderr, code, "may not be opened by you")
}
