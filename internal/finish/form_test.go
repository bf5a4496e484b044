package finish

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// head is a pull of the example rig, simulated: no metal was pulled.
func head(t testing.TB, kind pull.Kind) record.Head {
	t.Helper()
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	return record.Head{
		Format: record.Format, Program: "draghand", Kind: kind, Rig: r, Source: "sim:",
		Specimen: specimen.Specimen{
			ID: "3", Melt: "M1", Alloy: "C90500", Diameters: []si.Length{12.51 * si.Millimetre, 12.5 * si.Millimetre},
			GaugeLength: 50 * si.Millimetre, Simulated: true,
		},
	}
}

func near(a, b si.Length) bool { return math.Abs(float64(a-b)) < 1e-12 }

func field(t testing.TB, f *Form, id FieldID) Field {
	t.Helper()
	for _, one := range f.Fields() {
		if one.ID == id {
			return one
		}
	}
	t.Fatalf("no field %s", id)
	return Field{}
}

// What a person writes, and how it is understood. The figures are by hand: 58.7
// of 50 mm are 17.4 % more, and the example rig has 42.0 cm² and half of it on
// the specimen, less the friction its file states.
func TestFormReads(t *testing.T) {
	for _, c := range []struct {
		id   FieldID
		text string
		read string // as understood; empty: as written
		want func(record.Finished) bool
	}{
		{FieldDiameters, "9.81 mm; 9.79 mm", "9.81 mm, 9.79 mm", func(f record.Finished) bool {
			return len(f.Diameters) == 2 && near(f.Diameters[0], 0.00981) && near(f.Diameters[1], 0.00979)
		}},
		{FieldDiameters, "0.386 in", "9.80 mm", func(f record.Finished) bool { return f.Diameters[0] == 0.386*si.Inch }},
		{FieldDiameters, "12.53 mm", "", func(f record.Finished) bool { return near(f.Diameters[0], 0.01253) }}, // by the two limits of 0.01 mm
		{FieldGauge, "58.7 mm", "58.70 mm: 17.4 % longer than 50.00 mm", func(f record.Finished) bool { return near(f.GaugeLength, 0.0587) }},
		{FieldGauge, "50 mm", "50.00 mm: 0.0 % longer than 50.00 mm", func(f record.Finished) bool { return near(f.GaugeLength, 0.05) }},
		{FieldWhere, "middle", "", func(f record.Finished) bool { return f.Where == specimen.MidGauge }},
		{FieldWhere, " Off Marks ", "off-marks", func(f record.Finished) bool { return f.Where == specimen.OffMarks }},
		{FieldLooks, "flat, Cold lap; flat", "flat, cold-lap", func(f record.Finished) bool {
			return slices.Equal(f.Looks, []specimen.Look{specimen.Flat, specimen.ColdLap})
		}},
		{FieldFailed, "upper pin", "", func(f record.Finished) bool { return f.Failed == "upper pin" }},
		{FieldFailed, "upper\x1b[31m\n pin\u202e", "", func(f record.Finished) bool { return f.Failed == "upper [31m pin" }},
		{FieldMinimum, "275 MPa", "275 MPa from as stated", func(f record.Finished) bool { return f.Minimum == 275e6 && f.MinimumFrom == "as stated" }},
		{FieldMinimum, "275 MPa from the drawing", "", func(f record.Finished) bool { return f.MinimumFrom == "the drawing" }},
		{FieldMinimum, "None", "", func(f record.Finished) bool { return f.Minimum == 0 && f.MinimumFrom == "" }},
		{FieldPhotos, "a.jpg; b, side.jpg", "", func(f record.Finished) bool { return slices.Equal(f.Photos, []string{"a.jpg", "b, side.jpg"}) }},
		{FieldPhotos, "a.jpg, b.png", "a.jpg; b.png", func(f record.Finished) bool { return slices.Equal(f.Photos, []string{"a.jpg", "b.png"}) }},
	} {
		f := NewForm(head(t, pull.Tension), si.Metric, specimen.Alloys())
		if err := f.Set(c.id, c.text); err != nil {
			t.Errorf("%s %q: %v", c.id, c.text, err)
			continue
		}
		if got := field(t, &f, c.id); got.Fault != "" || (c.read != "" && got.Read != c.read) {
			t.Errorf("%s %q: read %q, fault %q, want %q", c.id, c.text, got.Read, got.Fault, c.read)
		}
		if out, err := f.Finished(); err != nil || !c.want(out) {
			t.Errorf("%s %q: %+v, %v", c.id, c.text, out, err)
		}
	}
}

