package calib

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"draghand/internal/rig"
)

// kept saves a calibration of the example rig and gives its path and answer.
func kept(t testing.TB, shelf string, at rig.Place, change func(*Run, *Options)) (string, Answer) {
	t.Helper()
	run, o := taken(t, at, truth{per: map[rig.Place]float64{rig.AtGauge: 1, rig.AtRam: 0.0042, rig.AtSpecimen: 0.0021}[at], noise: 1e4, falling: true}, 4), Options{}
	if change != nil {
		change(&run, &o)
	}
	a := reckoned(t, run, o)
	path, err := Save(shelf, "draghand test", run, o, &a)
	if err != nil {
		t.Fatal(err)
	}
	return path, a
}

func TestSave(t *testing.T) {
	shelf := t.TempDir()
	path, a := kept(t, shelf, rig.AtSpecimen, nil)
	if want := filepath.Join(shelf, "calibrations", "2026-11-20-example-rig-simulated-specimen.json"); path != want {
		t.Errorf("path %s, want %s", path, want)
	}
	second, b := kept(t, shelf, rig.AtSpecimen, nil)
	if !strings.HasSuffix(second, "-specimen-2.json") || !strings.HasSuffix(b.Calibration.ID, "-2") {
		t.Errorf("the second is at %s as %s", second, b.Calibration.ID)
	}
	f, err := ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(f.Calibration, a.Calibration) {
		t.Errorf("read again %+v, saved %+v", f.Calibration, a.Calibration)
	}
	again := reckoned(t, f.Run, Options{Drop: f.Dropped})
	again.Calibration.ID = a.Calibration.ID
	if !reflect.DeepEqual(again.Calibration, a.Calibration) {
		t.Error("the kept points make another calibration")
	}
	left, err := filepath.Glob(filepath.Join(shelf, Folder, ".new*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
	blocked := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(blocked, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Save(blocked, "x", f.Run, Options{}, &a); err == nil {
		t.Error("saved under a file")
	}
}

// TestList: newest first, what cannot be used last, with why.
func TestList(t *testing.T) {
	shelf := t.TempDir()
	if all, err := List(shelf); err != nil || len(all) != 0 {
		t.Fatalf("an empty shelf: %v %v", all, err)
	}
	path, _ := kept(t, shelf, rig.AtSpecimen, nil)
	kept(t, shelf, rig.AtRam, func(r *Run, _ *Options) { r.Made = day.AddDate(0, 0, 3) })
	kept(t, shelf, rig.AtRam, func(r *Run, _ *Options) { r.Made = day.AddDate(0, 0, -3) })
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(shelf, Folder)
	for name, body := range map[string]string{
		"torn.json":    string(text[:len(text)/2]),
		"renamed.json": string(text),
		"notes.txt":    "look at the pump",
		"newer.json":   strings.Replace(string(text), `"format": 1`, `"format": 2`, 1),
		"other.json":   `{"name":"x"}`,
		"slope.json":   strings.Replace(string(text), `"slope": 0.00`, `"slope": -0.00`, 1),
		"tail.json":    string(text) + "{}",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(body), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	all, err := List(shelf)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range all {
		got = append(got, filepath.Base(e.Path)+": "+e.Reason)
	}
	want := []string{
		"2026-11-23-example-rig-simulated-ram.json: ", "2026-11-20-example-rig-simulated-specimen.json: ", "2026-11-17-example-rig-simulated-ram.json: ",
		"newer.json: made by a newer draghand", "notes.txt: not a calibration file", "other.json: it has no format number",
		"renamed.json: it was renamed", "slope.json: calibration.line.slope", "tail.json: something stands behind", "torn.json: no readable JSON",
	}
	if len(got) != len(want) {
		t.Fatalf("%d entries %q", len(got), got)
	}
	for i := range want {
		if !strings.HasPrefix(got[i], want[i]) {
			t.Errorf("entry %d %q, want %q", i, got[i], want[i])
		}
	}
}

// TestInForce: of those that fit the rig, the side and the kind of source the one
// nearest the specimen, and of these the newest.
func TestInForce(t *testing.T) {
	shelf := t.TempDir()
	r := example(t)
	at := func(r *rig.Rig, far, simulated bool) string {
		c, err := InForce(shelf, r, far, simulated, day.AddDate(0, 0, 3))
		if err != nil {
			t.Fatal(err)
		}
		if c == nil {
			return ""
		}
		return c.Made.Format("01-02") + " " + string(c.At)
	}
	if got := at(r, false, false); got != "" {
		t.Errorf("of none: %s", got)
	}
	kept(t, shelf, rig.AtRam, func(r *Run, _ *Options) { r.Made = day.AddDate(0, 0, -9) })
	kept(t, shelf, rig.AtSpecimen, nil)
	kept(t, shelf, rig.AtSpecimen, func(r *Run, o *Options) { r.Made, o.Simulated = day.AddDate(0, 0, 1), true })
	kept(t, shelf, rig.AtSpecimen, func(r *Run, _ *Options) {
		r.Made = day.AddDate(0, 0, 2)
		r.Rig.Name = "another rig"
	})
	other := *r
	other.Path.FarArm *= 1.1
	for _, c := range []struct {
		name           string
		r              *rig.Rig
		far, simulated bool
		want           string
	}{
		{"the rig", r, false, false, "11-20 specimen"},
		{"the far side", r, true, false, "11-11 ram"},
		{"simulated", r, false, true, "11-21 specimen"},
		{"simulated, the far side", r, true, true, ""},
		{"other arms", &other, false, false, "11-11 ram"},
	} {
		if got := at(c.r, c.far, c.simulated); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// A comparison of the gauge that came later takes no cell's place, a calibration that
// is overdue takes none that is not, and among overdue ones the rule is the same.
func TestInForceNearest(t *testing.T) {
	shelf := t.TempDir()
	r := example(t)
	put := func(at rig.Place, days int) {
		kept(t, shelf, at, func(r *Run, o *Options) { r.Made, o.Due = day.AddDate(0, 0, days), day.AddDate(0, 0, days+100) })
	}
	put(rig.AtGauge, 60)
	put(rig.AtRam, 40)
	put(rig.AtSpecimen, 0)
	put(rig.AtSpecimen, 20)
	w := &Watcher{Shelf: shelf}
	for _, c := range []struct {
		name string
		far  bool
		days int
		want string
	}{
		{"none is overdue", false, 70, "12-10 specimen"},
		{"the older cell is overdue", false, 110, "12-10 specimen"},
		{"on the side without a cell", true, 70, "12-30 ram"},
		{"both cells are overdue", false, 121, "12-30 ram"},
		{"the gauge alone is not", false, 141, "01-19 gauge"},
		{"all are overdue", false, 161, "12-10 specimen"},
		{"all are overdue, the other side", true, 161, "12-30 ram"},
		{"on the day it is due", false, 120, "12-10 specimen"},
	} {
		now := day.AddDate(0, 0, c.days)
		got, err := InForce(shelf, r, c.far, false, now)
		if err != nil || got == nil {
			t.Fatalf("%s: %v, %v", c.name, got, err)
		}
		if is := got.Made.Format("01-02") + " " + string(got.At); is != c.want {
			t.Errorf("%s: %q, want %q", c.name, is, c.want)
		}
		if overdue := strings.Contains(Summary(got, r.Units, now), "overdue"); overdue != strings.HasPrefix(c.name, "all") {
			t.Errorf("%s: %s", c.name, Summary(got, r.Units, now))
		}
		if again, err := w.InForce(r, c.far, false, now); err != nil || again.ID != got.ID {
			t.Errorf("%s: the watcher says %v, %v", c.name, again, err)
		}
	}
}

// What a list marks is what a pull would be reckoned by, side by side.
func TestMarks(t *testing.T) {
	shelf := t.TempDir()
	kept(t, shelf, rig.AtGauge, func(r *Run, _ *Options) { r.Made = day.AddDate(0, 0, 5) })
	kept(t, shelf, rig.AtRam, nil)
	kept(t, shelf, rig.AtSpecimen, func(r *Run, _ *Options) { r.Made = day.AddDate(0, 0, -5) })
	kept(t, shelf, rig.AtRam, func(r *Run, _ *Options) {
		other := *r.Rig
		other.Name, r.Rig = "another rig", &other
	})
	all, err := List(shelf)
	if err != nil {
		t.Fatal(err)
	}
	now := day.AddDate(0, 0, 6)
	got := map[string]string{}
	for _, e := range all {
		k := &e.File.Calibration
		got[k.Rig+" "+string(k.At)] = strings.Join(Marks(all, e, nil, now), "+")
	}
	name := example(t).Name
	want := map[string]string{name + " gauge": "", name + " ram": "far", name + " specimen": "near", "another rig ram": "near+far"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	for _, e := range all {
		k := &e.File.Calibration
		got[k.Rig+" "+string(k.At)] = strings.Join(Marks(all, e, example(t), now), "+")
	}
	want["another rig ram"] = ""
	if !reflect.DeepEqual(got, want) {
		t.Errorf("for the rig: %q, want %q", got, want)
	}
	if got := Marks(all, Entry{Reason: "torn"}, nil, now); got != nil {
		t.Errorf("of one that cannot be read: %v", got)
	}
}

func TestFind(t *testing.T) {
	shelf := t.TempDir()
	path, a := kept(t, shelf, rig.AtRam, nil)
	for _, name := range []string{path, a.Calibration.ID, a.Calibration.ID + ".json"} {
		if f, err := Find(shelf, name); err != nil || f.Calibration.ID != a.Calibration.ID {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, name := range []string{"", "nothing", "../x", ".", shelf} {
		if f, err := Find(shelf, name); err == nil {
			t.Errorf("%q finds %v", name, f.Calibration.ID)
		}
	}
}

// FuzzDecode: whatever is read holds together, goes with its own rig, comes back to
// the byte, and its kept points can be reckoned again without a panic.
func FuzzDecode(f *testing.F) {
	shelf := f.TempDir()
	for _, at := range []rig.Place{rig.AtRam, rig.AtSpecimen} {
		path, _ := kept(f, shelf, at, nil)
		text, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte(`{"format":1,"calibration":{"line":{"slope":1e-3}},"run":{"points":[{}]}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		got, err := Decode(text)
		if err != nil {
			return
		}
		if err := got.Calibration.Validate(); err != nil {
			t.Fatalf("read, but not valid: %v", err)
		}
		out, err := got.Encode()
		if err != nil {
			t.Fatal(err)
		}
		back, err := Decode(out)
		if err != nil {
			t.Fatalf("cannot be read again: %v", err)
		}
		if twice, err := back.Encode(); err != nil || !bytes.Equal(out, twice) {
			t.Fatalf("comes back as another: %v", err)
		}
		if a, err := Reckon(got.Run, Options{Drop: got.Dropped}); err == nil {
			if err := a.Calibration.Validate(); err != nil {
				t.Fatalf("reckoned, but not valid: %v", err)
			}
		}
	})
}

// A calibration keeps its ram's area. With another ram it is not used by itself, and
// that is said.
func TestAnotherRam(t *testing.T) {
	shelf := t.TempDir()
	r := example(t)
	_, a := kept(t, shelf, rig.AtSpecimen, nil)
	if a.Calibration.RamArea != r.Ram.Area || a.Calibration.RamAreaTol != r.Ram.AreaTol {
		t.Errorf("kept %v ± %v", a.Calibration.RamArea, a.Calibration.RamAreaTol)
	}
	other := *r
	other.Ram.Area *= 30.0 / 42
	all, err := List(shelf)
	if err != nil {
		t.Fatal(err)
	}
	if k := inForce(all, &other, false, false, day); k != nil {
		t.Errorf("%s is used", k.ID)
	}
	if why := OtherRam(all, &other, false); !strings.Contains(why, "is not of this ram: its ram had 42.0 cm²") && !strings.Contains(why, "another ram, or a corrected area") {
		t.Errorf("%q", why)
	}
	if why := OtherRam(all, r, false); why != "" || inForce(all, r, false, false, day) == nil {
		t.Errorf("with its own ram: %q", why)
	}
}
