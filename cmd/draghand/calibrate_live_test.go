//go:build unix

package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/sim"
)

// talkOnTerminal is startTalk on a terminal of its own.
func talkOnTerminal(t *testing.T, dir string, args ...string) *talk {
	t.Helper()
	k := &talk{t: t, cmd: start(t, dir, args...)}
	k.cmd.Stderr = nil
	screen, err := pty.StartWithSize(k.cmd, &pty.Winsize{Cols: 200, Rows: 50})
	if err != nil {
		t.Fatal(err)
	}
	k.in = screen
	t.Cleanup(func() { screen.Close() })
	go io.Copy(k, screen)
	return k
}

// savedCalibration reads the one calibration of a shelf, as far as the tests ask.
func savedCalibration(t *testing.T, shelf string) (c struct {
	At   string `json:"at"`
	Line struct {
		Slope  float64 `json:"slope"`
		Offset float64 `json:"offset"`
		High   float64 `json:"high_pa"`
	} `json:"line"`
	Friction *struct {
		Friction float64 `json:"friction"`
		Area     float64 `json:"area_m2"`
	} `json:"friction"`
	Simulated bool `json:"simulated"`
},
) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(shelf, "calibrations", "*.json"))
	if err != nil || len(files) != 1 {
		t.Fatalf("calibrations %v, %v", files, err)
	}
	text, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Calibration json.RawMessage `json:"calibration"`
	}
	if err := json.Unmarshal(text, &file); err != nil || len(file.Calibration) == 0 {
		t.Fatalf("%s: %v", text, err)
	}
	if err := json.Unmarshal(file.Calibration, &c); err != nil {
		t.Fatal(err)
	}
	return c
}

// What the rig tells as found is by the calibration in force, live as from a table,
// and without it where that is asked for.
func TestCalibrateAsFound(t *testing.T) {
	dir := t.TempDir()
	shelf := filepath.Join(dir, "shelf")
	// A tenth more than the 42.0 cm² of the example rig.
	table := "reference [kN],gauge [bar]\n0,0\n23.1,50\n46.2,100\n69.3,150\n92.4,200\n"
	if err := os.WriteFile(filepath.Join(dir, "points.csv"), []byte(table), 0o600); err != nil {
		t.Fatal(err)
	}
	rigFile := filepath.Join(dir, "rig.toml")
	if err := os.WriteFile(rigFile, []byte(rig.Example()), 0o600); err != nil {
		t.Fatal(err)
	}
	first := start(t, dir, "calibrate", "--rig", rigFile, "--points", "points.csv", "--zero", "819", "--at", "ram", "--reference", "weights", "--simulated", "--data", shelf)
	first.Dir = dir
	if out, err := first.Output(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, c := range []struct {
		with []string
		told string
		off  float64 // %, by hand
	}{
		{nil, "as found: calibration of ", 10},
		{[]string{"--calibration", "none"}, "as found: calibration: none", 0},
	} {
		args := append([]string{
			"calibrate", "--plain", "--rig", rigFile, "--at", "ram", "--reference", "simulated cell", "--units", "si", "--data", shelf,
			"--from", "sim:?speed=8&seed=3&loads=20kN&true-area=42cm2&true-friction=0", "--no-save",
		}, c.with...)
		k := startTalk(t, dir, args...)
		k.hear(c.told, "what does the reference show?")
		k.tell("20 kN")
		k.hear("; the rig tells ", " %")
		k.mu.Lock()
		m := regexp.MustCompile(`the rig tells [0-9.]+ kN, ([-+0-9.]+) %`).FindStringSubmatch(k.text)
		k.mu.Unlock()
		if m == nil {
			t.Fatalf("%v: no error as found in %s", c.with, k.text)
		}
		// The points are known to some 0.1 %, as below.
		if off, err := strconv.ParseFloat(m[1], 64); err != nil || math.Abs(off-c.off) > 0.5 {
			t.Errorf("%v: as found %s %%, want %g", c.with, m[1], c.off)
		}
		k.tell("quit")
		k.hear("not saved")
		k.tell("quit")
		if err := k.cmd.Wait(); err != nil {
			t.Fatalf("ended with %v:\n%s", err, k.text)
		}
	}
}

// A whole calibration in words, over pipes and on a terminal: up and down, what is
// not so refused, a point dropped and taken again, and saved; the truth of the rig
// is in it.
func TestCalibrateIsSpokenWith(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes a minute; the tests without -short run it")
	}
	for name, open := range map[string]func(*testing.T, string, ...string) *talk{"pipe": startTalk, "terminal": talkOnTerminal} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			shelf := filepath.Join(dir, "shelf")
			k := open(t, dir, "calibrate", "--plain", "--at", "ram", "--reference", "simulated cell", "--units", "si", "--data", shelf,
				"--from", "sim:?speed=4&seed=3&loads=10kN/20kN/30kN/40kN/30kN/20kN/15kN/10kN&true-area=40cm2&true-friction=2%25")
			k.hear("guard up", "nobody in line", "rated for the highest load", "dead weights can fall", "a press under load holds energy", "it is no safety device", "simulated rig")
			k.hear("first the zero", "zero taken: ", "Bring the first load on")
			k.tell("help")
			k.hear("20 kN", "makes a point of it", "drop 3")
			k.tell("frob")
			k.hear(`"frob" is no word known here`)
			k.tell("save")
			k.hear("NOT SAVED", "too few for a line")
			ask := func(load, way string) {
				k.hear("kN by the rig), " + way + ": what does the reference show?")
				k.tell(load)
			}
			ask("10 bar", "rising")
			k.hear(`the reference is at the ram, so what it shows is a force with its unit`)
			// As k.point, where it was asked already and other refusals are wanted.
			again := func(load, taken string) {
				k.tell(load)
				if k.hearOne(taken, "read the reference again then") > 0 {
					k.hear("kN by the rig), rising: what does the reference show?")
					k.tell(load)
					k.hear(taken)
				}
			}
			again("100 kN", "say it again")
			again("10 kN", "point 1: the reference shows 10 kN")
			k.hear("rising; the rig tells ", "go on to the next load")
			k.tell("10 kN")
			k.hear("no point taken")
			for i, load := range []string{"20 kN", "30 kN", "40 kN", "30 kN", "20 kN", "15 kN", "10 kN"} {
				way := "rising"
				if i > 2 {
					way = "falling"
				}
				k.point("kN by the rig), "+way+": what does the reference show?", load, fmt.Sprintf("point %d: the reference shows %s at ", i+2, load))
			}
			k.hear("the load is off: the zero after the points lies")
			k.tell("drop 9")
			k.hear("there is no point 9: they are 1 to 8")
			k.tell("drop 8")
			k.hear("point 8 is out")
			k.tell("quit")
			k.hear("7 points not saved: type save, or quit again")
			k.tell("show")
			// Three falling points give a friction of a line with an offset too, and the noise
			// says once in a while that there is one.
			k.hear("point 7: ", "riction")
			k.tell("save")
			k.hear("saved as ", "ram.json")
			k.tell("quit")
			if err := k.cmd.Wait(); err != nil {
				t.Fatalf("ended with %v:\n%s", err, k.text)
			}
			c := savedCalibration(t, shelf)
			// The points are known to some 0.1 %: the reference to 0.05, the pressure at
			// 24 bar to 0.02 bar.
			if want := 40e-4 * 1.02; c.At != "ram" || !c.Simulated || math.Abs(c.Line.Slope/want-1) > 0.003 {
				t.Errorf("%+v, want a slope of %g m²", c, want)
			}
			if c.Friction == nil || math.Abs(c.Friction.Friction-0.02) > 0.0015 || math.Abs(c.Friction.Area/40e-4-1) > 0.003 {
				t.Errorf("friction %+v", c.Friction)
			}
			usesCalibration(t, dir, shelf)
		})
	}
}

