package compare_test

import (
	"errors"
	"math"
	"os"
	"reflect"
	"strings"
	"testing"

	"draghand/internal/budget"
	"draghand/internal/compare"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

func exampleRig(t *testing.T) *rig.Rig {
	t.Helper()
	text, err := os.ReadFile("../rig/example.toml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := rig.Parse("example.toml", text)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// saved is a record of a bar that broke and counts, with its results.
func saved(t *testing.T) (*record.Record, strength.Results) {
	t.Helper()
	rec := &record.Record{Dir: "shelf/2026-11-25-M1-3", Head: record.Head{
		Kind: pull.Tension, Rig: exampleRig(t),
		Specimen: specimen.Specimen{ID: " 3 ", Melt: "M1", Alloy: "C90500", Diameters: []si.Length{0.0125, 0.01249}, Tags: []string{"wet", "hot  mould", "wet"}},
	}}
	s, yes, e := 310e6, strength.Counts, 0.21
	return rec, strength.Results{StrengthPa: &s, Counts: &yes, Elongation: &e, Budget: &budget.Budget{UPa: 3e6, CommonPa: 2.5e6}}
}

func TestPullOf(t *testing.T) {
	rec, res := saved(t)
	p := compare.PullOf(rec, res, nil)
	if p.Bar != "M1-3" || p.Record != "2026-11-25-M1-3" || p.Strength != 310e6 || p.AtLeast != 0 || p.U != 3e6 || p.Common != 2.5e6 ||
		p.Diameter != 0.01249 || *p.Elongation != 0.21 || p.Counts != "yes" || p.Out != "" || p.Censored() || p.RigName != rec.Head.Rig.Name ||
		!reflect.DeepEqual(p.Tags, []string{"hot mould", "wet"}) {
		t.Errorf("%+v", p)
	}
	rec.Head.Specimen.ID = ""
	if p := compare.PullOf(rec, res, nil); p.Bar != p.Record {
		t.Errorf("a bar without a name is called %q", p.Bar)
	}
}

// Only a tension test that counts, or that nobody has ruled out yet, is a value.
func TestWhatIsAValue(t *testing.T) {
	for name, row := range map[string]struct {
		change   func(rec *record.Record, r *strength.Results)
		damage   error
		out      string
		censored bool
	}{
		"counts":       {func(*record.Record, *strength.Results) {}, nil, "", false},
		"with remarks": {func(_ *record.Record, r *strength.Results) { *r.Counts = strength.CountsWithRemarks }, nil, "", false},
		"not known":    {func(_ *record.Record, r *strength.Results) { r.Counts = nil }, nil, "", false},
		"by eye":       {func(rec *record.Record, _ *strength.Results) { rec.Head.Dial = &record.Dial{} }, nil, "", false},
		"imported":     {func(rec *record.Record, _ *strength.Results) { rec.Head.Imported = &record.Imported{} }, nil, "", false},
		"no": {func(_ *record.Record, r *strength.Results) {
			*r.Counts, r.CountsBecause = strength.CountsNot, []string{"the sensor was over its range", "no zero was taken"}
		}, nil, "does not count: the sensor was over its range; no zero was taken", false},
		"crush":   {func(rec *record.Record, _ *strength.Results) { rec.Head.Kind = pull.Crush }, nil, "a crush has no tensile strength", false},
		"proof":   {func(rec *record.Record, _ *strength.Results) { rec.Head.Kind = pull.Proof }, nil, "a proof has no tensile strength", false},
		"writing": {func(rec *record.Record, _ *strength.Results) { rec.Writing = true }, nil, "whether it counts is not decided", false},
		"damaged": {func(*record.Record, *strength.Results) {}, errors.New("line 7"), "the record is damaged: draghand check", false},
		"nothing": {func(_ *record.Record, r *strength.Results) { r.StrengthPa, r.Counts = nil, nil }, nil, "no strength is known of it", false},
		"in the grip": {func(_ *record.Record, r *strength.Results) {
			grip := string(specimen.InGrip)
			r.StrengthPa, r.StrengthAtLeastPa, r.Where, *r.Counts = nil, r.StrengthPa, &grip, strength.CountsNot
		}, nil, "it bore at least so much: it broke in the grip", true},
		"damaged and in the grip": {func(_ *record.Record, r *strength.Results) { r.StrengthPa, r.StrengthAtLeastPa = nil, r.StrengthPa }, errors.New("line 7"), "the record is damaged", false},
	} {
		rec, res := saved(t)
		row.change(rec, &res)
		p := compare.PullOf(rec, res, row.damage)
		value := row.out == "" && p.Strength == 310e6
		if !strings.Contains(p.Out, row.out) || value != (p.Out == "") || p.Censored() != row.censored || row.censored && p.AtLeast != 310e6 || !value && p.Strength != 0 {
			t.Errorf("%s: %+v", name, p)
		}
	}
}

// The common part hangs on the rig, the side, the calibration, the micrometer and how
// the peak was read; and on nothing else.
func TestCommonBy(t *testing.T) {
	by := func(change func(h *record.Head)) string {
		rec, res := saved(t)
		change(&rec.Head)
		return compare.PullOf(rec, res, nil).CommonBy
	}
	plain := by(func(*record.Head) {})
	if plain == "" || plain != by(func(h *record.Head) {
		h.Specimen.Diameters, h.Specimen.Melt, h.Specimen.Tags = []si.Length{0.010}, "M2", nil
		h.Rig.Alarm.Caution, h.Rig.Limits, h.Rig.Units, h.Source = 0.5, nil, si.Metric, "tcp:elsewhere:1"
	}) {
		t.Errorf("%q", plain)
	}
	other := map[string]string{plain: "plain"}
	for name, change := range map[string]func(h *record.Head){
		"area":        func(h *record.Head) { h.Rig.Ram.Area *= 1.01 },
		"friction":    func(h *record.Head) { h.Rig.Ram.FrictionBand = 0.03 },
		"sensor":      func(h *record.Head) { h.Rig.Sensor.Accuracy = 0.02 },
		"arms":        func(h *record.Head) { h.Rig.Path.Share = 0.51 },
		"side":        func(h *record.Head) { h.Specimen.Side = specimen.Far },
		"micrometer":  func(h *record.Head) { h.Specimen.SizeU = 0.00002 },
		"calibration": func(h *record.Head) { h.Rig.Calibration = &rig.Calibration{ID: "a"} },
		"another one": func(h *record.Head) { h.Rig.Calibration = &rig.Calibration{ID: "b"} },
		"no number":   func(h *record.Head) { h.Rig.Ram.Area = si.Area(math.NaN()) },
		"simulated":   func(h *record.Head) { h.Specimen.Simulated = true },
		"by eye":      func(h *record.Head) { h.Dial = &record.Dial{} },
		"imported":    func(h *record.Head) { h.Imported = &record.Imported{} },
	} {
		got := by(change)
		if was, there := other[got]; there || got == "" {
			t.Errorf("%s is the same as %s: %q", name, was, got)
		}
		other[got] = name
	}
}

// A table of others whose rig nobody told stands on an assumed accuracy; one that was
// read with a rig does not.
func TestAssumedAccuracy(t *testing.T) {
	rec, res := saved(t)
	if p := compare.PullOf(rec, res, nil); p.Assumed != 0 {
		t.Errorf("%v of a rig's own", p.Assumed)
	}
	rec.Head.Imported = &record.Imported{}
	if p := compare.PullOf(rec, res, nil); p.Assumed != 0 {
		t.Errorf("%v of a table with a rig", p.Assumed)
	}
	rec.Head.Rig.Name, rec.Head.Rig.Sensor.Accuracy = record.StandInRig, 0.01
	if p := compare.PullOf(rec, res, nil); p.Assumed != 0.01 {
		t.Errorf("%v of a table alone", p.Assumed)
	}
}

// What somebody saw of the break, and the minimum the bar was held against, come along.
func TestPullOfFinished(t *testing.T) {
	rec, res := saved(t)
	rec.Head.Finished = []record.Finished{{After: specimen.After{Looks: []specimen.Look{specimen.Porous, specimen.Flat}, Minimum: 275.79e6}}}
	if p := compare.PullOf(rec, res, nil); !reflect.DeepEqual(p.Seen, []string{"porous", "flat"}) || p.Minimum != 275.79e6 {
		t.Errorf("%q, %v", p.Seen, p.Minimum)
	}
}
