package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/share"
	"draghand/internal/sim"
)

// swap pulls three bars on each side of a simulated rig whose true share is not
// what its file says: each bar's lines go through a file into a record of its
// own, by the verb watch. It gives the shelf and the records.
func swap(t *testing.T, seed uint64, truth float64) (shelf string, records []string) {
	t.Helper()
	dir := t.TempDir()
	shelf = filepath.Join(dir, "pulls")
	r, err := rig.Parse("the example rig", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	rigFile := filepath.Join(dir, "rig.toml")
	if err := os.WriteFile(rigFile, []byte(rig.Example()), 0o600); err != nil {
		t.Fatal(err)
	}
	for i := range 6 {
		side := []string{"near", "far"}[i%2]
		s, err := sim.New(sim.Options{Rig: r, Seed: 100*seed + uint64(i), TrueShare: truth, Far: side == "far"})
		if err != nil {
			t.Fatal(err)
		}
		var lines []byte
		for end := s.Truth().EndAt.Seconds() + 3; ; {
			smp, ok := s.Next()
			if !ok || smp.T.Seconds() > end {
				break
			}
			lines = s.AppendLine(lines, smp)
		}
		trace := filepath.Join(dir, fmt.Sprintf("%d.txt", i))
		if err := os.WriteFile(trace, lines, 0o600); err != nil {
			t.Fatal(err)
		}
		code, out, stderr := calls(nil, "watch", "--data", shelf, "--headless", "--rig", rigFile, "--from", "file:"+trace, "--melt", "M1", "--alloy", "C90500",
			"--specimen", fmt.Sprint(i+1), "--side", side, "--diameter", "12.5 mm")
		_, rec, ok := strings.Cut(out, "saved as   ")
		if code != exitDone || !ok {
			t.Fatalf("bar %d: code %d\n%s%s", i, code, out, stderr)
		}
		records = append(records, strings.TrimSpace(rec))
	}
	return shelf, records
}

// Whole records, simulated reading by reading: the share is found within its
// stated interval.
func TestShareFromRecords(t *testing.T) {
	for seed, truth := range map[uint64]float64{1: 0.515, 2: 0.49, 3: 0.5} {
		_, records := swap(t, seed, truth)
		code, out, stderr := calls(nil, append([]string{"share", "--json"}, records...)...)
		var a share.Answer
		if err := json.Unmarshal([]byte(out), &a); err != nil || code != exitDone {
			t.Fatalf("code %d, %v\n%s%s", code, err, out, stderr)
		}
		t.Logf("true share %g: found %.4f ± %.4f, ruler agrees: %v", truth, a.Share, a.Expanded, a.Agree)
		if math.Abs(a.Share-truth) > a.Expanded || a.Near.N != 3 || a.Far.N != 3 || len(a.Bars) != 6 {
			t.Errorf("true share %g: %s", truth, out)
		}
	}
}

// The line that is printed goes into the rig file, and results by it are those
// of the true share: the bars of both sides come out alike.
func TestShareLineGoesIntoTheRigFile(t *testing.T) {
	shelf, records := swap(t, 4, 0.53)
	code, out, stderr := calls(nil, append([]string{"share", "--units", "si"}, records...)...)
	if code != exitDone || !strings.Contains(out, "do NOT agree") || !strings.Contains(out, "near side   3 bars") {
		t.Fatalf("code %d\n%s%s", code, out, stderr)
	}
	_, line, ok := strings.Cut(out, "share_found")
	line, _, _ = strings.Cut(line, "\n")
	if !ok {
		t.Fatalf("no line\n%s", out)
	}
	file := filepath.Join(t.TempDir(), "found.toml")
	text := strings.Replace(rig.Example(), "bearing = ", "share_found"+line+"\nbearing = ", 1)
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	means := func(more ...string) (near, far float64) {
		code, out, stderr := calls(nil, append(append([]string{"results", "--json", "--data", shelf}, more...), records...)...)
		var all []struct {
			Strength float64 `json:"strength_pa"`
		}
		if err := json.Unmarshal([]byte(out), &all); err != nil || code != exitDone || len(all) != 6 {
			t.Fatalf("code %d, %v: %s%s", code, err, out, stderr)
		}
		for i, r := range all {
			if i%2 == 0 {
				near += r.Strength / 3
			} else {
				far += r.Strength / 3
			}
		}
		return near, far
	}
	if near, far := means(); far/near < 1.08 { // true 0.53/0.47 = 1.128
		t.Errorf("by the arms the sides differ by %.3f only", far/near)
	}
	if near, far := means("--rig", file); math.Abs(far/near-1) > 0.005 { // what rounding of the line leaves
		t.Errorf("by the found share the sides differ by %.4f", far/near)
	}
	code, out, stderr = calls(nil, "rig", "check", file)
	if code != exitDone || !strings.Contains(out, "found by bars pulled on both sides") {
		t.Errorf("code %d\n%s%s", code, out, stderr)
	}
}

// The record has the side with the bar, and the rig as in its file.
func TestSideInTheRecord(t *testing.T) {
	_, records := swap(t, 5, 0.5)
	for i, dir := range records {
		head, err := os.ReadFile(filepath.Join(dir, "pull.json"))
		if err != nil {
			t.Fatal(err)
		}
		if far := bytes.Contains(head, []byte(`"side": "far"`)); far != (i%2 == 1) {
			t.Errorf("bar %d: side far %v", i+1, far)
		}
		if !bytes.Contains(head, []byte(`"specimen_arm_m": 0.11,`)) || !bytes.Contains(head, []byte(`"share": 0.5,`)) {
			t.Errorf("bar %d: the rig was changed", i+1)
		}
	}
	code, out, _ := calls(nil, "results", records[1])
	if code != exitDone || !strings.Contains(out, "the bar stood on the far side, which carries 0.5000") {
		t.Errorf("code %d\n%s", code, out)
	}
}

func TestShareRefuses(t *testing.T) {
	_, records := swap(t, 6, 0.5)
	for name, c := range map[string]struct {
		args []string
		code int
		why  string
	}{
		"too few":      {records[:3], exitUsage, "two or more of each side"},
		"one side":     {[]string{records[0], records[2], records[4], records[4]}, exitInput, "named twice"},
		"one far":      {[]string{records[0], records[2], records[4], records[1]}, exitInput, "1 of the bars were pulled on the far side"},
		"not a record": {append([]string{t.TempDir()}, records...), exitInput, "not a pull record"},
	} {
		code, out, stderr := calls(nil, append([]string{"share"}, c.args...)...)
		if code != c.code || out != "" || !strings.Contains(stderr, c.why) {
			t.Errorf("%s: code %d\n%s%s", name, code, out, stderr)
		}
	}
}

// A rig with one side, or of which nobody has said what the other carries, takes
// no bar on the far side, with the reason; nothing is recorded.
func TestFarSideRefused(t *testing.T) {
	dir := t.TempDir()
	for path, why := range map[string]string{
		"kind = \"fixed\"\nshare = \"0.5 ± 0.01\"\n": "its other side carries is not stated",
		"kind = \"direct\"\n":                        "one side only",
	} {
		before, after, _ := strings.Cut(rig.Example(), "kind = \"two-sided\"")
		_, after, _ = strings.Cut(after, "bearing = \"roller\"")
		text := strings.Replace(before+path+"#"+after, `at = "sides"`, `at = "specimen"`, 1)
		file := filepath.Join(dir, "rig.toml")
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{
			{"watch", "--headless", "--rig", file, "--from", "sim:"},
			{"enter", "--rig", file, "--peak", "100 bar"},
		} {
			shelf := filepath.Join(dir, "pulls")
			code, _, stderr := calls(nil, append(args, "--side", "far", "--data", shelf)...)
			if code != exitUsage || !strings.Contains(stderr, why) {
				t.Errorf("%v: code %d: %s", args, code, stderr)
			}
			if _, err := os.Stat(shelf); err == nil {
				t.Errorf("%v: something was recorded", args)
			}
		}
	}
	code, _, stderr := calls(nil, "watch", "--headless", "--from", "sim:", "--side", "left", "--data", dir)
	if code != exitUsage || !strings.Contains(stderr, `"left" is no side`) {
		t.Errorf("code %d: %s", code, stderr)
	}
}