// usesCalibration pulls a bar on the rig as it truly is: by the calibration of the
// shelf its peak is the true one, by the rig file alone it is not.
func usesCalibration(t *testing.T, dir, shelf string) {
	t.Helper()
	r, err := exampleRig()
	if err != nil {
		t.Fatal(err)
	}
	s, err := sim.New(sim.Options{Rig: r, Diameter: demoDiameter, Seed: 5, TrueArea: 40 * si.SquareCM, TrueFriction: 0.02})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		want float64 // of the true peak
	}{
		{nil, 1},
		{[]string{"--calibration", "none"}, 42 / (40 * 1.02)},
	} {
		own, err := os.MkdirTemp(dir, "pull")
		if err != nil {
			t.Fatal(err)
		}
		if err := os.Symlink(filepath.Join(shelf, "calibrations"), filepath.Join(own, "calibrations")); err != nil {
			t.Fatal(err)
		}
		quiet(t, own, append(c.args, "--headless", "--for", "30s", "--from", "sim:?speed=5&seed=5&true-area=40cm2&true-friction=2%25")...)
		cmd := exec.Command(program(t), "results", "--json", onlyRecord(t, own))
		cmd.Env = append(os.Environ(), home(dir)...)
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		var results []struct {
			Peak struct {
				Specimen float64 `json:"specimen_n"`
			} `json:"peak"`
		}
		if err := json.Unmarshal(out, &results); err != nil || len(results) != 1 {
			t.Fatalf("%s: %v", out, err)
		}
		// The sensor's noise of 0.25 bar is 0.15 % of the peak, and the calibration is
		// known to 0.1 %.
		if got := results[0].Peak.Specimen / float64(s.Truth().PeakSpecimen); math.Abs(got/c.want-1) > 0.006 {
			t.Errorf("watch %v: %.4f of the true peak, want %.4f", c.args, got, c.want)
		}
	}
}