// A dial beside the transducer: the force it stands for goes through the rig.
func TestFormDial(t *testing.T) {
	h := head(t, pull.Tension)
	f := NewForm(h, si.Metric, nil)
	for _, c := range []struct {
		text string
		at   rig.Place
		want si.Force // on the specimen
	}{
		{"172.4 bar ± 3.4 bar", "", h.Rig.Chain().Specimen(172.4 * si.Bar)},
		{"62 kN", rig.AtRam, h.Rig.Chain().Specimen(h.Rig.Chain().PressureForRam(62 * si.Kilonewton))},
		{"31 kN at specimen", rig.AtSpecimen, 31 * si.Kilonewton},
		{"31 kN on the specimen", rig.AtSpecimen, 31 * si.Kilonewton},
	} {
		if err := f.Set(FieldDial, c.text); err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		out, err := f.Finished()
		if err != nil || out.Dial == nil || out.Dial.At != c.at {
			t.Errorf("%q: %+v, %v", c.text, out.Dial, err)
			continue
		}
		got, limit := onSpecimen(out.Dial, h.Config().Rig)
		if math.Abs(float64(*got-c.want)) > 1e-6 {
			t.Errorf("%q: %v on the specimen, want %v", c.text, *got, c.want)
		}
		if (limit != nil) != strings.Contains(c.text, "±") {
			t.Errorf("%q: limit %v", c.text, limit)
		}
	}
}

// What cannot be is refused with what would be right, and stands in the field
// until it is put right.
func TestFormRefuses(t *testing.T) {
	for _, c := range []struct {
		id        FieldID
		text, why string
	}{
		{FieldDiameters, "12.6 mm", "above the first, 12.51 mm"},
		{FieldDiameters, "9.8", "no unit"},
		{FieldDiameters, "9,8 mm", "write 12.5"},
		{FieldDiameters, "0 mm", "outside 0.5 mm"},
		{FieldDiameters, "5 x 2 mm", "was round"},
		{FieldDiameters, "9.8 mm ± 0.1 mm", "leave the ± out"},
		{FieldGauge, "49.9 mm", "shorter than before, 50.00 mm"},
		{FieldGauge, "58.7 cm", "elongation of 1074 %"},
		{FieldGauge, "0 mm", "leave it empty"},
		{FieldWhere, "left", "one of middle, outer-quarter"},
		{FieldLooks, "flat, shiny", `"shiny" is no look`},
		{FieldDial, "12 mm", "neither a gauge pressure"},
		{FieldDial, "5000 bar", "past its range"},
		{FieldDial, "172 bar at specimen", "only a force"},
		{FieldMinimum, "40 psi", "outside 1 MPa"},
		{FieldMinimum, "0 ksi", `write "none"`},
		{FieldMinimum, "40", "no unit"},
		{FieldFailed, strings.Repeat("x", 101), "longer than 100"},
		{FieldPhotos, strings.Repeat("a.jpg;", 3) + strings.Repeat("y", 201), "longer than 200"},
		{"weight", "3 kg", "is no field"},
	} {
		f := NewForm(head(t, pull.Tension), si.Metric, specimen.Alloys())
		err := f.Set(c.id, c.text)
		if err == nil || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%s %q: %v, want %q", c.id, c.text, err, c.why)
			continue
		}
		if c.id == "weight" {
			continue
		}
		if got := field(t, &f, c.id); !strings.Contains(got.Fault, c.why) || got.Text != tidy(c.text) {
			t.Errorf("%s %q: field %+v", c.id, c.text, got)
		}
		if _, err := f.Finished(); err == nil || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%s %q: Finished: %v", c.id, c.text, err)
		}
		if err := f.Set(c.id, ""); err != nil {
			t.Errorf("%s emptied: %v", c.id, err)
		}
		if got := field(t, &f, c.id).Fault; got != "" {
			t.Errorf("%s emptied: fault %q stays", c.id, got)
		}
	}
	f := NewForm(head(t, pull.Tension), si.Metric, nil)
	_ = f.Set(FieldDiameters, "13 mm")
	_ = f.Set(FieldWhere, "left")
	if _, err := f.Finished(); err == nil || !strings.Contains(err.Error(), "above the first") || !strings.Contains(err.Error(), "no place") {
		t.Errorf("not every fault at once: %v", err)
	}
	empty := NewForm(head(t, pull.Tension), si.Metric, specimen.Alloys())
	if _, err := empty.Finished(); !errors.Is(err, ErrNothing) {
		t.Errorf("an empty form: %v", err)
	}
}

