package calib

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"draghand/internal/rig"
)

// Many that save at once get a file each, and none is lost.
func TestSaveAtOnce(t *testing.T) {
	shelf := t.TempDir()
	run := taken(t, rig.AtRam, truth{per: 0.0042, noise: 1e4, falling: true}, 4)
	paths := make([]string, 8)
	var all sync.WaitGroup
	for i := range paths {
		all.Add(1)
		go func() {
			defer all.Done()
			a, err := Reckon(run, Options{})
			if err != nil {
				t.Error(err)
				return
			}
			if paths[i], err = Save(shelf, "draghand test", run, Options{}, &a); err != nil {
				t.Error(err)
			}
		}()
	}
	all.Wait()
	seen := map[string]bool{}
	for _, p := range paths {
		seen[p] = true
	}
	list, err := List(shelf)
	if err != nil || len(seen) != len(paths) || len(list) != len(paths) {
		t.Fatalf("%d paths, %d files, %v", len(seen), len(list), err)
	}
	for _, e := range list {
		if e.File == nil {
			t.Errorf("%s: %s", e.Path, e.Reason)
		}
	}
}

// A withdrawn one stays, with why, and nothing is reckoned by it.
func TestWithdraw(t *testing.T) {
	shelf := t.TempDir()
	_, old := kept(t, shelf, rig.AtRam, func(r *Run, _ *Options) { r.Made = day.AddDate(0, 0, -9) })
	path, bad := kept(t, shelf, rig.AtRam, nil)
	if c, err := InForce(shelf, example(t), false, false, day); err != nil || c == nil || c.ID != bad.Calibration.ID {
		t.Fatalf("in force %+v, %v", c, err)
	}
	if _, err := Withdraw(shelf, bad.Calibration.ID, " ", "", day); err == nil {
		t.Error("withdrawn without a reason")
	}
	if got, err := Withdraw(shelf, bad.Calibration.ID, "point 4 was read wrong", "", day); err != nil || got != path {
		t.Fatalf("%s, %v", got, err)
	}
	if c, err := InForce(shelf, example(t), false, false, day); err != nil || c == nil || c.ID != old.Calibration.ID {
		t.Errorf("in force after it %+v, %v", c, err)
	}
	f, err := ReadFile(path)
	if err != nil || f.Withdrawn == nil || f.Withdrawn.Reason != "point 4 was read wrong" || !f.Withdrawn.At.Equal(day) {
		t.Fatalf("%+v, %v", f, err)
	}
	if _, err := Withdraw(shelf, bad.Calibration.ID, "again", "", day); err == nil || !strings.Contains(err.Error(), "point 4 was read wrong") {
		t.Errorf("withdrawn twice: %v", err)
	}
	for _, id := range []string{"", "nothing", "../x", path} {
		if _, err := Withdraw(shelf, id, "why", "", day); err == nil {
			t.Errorf("%q was withdrawn", id)
		}
	}
}

func TestReplaces(t *testing.T) {
	shelf := t.TempDir()
	path, bad := kept(t, shelf, rig.AtRam, nil)
	again, b := kept(t, shelf, rig.AtRam, func(_ *Run, o *Options) { o.Replaces = bad.Calibration.ID })
	f, err := ReadFile(path)
	if err != nil || f.Withdrawn == nil || f.Withdrawn.By != b.Calibration.ID {
		t.Fatalf("the old one: %+v, %v", f, err)
	}
	if f, err = ReadFile(again); err != nil || f.Replaces != bad.Calibration.ID {
		t.Fatalf("the new one: %+v, %v", f, err)
	}
	if c, err := InForce(shelf, example(t), false, false, day); err != nil || c == nil || c.ID != b.Calibration.ID {
		t.Errorf("in force %+v, %v", c, err)
	}
	run := taken(t, rig.AtRam, truth{per: 0.0042, noise: 1e4}, 4)
	a := reckoned(t, run, Options{})
	if _, err := Save(shelf, "x", run, Options{Replaces: bad.Calibration.ID}, &a); err == nil {
		t.Error("one that is withdrawn was replaced")
	}
	if files, _ := filepath.Glob(filepath.Join(shelf, Folder, "*")); len(files) != 2 {
		t.Errorf("files %v", files)
	}
}

// A file has to say what its own points say; the words of the reference may be
// changed by hand.
func TestFileHolds(t *testing.T) {
	shelf := t.TempDir()
	path, a := kept(t, shelf, rig.AtRam, nil)
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	edit := func(old, new string) string {
		out := strings.ReplaceAll(string(text), old, new)
		if out == string(text) {
			t.Fatalf("%s is not in it", old)
		}
		return out
	}
	for name, c := range map[string]struct {
		text, want string
	}{
		"as it is":      {string(text), ""},
		"reference":     {edit(`"reference": "`+a.Calibration.Reference, `"reference": "the same, as sent back`), ""},
		"slope":         {edit(`"slope": 0.0042`, `"slope": 0.0043`), "its line is not that of its own points"},
		"slope, no sum": {strings.ReplaceAll(edit(`"slope": 0.0042`, `"slope": 0.0043`), `"sum"`, `"x"`), "its line is not that of its own points"},
		"scatter":       {edit(`"residual_sd": `, `"residual_sd": 9`), "its range or its scatter"},
		"claims":        {edit(`compared with`, `class 0.5 with`), "its sum does not match"},
		"due":           {edit(`"due": "2027`, `"due": "2037`), "its sum does not match"},
		"run's rig":     {edit(`"rig": {`, `"rug": {`), "cannot be held against its points"},
	} {
		_, err := Decode([]byte(c.text))
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}