// Over a real port, where nothing tells the board that a point was taken.
func TestCalibrateOverAPort(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes a minute; the tests without -short run it")
	}
	t.Parallel()
	dir := t.TempDir()
	link, shelf := filepath.Join(dir, "board"), filepath.Join(dir, "shelf")
	board := start(t, dir, "simulate", "--link", link, "--kind", "steps", "--on", "specimen", "--loads", "8kN/16kN/24kN/16kN", "--hold", "20s", "--speed", "2", "--idle", "8s",
		"--true-share", "51 %", "--log", filepath.Join(dir, "log"))
	if err := board.Start(); err != nil {
		t.Fatal(err)
	}
	waitFor(t, 30*time.Second, "the port", func() bool { _, err := os.Stat(link); return err == nil })
	k := startTalk(t, dir, "calibrate", "--plain", "--rig", weakRig(t, dir), "--at", "specimen", "--reference", "cell", "--units", "si", "--data", shelf, "--from", "serial:"+link)
	k.hear("in the specimen's place", "zero taken")
	for _, load := range []string{"8", "16", "24", "16"} {
		k.point("what does the reference show?", load+" kN", "the reference shows "+load)
	}
	k.hear("the load is off")
	k.tell("save")
	k.hear("saved as ")
	k.tell("quit")
	if err := k.cmd.Wait(); err != nil {
		t.Fatalf("ended with %v:\n%s", err, k.text)
	}
	if c, want := savedCalibration(t, shelf), 0.51*42e-4; c.At != "specimen" || math.Abs(c.Line.Slope/want-1) > 0.004 {
		t.Errorf("%+v, want a slope of %g m²; it was said:\n%s", c, want, k.text)
	}
	lines, _ := readLog(t, filepath.Join(dir, "log"), 2)
	most := 0.0
	for _, l := range lines {
		most = max(most, l.on)
	}
	if math.Abs(most-24e3) > 30 {
		t.Errorf("the log has %g N at most, want 24 kN and what the reference is off", most)
	}
}

// Ends that nobody asked for: points that are not saved are told once more, and the
// program does not end as if all were well.
func TestCalibrateEnds(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		end  func(*talk)
		word string
	}{
		"lines end": {func(k *talk) { k.in.Close() }, "the lines ended with 1 point not saved"},
		"signal":    {func(k *talk) { _ = k.cmd.Process.Signal(syscall.SIGTERM) }, "ended by a signal with 1 point not saved"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			k := startTalk(t, dir, "calibrate", "--plain", "--at", "gauge", "--reference", "gauge", "--units", "si", "--data", dir, "--from", "sim:?speed=4")
			var errs strings.Builder
			k.hear("shares the ram's oil")
			k.point("what does the reference show?", "50 bar", "point 1: the reference shows 50 bar")
			c.end(k)
			k.hear("point 1: the reference shows 50 bar", lastLoaded)
			if err := k.cmd.Wait(); k.cmd.ProcessState.ExitCode() != exitSave {
				t.Errorf("ended with %v, %s", err, errs.String())
			}
			// What was taken is in a table that is read again.
			found, err := filepath.Glob(filepath.Join(dir, "calibrations", "points-*-gauge-*.csv"))
			if err != nil || len(found) != 1 {
				t.Fatalf("tables %v, %v", found, err)
			}
			text, err := os.ReadFile(found[0])
			if err != nil || !strings.Contains(string(text), "reference [Pa],reading,direction,run\n0,") || !strings.Contains(string(text), "\n5e+06,") {
				t.Errorf("table %s, %v", text, err)
			}
		})
	}
}

// What no points can be taken of: two lines that say what to do, and the code.
func TestCalibrateFaults(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	file := weakRig(t, dir)
	base := []string{"calibrate", "--plain", "--rig", file, "--data", dir, "--at", "ram", "--reference", "cell"}
	for name, c := range map[string]struct {
		args []string
		code int
		want string
	}{
		"no port": {append(base, "--from", "serial:/dev/nowhere"), exitSource, "/dev/nowhere"},
		"file":    {append(base, "--from", "file:"+file), exitUsage, "does not send readings as they are measured"},
		"stdin":   {append(base, "--from", "-"), exitUsage, "does not send readings as they are measured"},
		"loads":   {append(base, "--from", "sim:?loads=10bar"), exitUsage, "loads=10kN/20kN"},
		"gain":    {append(base, "--from", "sim:?sensor-gain=2"), exitUsage, "gain"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			cmd := exec.Command(program(t), c.args...)
			cmd.Env = append(os.Environ(), home(dir)...)
			in, err := cmd.StdinPipe() // stays open: nobody types
			if err != nil {
				t.Fatal(err)
			}
			defer in.Close()
			var errs strings.Builder
			cmd.Stderr = &errs
			_ = cmd.Run()
			if cmd.ProcessState.ExitCode() != c.code || !strings.Contains(errs.String(), c.want) || strings.Count(errs.String(), "\n") != 2 {
				t.Errorf("code %d: %s", cmd.ProcessState.ExitCode(), errs.String())
			}
		})
	}
}
