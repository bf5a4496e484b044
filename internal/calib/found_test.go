package calib

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"draghand/internal/rig"
)

// As found is by what was in force before the points were taken: never by a
// calibration of these very points, nor by a later one.
func TestAsFound(t *testing.T) {
	shelf := t.TempDir()
	_, old := kept(t, shelf, rig.AtRam, func(r *Run, _ *Options) {
		r.Made = day.AddDate(-1, 0, 0)
		for i := range r.Points {
			r.Points[i].Reference *= 1.01
		}
	})
	_, same := kept(t, shelf, rig.AtRam, nil)
	kept(t, shelf, rig.AtRam, func(r *Run, _ *Options) {
		r.Made = day.AddDate(0, 0, 9)
		r.Points = r.Points[1:]
		for i := range r.Points {
			r.Points[i].Reference *= 1.02
		}
	})
	f, err := Find(shelf, same.Calibration.ID)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		change   func(*Run)
		replaces string
		want     string
	}{
		"the same points again":    {func(*Run) {}, "", old.Calibration.ID},
		"again, a month later":     {func(r *Run) { r.Made = day.AddDate(0, 0, 5) }, "", old.Calibration.ID},
		"other points that day":    {func(r *Run) { r.Points[0].Reference *= 1.001 }, "", old.Calibration.ID},
		"other points, later":      {func(r *Run) { r.Made = day.AddDate(0, 0, 5); r.Points[0].Reference *= 1.001 }, "", same.Calibration.ID},
		"in the place of that one": {func(r *Run) { r.Made = day.AddDate(0, 0, 5); r.Points[0].Reference *= 1.001 }, same.Calibration.ID, old.Calibration.ID},
		"before all":               {func(r *Run) { r.Made = day.AddDate(-2, 0, 0) }, "", ""},
	} {
		run := f.Run
		run.Points = append([]Point(nil), f.Run.Points...)
		c.change(&run)
		got, err := AsFound(shelf, example(t), run, false, c.replaces)
		if err != nil {
			t.Fatal(err)
		}
		id := ""
		if got != nil {
			id = got.ID
		}
		if id != c.want {
			t.Errorf("%s: by %q, want %q", name, id, c.want)
		}
	}
	if id, err := Repeats(shelf, f.Run, false); err != nil || id != same.Calibration.ID {
		t.Errorf("the same table is of %q, %v", id, err)
	}
	if _, err := Withdraw(shelf, same.Calibration.ID, "bad", "", day); err != nil {
		t.Fatal(err)
	}
	if id, err := Repeats(shelf, f.Run, false); err != nil || id != "" {
		t.Errorf("withdrawn, it is still of %q, %v", id, err)
	}
}

// A damaged newer one is told of, with what is used in its place.
func TestPassedOver(t *testing.T) {
	shelf := t.TempDir()
	r := example(t)
	_, old := kept(t, shelf, rig.AtRam, func(r *Run, _ *Options) { r.Made = day.AddDate(0, 0, -9) })
	path, bad := kept(t, shelf, rig.AtRam, nil)
	c, err := InForce(shelf, r, false, false, day)
	if err != nil || c == nil || len(c.PassedOver) > 0 {
		t.Fatalf("%+v, %v", c, err)
	}
	if err := os.WriteFile(path, []byte("{"), 0o600); err != nil {
		t.Fatal(err)
	}
	w := Watcher{Shelf: shelf}
	for i, ask := range []func() (*rig.Calibration, error){
		func() (*rig.Calibration, error) { return InForce(shelf, r, false, false, day) },
		func() (*rig.Calibration, error) { return w.InForce(r, false, false, day) },
	} {
		c, err := ask()
		if err != nil || c == nil || c.ID != old.Calibration.ID || len(c.PassedOver) != 1 ||
			!strings.Contains(c.PassedOver[0], bad.Calibration.ID) || !strings.Contains(c.PassedOver[0], "in use is "+old.Calibration.ID) {
			t.Errorf("%d: %+v, %v", i, c, err)
		}
		on, err := r.Calibrated(c)
		if err != nil {
			t.Fatal(err)
		}
		if told := Told(on, r.Units, day); !strings.HasPrefix(told, "The newer calibration "+bad.Calibration.ID+" is damaged") {
			t.Errorf("told %s", told)
		}
	}
	// One of the same day that came before is no newer one.
	_, next := kept(t, shelf, rig.AtRam, nil)
	if c, err := InForce(shelf, r, false, false, day); err != nil || c == nil || c.ID != next.Calibration.ID || len(c.PassedOver) != 0 {
		t.Errorf("after a newer one: %+v, %v", c, err)
	}
	other := *r
	other.Name = "another rig"
	all, err := List(shelf)
	if err != nil || len(PassedOver(all, &other, false, nil)) != 0 || len(PassedOver(all, r, false, nil)) != 1 {
		t.Errorf("told to another rig: %v", err)
	}
}

// Points that were not saved come back from their table as they were.
func TestKeepPoints(t *testing.T) {
	shelf := t.TempDir()
	for _, at := range []rig.Place{rig.AtGauge, rig.AtRam, rig.AtSpecimen} {
		run := taken(t, at, truth{per: map[rig.Place]float64{rig.AtGauge: 1.002, rig.AtRam: 0.0042, rig.AtSpecimen: 0.0021}[at], noise: 1e4, falling: true}, 4)
		if run.ZeroAfter == nil {
			after := run.Zero
			run.ZeroAfter = &after
		}
		ch := run.Rig.Chain()
		p0, _ := ch.Pressure(0)
		p1, _ := ch.Pressure(1)
		zero, _ := ch.Pressure(run.Zero)
		for i, p := range run.Points {
			run.Points[i].Raw = float64((p.Gauge + zero - p0) / (p1 - p0))
		}
		for n := range 2 {
			path, err := KeepPoints(shelf, run)
			if err != nil {
				t.Fatal(err)
			}
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			got, err := ReadTable(text, run.Rig, TableOptions{At: at})
			if err != nil {
				t.Fatalf("%d: %v in\n%s", n, err, text)
			}
			if !samePoints(got.Points, run.Points) || len(got.Points) != len(run.Points) || got.Zero != run.Zero || !reflect.DeepEqual(got.ZeroAfter, run.ZeroAfter) {
				t.Errorf("at the %s: %+v, want %+v", at, got, run)
			}
		}
	}
	all, err := List(shelf)
	if err != nil || len(all) != 0 {
		t.Errorf("listed as calibrations: %v, %v", all, err)
	}
	if files, err := os.ReadDir(shelf + "/" + Folder); err != nil || len(files) != 6 {
		t.Errorf("%d files, %v", len(files), err)
	}
}