// What was not measured before the pull cannot be compared with.
func TestFormWithoutBefore(t *testing.T) {
	h := head(t, pull.Tension)
	h.Specimen.Diameters, h.Specimen.GaugeLength = nil, 0
	f := NewForm(h, si.US, nil)
	if err := f.Set(FieldGauge, "2.3 in"); err == nil || !strings.Contains(err.Error(), "none was marked before") {
		t.Errorf("gauge: %v", err)
	}
	if err := f.Set(FieldDiameters, "0.3 in"); err == nil || !strings.Contains(err.Error(), "no diameter was measured before") {
		t.Errorf("diameter: %v", err)
	}
}

// The minimum of the alloy is there unless it is refused or another stated. C90500
// as sand cast: 40 ksi, ASTM B584, in the program's own table.
func TestFormMinimum(t *testing.T) {
	f := NewForm(head(t, pull.Tension), si.US, specimen.Alloys())
	got := field(t, &f, FieldMinimum)
	if got.Text != "" || !strings.HasPrefix(got.Read, "40.0 ksi from C90500: minimum, as sand cast, ASTM B584") || !strings.HasSuffix(got.Read, "by the table of alloys") {
		t.Errorf("field: %+v", got)
	}
	if len(got.Choices) != 1 {
		t.Fatalf("choices: %q", got.Choices)
	}
	_ = f.Set(FieldWhere, "middle")
	out, err := f.Finished()
	if err != nil || math.Abs(float64(out.Minimum)-40*si.KSI) > 1 || !strings.Contains(out.MinimumFrom, "ASTM B584") {
		t.Errorf("%v, %+v", err, out)
	}
	_ = f.Set(FieldMinimum, "-")
	if out, err = f.Finished(); err != nil || out.Minimum != 0 || out.MinimumFrom != "" {
		t.Errorf("none: %v, %+v", err, out)
	}
	if got := field(t, &f, FieldMinimum); got.Text != None {
		t.Errorf("none: %+v", got)
	}
	m := NewForm(head(t, pull.Tension), si.Metric, specimen.Alloys()) // the choice is shown rounded
	if err := m.Set(FieldMinimum, field(t, &m, FieldMinimum).Choices[0]); err != nil {
		t.Error(err)
	}
	_ = m.Set(FieldWhere, "middle")
	if out, err := m.Finished(); err != nil || math.Abs(float64(out.Minimum)-40*si.KSI) > 1 {
		t.Errorf("the choice: %v, %v Pa", err, float64(out.Minimum))
	}
	for _, alloy := range []string{"", "6061", "bronze", "unobtainium"} { // none, two conditions, many alloys, unknown
		h := head(t, pull.Tension)
		h.Specimen.Alloy = alloy
		f := NewForm(h, si.US, specimen.Alloys())
		if got := field(t, &f, FieldMinimum); got.Read != "" {
			t.Errorf("%q: %+v", alloy, got)
		}
	}
}

// Finishing again begins with what is there, to the last bit, and what was taken
// back stays so.
func TestFormAgain(t *testing.T) {
	h := head(t, pull.Tension)
	f := NewForm(h, si.Metric, specimen.Alloys())
	for id, text := range map[FieldID]string{
		FieldDiameters: "9.813 mm; 9.791 mm", FieldGauge: "58.71 mm", FieldWhere: "middle", FieldLooks: "flat, porous",
		FieldDial: "172.44 bar ± 3.4 bar", FieldMinimum: "none", FieldPhotos: "a.jpg",
	} {
		if err := f.Set(id, text); err != nil {
			t.Fatal(err)
		}
	}
	first, err := f.Finished()
	if err != nil {
		t.Fatal(err)
	}
	h.Finished = []record.Finished{first}
	for _, sys := range []si.System{si.Metric, si.US} {
		again := NewForm(h, sys, specimen.Alloys())
		for _, one := range again.Fields() { // as a screen does that hands all fields over
			if err := again.Set(one.ID, one.Text); err != nil {
				t.Fatal(err)
			}
		}
		if err := again.Set(FieldWhere, "grip"); err != nil {
			t.Fatal(err)
		}
		second, err := again.Finished()
		if err != nil {
			t.Fatal(err)
		}
		if second.Diameters[0] != first.Diameters[0] || second.GaugeLength != first.GaugeLength || *second.Dial.Pressure != *first.Dial.Pressure ||
			second.Minimum != 0 || second.Where != specimen.InGrip || !slices.Equal(second.Looks, first.Looks) {
			t.Errorf("again: %+v, was %+v", second, first)
		}
	}
}

