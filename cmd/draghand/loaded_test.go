//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"draghand/internal/picture"
)

// loadedBoard begins a bench in words on a board whose rig is pumped by itself, and
// waits for the load.
func loadedBoard(t *testing.T) *talk {
	t.Helper()
	dir := t.TempDir()
	link := filepath.Join(dir, "board")
	board := start(t, dir, "simulate", "--link", link, "--fault", "hold")
	if err := board.Start(); err != nil {
		t.Fatal(err)
	}
	waitFor(t, 5*time.Second, "the port", func() bool { _, err := os.Stat(link); return err == nil })
	k := startTalk(t, dir, "--plain", "--rig", weakRig(t, dir, `"48 kN"`, `"20 kN"`), "--from", "serial:"+link, "--data", filepath.Join(dir, "shelf"))
	k.hear("LOAD ON THE RIG: nothing is recorded yet")
	return k
}

// Load before arming: every line of it says that nothing is recorded, the words for
// state, limits and acknowledging are known, and leaving asks, and says last of all
// that the rig is loaded.
func TestLoadedBenchInWords(t *testing.T) {
	t.Parallel()
	k := loadedBoard(t)
	k.hear("CAUTION", "NOTHING IS RECORDED", "WARNING", "NOTHING IS RECORDED")
	k.tell("s")
	k.hear("nothing is recorded: loading, force")
	k.tell("l")
	k.hear("nothing is recorded", "link bar: ")
	k.hear("STOP", "NOTHING IS RECORDED", "STILL NOT ACKNOWLEDGED: STOP", "NOTHING IS RECORDED")
	k.tell("a")
	k.hear("acknowledged: STOP of link bar. NOTHING IS RECORDED")
	k.tell("quit")
	k.hear("there is load on the rig: type quit again")
	k.tell("quit")
	k.hear("the rig was loaded when the program ended: release the pressure before anybody reaches in\n")
	if err := k.cmd.Wait(); err != nil {
		t.Errorf("ended with %v", err)
	}
	for line := range strings.SplitSeq(k.text, "\n") {
		for _, w := range []string{"phase:", "CAUTION", "WARNING", "BREAK", "STOP:"} {
			if strings.Contains(line, w) && !strings.Contains(line, "NOTHING IS RECORDED") {
				t.Errorf("without a word that nothing is recorded: %q", line)
			}
		}
	}
	if !strings.HasSuffix(k.text, lastLoaded+"\n") {
		t.Error("the load is not the last that is said")
	}
}

// A sitting on the screen that ends on a loaded rig leaves the same words behind.
func TestLoadedBenchOnScreenLeavesWords(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	link := filepath.Join(dir, "board")
	board := start(t, dir, "simulate", "--link", link, "--fault", "hold")
	if err := board.Start(); err != nil {
		t.Fatal(err)
	}
	waitFor(t, 5*time.Second, "the port", func() bool { _, err := os.Stat(link); return err == nil })
	rig := weakRig(t, dir, `"48 kN"`, `"200 kN"`) // no alarm: only the load
	term := onTerminal(t, dir, picture.Options{Timeout: 30 * time.Second}, "--rig", rig, "--from", "serial:"+link, "--data", filepath.Join(dir, "shelf"))
	see(t, term, "LOAD ON THE RIG")
	keys(t, term, "q", "nothing will watch it: leave?")
	keys(t, term, "y", "the rig was loaded when the program ended")
	ended(t, term)
}

// The program told to end on a loaded bench says so too.
func TestLoadedBenchInterrupted(t *testing.T) {
	t.Parallel()
	k := loadedBoard(t)
	if err := k.cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	_ = k.cmd.Wait()
	if !strings.HasSuffix(k.text, lastLoaded+"\n") {
		t.Errorf("said was:\n%s", k.text)
	}
}

// So does a pull that is interrupted under load, on the bench and without one; no
// hint follows at what can be typed no more.
func TestPullInterruptedUnderLoad(t *testing.T) {
	t.Parallel()
	for name, args := range map[string][]string{
		"bench": {"--plain", "--from", "sim:", "--diameter", "12.5 mm"},
		"watch": {"watch", "--plain", "--from", "sim:", "--diameter", "12.5 mm"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			k := startTalk(t, dir, append(args, "--data", filepath.Join(dir, "shelf"))...)
			if name == "bench" {
				k.hear("zero taken")
				k.tell("arm") // a reason is for what was told
				k.hear("to arm all the same")
				k.tell("arm anyway a trial")
				k.hear("ARMED")
			}
			k.hear("phase: loading", "drag hand", "drag hand")
			if err := k.cmd.Process.Signal(syscall.SIGINT); err != nil {
				t.Fatal(err)
			}
			_ = k.cmd.Wait()
			if !strings.Contains(k.text, "saved as") || !strings.HasSuffix(k.text, lastLoaded+"\n") || strings.Contains(k.text, "remark TEXT") {
				t.Errorf("said was:\n%s", k.text)
			}
		})
	}
}

// A pull that is ended under load says with its result what is left on the rig.
func TestPullEndedUnderLoad(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	k := startTalk(t, dir, "--plain", "--from", "sim:", "--diameter", "12.5 mm", "--data", filepath.Join(dir, "shelf"))
	k.hear("zero taken")
	k.tell("arm") // a reason is for what was told
	k.hear("to arm all the same")
	k.tell("arm anyway a trial")
	k.hear("phase: loading", "drag hand", "drag hand")
	k.tell("e")
	k.hear("type e again")
	k.tell("e")
	k.hear("saved as", leftLoaded)
	k.hear("the load is off the rig")
	k.tell("quit")
	if err := k.cmd.Wait(); err != nil {
		t.Errorf("ended with %v", err)
	}
	if strings.Contains(k.text, lastLoaded) {
		t.Error("says at the end that the rig is loaded, and it is not")
	}
}
