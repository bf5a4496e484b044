package bench

import (
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// The field of the sizes takes any shape, says which section counts, and that
// the sizes differ by more than a standard allows.
func TestFormSizes(t *testing.T) {
	for text, want := range map[string]string{
		"6.02 x 3.01, 6 x 3 mm ± 0.01 mm":  "6.02 x 3.01 mm, 6.00 x 3.00 mm ± 0.010 mm: 6.00 x 3.00 mm counts",
		"tube 12x1.5mm":                    "tube 12.00 x 1.50 mm",
		"12.5 mm, 12.3 mm":                 "12.50 mm, 12.30 mm: 12.30 mm counts; they differ by 1.6 %, more than 1 %: measure again",
		"12.5 mm, 12.4 mm ± 10 µm":         "12.50 mm, 12.40 mm ± 0.010 mm: 12.40 mm counts",
		"6 x 3":                            "",
		"tube 12 x 7 mm":                   "",
		"12.5 mm, 6 x 3 mm":                "",
		strings.Repeat("6 x 3 mm, ", 33):   "",
		"6 x 3 mm ± 0.01 mm, 6.1 x 3.1 mm": "",
	} {
		f := form{units: si.Metric, texts: map[FieldID]string{FieldDiameters: text}}
		fields, s := f.read()
		got := field(t, fields, FieldDiameters)
		if got.Read != want || (got.Fault == "") != (want != "") {
			t.Errorf("%q is read as %q, fault %q; want %q", text, got.Read, got.Fault, want)
		}
		if (s.Bar.Area() > 0) != (want != "") {
			t.Errorf("%q leaves %+v", text, s.Bar)
		}
	}
}

// An alloy of the table fills what the bar is expected to break at, where nobody
// stated it, and says where from; 40 ksi and × 1.5 are the table's C90500.
func TestFormFromTable(t *testing.T) {
	for _, c := range []struct {
		name      string
		texts     map[FieldID]string
		low, high si.Stress
		from      string // in the words; empty: not of the table
	}{
		{"an alloy", map[FieldID]string{FieldAlloy: "c90500"}, 40 * si.KSI, 60 * si.KSI, "ASTM B584"},
		{"stated", map[FieldID]string{FieldAlloy: "C90500", FieldExpect: "45 ksi"}, 45 * si.KSI, 45 * si.KSI, ""},
		{"stated wrongly", map[FieldID]string{FieldAlloy: "C90500", FieldExpect: "45"}, 0, 0, ""},
		{"unknown", map[FieldID]string{FieldAlloy: "shop bronze"}, 0, 0, ""},
		{"which of them", map[FieldID]string{FieldAlloy: "yellow brass"}, 0, 0, ""},
		{"none", nil, 0, 0, ""},
		{"a proof", map[FieldID]string{FieldAlloy: "C90500", FieldKind: "proof"}, 0, 0, ""},
		{"a crush", map[FieldID]string{FieldAlloy: "C90500", FieldKind: "crush"}, 0, 0, ""},
	} {
		f := form{units: si.US, rig: crushing(t), texts: c.texts, alloys: specimen.Alloys()}
		fields, s := f.read()
		if !near(s.Bar.ExpectLow, c.low) && s.Bar.ExpectLow != c.low || !near(s.Bar.ExpectHigh, c.high) && s.Bar.ExpectHigh != c.high {
			t.Errorf("%s: %v to %v", c.name, s.Bar.ExpectLow, s.Bar.ExpectHigh)
		}
		if (s.Bar.ExpectFrom == "") != (c.from == "") || !strings.Contains(s.Bar.ExpectFrom, c.from) {
			t.Errorf("%s: from %q, want %q", c.name, s.Bar.ExpectFrom, c.from)
		}
		read := field(t, fields, FieldExpect).Read
		if c.from != "" && read != "40.0 ksi .. 60.0 ksi, by the table: "+s.Bar.ExpectFrom {
			t.Errorf("%s: shown as %q", c.name, read)
		}
		if err := s.Bar.Validate(); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	own, err := specimen.ReadAlloys("own", strings.NewReader("name,basis,strength\nshop bronze,typical,50 ksi\n"))
	if err != nil {
		t.Fatal(err)
	}
	b := New(Options{Alloys: specimen.Alloys().With(own), Initial: map[FieldID]string{FieldAlloy: "Shop Bronze"}})
	if _, s := b.form.read(); s.Kind != pull.Tension || !near(s.Bar.ExpectHigh, 60*si.KSI) {
		t.Errorf("the own alloy is not taken: %+v", s.Bar)
	}
}