// What stands in the record and cannot be is told in its field, and the rest is
// saved once that is put right.
func TestFormOfWhatCannotBe(t *testing.T) {
	h := head(t, pull.Tension)
	h.Finished = []record.Finished{{After: specimen.After{Where: "sideways", Diameters: []si.Length{0.02}, GaugeLength: 0.058}, Dial: &record.Dial{}}}
	f := NewForm(h, si.Metric, nil)
	for id, why := range map[FieldID]string{FieldWhere: "no place of a break", FieldDiameters: "above the first", FieldDial: "one of the two", FieldGauge: ""} {
		if got := field(t, &f, id).Fault; (got != "") != (why != "") || !strings.Contains(got, why) {
			t.Errorf("%s: %q, want %q", id, got, why)
		}
	}
	if _, err := f.Finished(); err == nil {
		t.Error("taken")
	}
	for id, text := range map[FieldID]string{FieldWhere: "middle", FieldDiameters: "", FieldDial: "-"} {
		if err := f.Set(id, text); err != nil {
			t.Error(err)
		}
	}
	out, err := f.Finished()
	if err != nil || out.Dial != nil || out.Where != specimen.MidGauge || out.GaugeLength != 0.058 || out.Diameters != nil {
		t.Errorf("%+v, %v", out, err)
	}
}

// A block has no final diameter, a proof no minimum, a pull read by eye no second
// dial.
func TestFormKinds(t *testing.T) {
	byEye := head(t, pull.Tension)
	byEye.Dial = &record.Dial{}
	for name, c := range map[string]struct {
		h    record.Head
		want []FieldID
	}{
		"tension": {head(t, pull.Tension), []FieldID{FieldDiameters, FieldGauge, FieldWhere, FieldLooks, FieldFailed, FieldDial, FieldMinimum, FieldPhotos}},
		"crush":   {head(t, pull.Crush), []FieldID{FieldLooks, FieldFailed, FieldDial, FieldPhotos}},
		"proof":   {head(t, pull.Proof), []FieldID{FieldWhere, FieldLooks, FieldFailed, FieldDial, FieldPhotos}},
		"by eye":  {byEye, []FieldID{FieldDiameters, FieldGauge, FieldWhere, FieldLooks, FieldFailed, FieldMinimum, FieldPhotos}},
	} {
		f := NewForm(c.h, si.Metric, specimen.Alloys())
		if got := f.IDs(); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v", name, got)
		}
		for _, one := range f.Fields() {
			if one.Label == "" || one.Hint == "" {
				t.Errorf("%s: %+v", name, one)
			}
		}
	}
	f := NewForm(head(t, pull.Crush), si.Metric, nil)
	if err := f.Set(FieldGauge, "30 mm"); err == nil || !strings.Contains(err.Error(), "final-gauge is not asked after a crush") {
		t.Errorf("a crush's gauge: %v", err)
	}
}

// Whatever a person writes: a fault, or a value that the record takes and that
// reads the same when it is shown in its own words again.
func FuzzForm(f *testing.F) {
	for i, text := range []string{"9.81 mm; 9.79 mm", "58.7 mm", "middle", "flat, porous", "upper pin", "172 bar ± 3 bar", "40 ksi from the drawing", "a.jpg; b.jpg"} {
		f.Add(i, text)
	}
	f.Fuzz(func(t *testing.T, which int, text string) {
		form := NewForm(head(t, pull.Tension), si.Metric, nil)
		ids := form.IDs()
		id := ids[int(uint(which)%uint(len(ids)))]
		err := form.Set(id, text)
		got := field(t, &form, id)
		if (err != nil) != (got.Fault != "") {
			t.Fatalf("%s %q: %v and %+v", id, text, err, got)
		}
		_ = form.Set(ids[2], "middle")
		out, ferr := form.Finished()
		if err != nil && id != FieldWhere {
			if ferr == nil {
				t.Fatalf("%s %q: a fault and no refusal", id, text)
			}
			return
		}
		if ferr != nil {
			t.Fatalf("%s %q: taken, and refused then: %v", id, text, ferr)
		}
		h := head(t, pull.Tension)
		if err := out.Fits(&h); err != nil {
			t.Fatalf("%s %q: %v", id, text, err)
		}
	})
}
