package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"draghand/internal/finish"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// byEye is a record without a trace, by a rig with a calibration.
func byEye(t *testing.T, r *rig.Rig) *record.Record {
	t.Helper()
	p := si.Pressure(200 * si.Bar)
	dir, _, err := record.CreateDial(t.TempDir(), record.Head{
		Program: "draghand", Started: time.Date(2026, 11, 25, 14, 0, 0, 0, time.UTC), Kind: "tension", Rig: r, Source: "by eye",
		Specimen: specimen.Specimen{Diameters: []si.Length{12.5 * si.Millimetre}}, Dial: &record.Dial{Pressure: &p, Outcome: "broken"},
	})
	if err != nil {
		t.Fatal(err)
	}
	rec, err := record.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// A calibration that the record was pulled with goes along where it fits the other
// rig, so that a corrected area moves nothing that it stands for; where it does
// not, that is refused, and a remark says that it was left out by hand.
func TestMovedWithCalibration(t *testing.T) {
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	with, err := r.Calibrated(&rig.Calibration{
		ID: "2026-11-20-cell", Made: time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC), Due: time.Date(2027, 11, 20, 9, 0, 0, 0, time.UTC),
		Rig: r.Name, Sensor: r.Sensor, Role: r.Ram.Role, Path: r.Path, RamArea: r.Ram.Area, RamAreaTol: r.Ram.AreaTol / 1000, At: rig.AtSpecimen, Reference: "made up", Claims: []string{},
		Line: rig.CalibrationLine{Slope: 0.002, ThroughZero: true, Low: 1e6, High: 5e7, Points: 5, SD: 10, Mean: 3e7, SumSquares: 5.5e15},
	})
	if err != nil {
		t.Fatal(err)
	}
	rec := byEye(t, with)
	for name, c := range map[string]struct {
		old, new       string
		note           string
		moves, differs []string // fields, and labels of the rigs
	}{
		"area":   {"42.0 cm²", "41.6 cm²", "", []string{"peak.ram_n"}, []string{"area of the ram"}},
		"sensor": {"0 bar .. 700 bar", "0 bar .. 500 bar", "without the calibration it was pulled with", []string{"peak.specimen_n"}, []string{"calibration", "transducer's range"}},
	} {
		text := strings.ReplaceAll(rig.Example(), c.old, c.new)
		if text == rig.Example() {
			t.Fatalf("%s: the example has no %q", name, c.old)
		}
		file := filepath.Join(t.TempDir(), "other.toml")
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		choice := ""
		if c.note != "" { // refused as it is, and left out where that is asked for
			_, _, err := onRig(&common{}, rec, file, "")
			if err == nil || !strings.Contains(err.Error(), "was made on another rig: its sensor is another") {
				t.Errorf("%s: %v, want a refusal with its reason", name, err)
			}
			choice = noCalibration
		}
		other, note, err := onRig(&common{}, rec, file, choice)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if (note != "") != (c.note != "") || !strings.Contains(note, c.note) {
			t.Errorf("%s: note %q", name, note)
		}
		a, s, _ := finish.Recompute(rec)
		b, u, _ := finish.Recompute(other)
		m := whatMoved(rec, other, outcome{a, s}, outcome{b, u})
		fields := map[string]bool{}
		for _, one := range m.all() {
			fields[one.Field] = true
		}
		for _, f := range c.moves {
			if !fields[f] {
				t.Errorf("%s: %s has not moved: %v", name, f, fields)
			}
		}
		if name == "area" && (fields["peak.specimen_n"] || fields["strength_pa"] || fields["rig.calibration"]) {
			t.Errorf("the area moves what is calibrated: %v", fields)
		}
		said := strings.Join(m.lines(si.Metric), "\n")
		if why := "the calibration 2026-11-20-cell, at the specimen, stands for area of the ram"; strings.Contains(said, why) != (name == "area") {
			t.Errorf("%s: why nothing moved:\n%s", name, said)
		}
		for _, d := range c.differs {
			if !strings.Contains(said, "rig: "+d) {
				t.Errorf("%s: %q is not told:\n%s", name, d, said)
			}
		}
		if rec.Head.Rig.Calibration == nil || rec.Head.Rig.Ram.Area != r.Ram.Area {
			t.Errorf("%s: the record's own rig was changed", name)
		}
	}
}

// Two limits of one name are both told.
func TestRigDiffTwins(t *testing.T) {
	a := &rig.Rig{Limits: []rig.Limit{{Name: "pin", Force: 1000}, {Name: "pin", Force: 2000}}}
	b := &rig.Rig{Limits: []rig.Limit{{Name: "pin", Force: 1000}, {Name: "pin", Force: 3000}}}
	got := rigDiff(a, b)
	if len(got) != 1 || !strings.Contains(got[0].path, "limits.pin 2.") {
		t.Errorf("%+v", got)
	}
}
