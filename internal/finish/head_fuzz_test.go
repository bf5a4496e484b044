package finish

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// FuzzHeadResults: whatever stands in a pull.json that can be read, results come of
// it that are JSON and words of a sane length, without a panic. The readings are a
// ramp over the whole converter and a break.
func FuzzHeadResults(f *testing.F) {
	seed := func(h record.Head) {
		text, err := json.Marshal(h)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
		for _, c := range []struct{ from, to string }{
			{`"area_m2":0.0042`, `"area_m2":1e300`},
			{`"area_m2":0.0042`, `"area_m2":-1`},
			{`"diameters_m":[0.01251,0.0125]`, `"diameters_m":[1e-200]`},
			{`"diameters_m":[0.01251,0.0125]`, `"diameters_m":[1e300,-1]`},
			{`"slope":0.0021`, `"slope":1e300`},
			{`"slope":0.0021`, `"slope":-1`},
		} {
			f.Add([]byte(strings.Replace(string(text), c.from, c.to, 1)))
		}
	}
	h := head(f, pull.Tension)
	seed(h)
	r, err := h.Rig.Calibrated(&rig.Calibration{
		ID: "2026-11-20-cell", Made: time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC), Due: time.Date(2027, 11, 20, 9, 0, 0, 0, time.UTC),
		Rig: h.Rig.Name, Sensor: h.Rig.Sensor, Role: h.Rig.Ram.Role, Path: h.Rig.Path, At: rig.AtSpecimen, Reference: "made up", Claims: []string{},
		Line: rig.CalibrationLine{Slope: 0.0021, ThroughZero: true, Low: 1e6, High: 5e7, Points: 5, SD: 10, Mean: 3e7, SumSquares: 5.5e15},
	})
	if err != nil {
		f.Fatal(err)
	}
	h.Rig = r
	h.Finished = []record.Finished{broke()}
	seed(h)
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, text []byte) {
		if err := os.WriteFile(filepath.Join(dir, record.HeadFile), text, 0o600); err != nil {
			t.Fatal(err)
		}
		h, err := record.HeadOf(dir)
		if err != nil {
			return
		}
		e := pull.New(h.Config())
		at := time.Duration(0)
		step := func(raw float64) {
			e.Step(pull.Reading{T: at, Raw: raw})
			at += 10 * time.Millisecond
		}
		for range 300 {
			step(820)
		}
		for raw := 820.0; raw < 3000; raw += 10 {
			step(raw)
		}
		for range 100 {
			step(820)
		}
		e.Step(pull.Reading{T: at, Mark: pull.End})
		p := Pull(&h, "x", e.State().Clone(), nil)
		p.Draws = 200
		res := strength.From(p)
		if _, err := json.Marshal(res); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		for _, sys := range []si.System{si.US, si.Metric} {
			for _, l := range res.Lines(sys, h.Specimen) {
				if len(l) > len(text)+2000 {
					t.Fatalf("%s: %d bytes in one line: %.200s", text, len(l), l)
				}
			}
		}
	})
}
