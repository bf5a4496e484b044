//go:build unix

package main

import (
	"encoding/json"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/si"
)

// A rig whose link bar gives way before the specimen breaks: the rig check, the
// plan, the bench and the alarm of the pull name the same part and the same
// numbers. Source: by hand for a bar of 30 kN a side; it stops at 30/48 of the
// 222.0184 bar of docs/math.md, 138.76 bar and 29.14 kN on the specimen, and 40 to
// 50 ksi on 12.5 mm are 33.84 to 42.31 kN.
func TestTheSamePartEverywhere(t *testing.T) {
	t.Parallel()
	const part, allowed, atStop = "link bar", "6,744 lbf", "6,551 lbf"
	dir := t.TempDir()
	file := weakRig(t, dir, `"48 kN"`, `"30 kN"`)
	bar := []string{"--alloy", "C90500", "--diameter", "12.5 mm", "--expect", "40 ksi .. 50 ksi"}

	_, text, _ := calls(nil, "rig", "check", file)
	if !inOrder(text, part+": "+allowed+" on each side  <- nearest", "stop", atStop+" specimen") {
		t.Errorf("rig check does not name the part and both numbers:\n%s", text)
	}
	_, text, _ = calls(nil, "rig", "check", "--json", file)
	var checked struct {
		Derived struct {
			Limits []struct {
				Name      string  `json:"name"`
				Nearest   bool    `json:"nearest"`
				Allowable float64 `json:"allowable_n"`
				Stop      struct {
					Specimen float64 `json:"specimen_n"`
				} `json:"stop"`
			} `json:"limits"`
		} `json:"derived"`
	}
	if err := json.Unmarshal([]byte(text), &checked); err != nil {
		t.Fatal(err)
	}
	near := checked.Derived.Limits[0]
	if near.Name != part || !near.Nearest || near.Allowable != 30e3 || math.Abs(near.Stop.Specimen-29.14e3) > 5 {
		t.Errorf("rig check --json: %+v", near)
	}

	code, text, _ := calls(nil, "plan", "--rig", file, "--strength", "40 ksi .. 50 ksi", "--diameter", "12.5 mm")
	if flat := strings.Join(strings.Fields(text), " "); code != exitDone ||
		!inOrder(flat, "first to its stop: "+part+" ("+allowed+" on each side), at "+atStop+" on the specimen", "0.492 in own: no: "+part+" comes to its stop first, at "+atStop) {
		t.Errorf("plan does not name the part and both numbers, code %d:\n%s", code, text)
	}
	_, text, _ = calls(nil, "plan", "--rig", file, "--strength", "40 ksi .. 50 ksi", "--json")
	var planned struct {
		Part struct {
			Name      string  `json:"name"`
			Allowable float64 `json:"allowable"`
			Stop      struct {
				Specimen float64 `json:"specimen_n"`
			} `json:"stop"`
		} `json:"part"`
	}
	if err := json.Unmarshal([]byte(text), &planned); err != nil {
		t.Fatal(err)
	}
	if planned.Part.Name != part || planned.Part.Allowable != near.Allowable || planned.Part.Stop.Specimen != near.Stop.Specimen {
		t.Errorf("plan --json: %+v, rig check %+v", planned.Part, near)
	}

	k := startTalk(t, dir, append([]string{"--plain", "--every", "0", "--data", filepath.Join(dir, "bench"), "--rig", file, "--from", "sim:"}, bar...)...)
	k.hear("zero taken")
	k.tell("show")
	k.hear("limit "+part+": stop at "+atStop+" on the specimen",
		"cannot be armed: the expected break of 7,609–9,511 lbf is past the stop of "+part+" ("+allowed+" on each side), "+atStop+" on the specimen")
	k.tell("quit")
	if err := k.cmd.Wait(); err != nil {
		t.Error(err)
	}

	text = quiet(t, filepath.Join(dir, "pull"), "--rig", file, "--from", "sim:?speed=20", "--plain", "--expect", "40 ksi .. 50 ksi")
	if !inOrder(text, "STOP: "+part+" carries", "of "+allowed+" allowed") {
		t.Errorf("the alarm does not name the part and its number:\n%s", text)
	}
	if got := si.Force(near.Stop.Specimen).Text(si.US); got != atStop {
		t.Errorf("%s, want %s", got, atStop)
	}
}
