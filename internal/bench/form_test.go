package bench

import (
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

func exampleRig(t testing.TB) *rig.Rig {
	t.Helper()
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// crushing is a rig that a block may be pressed on.
func crushing(t testing.TB) *rig.Rig {
	r := *exampleRig(t)
	r.Path = rig.Path{Kind: rig.Direct, Share: 1}
	return &r
}

func field(t testing.TB, fields []Field, id FieldID) Field {
	t.Helper()
	for _, f := range fields {
		if f.ID == id {
			return f
		}
	}
	t.Fatalf("no field %q", id)
	return Field{}
}

func TestParseDiameters(t *testing.T) {
	for text, want := range map[string][]si.Length{
		"12.51 mm":                      {12.51e-3},
		"12.51 mm, 12.49 mm":            {12.51e-3, 12.49e-3},
		"12.51 12.49 mm":                {12.51e-3, 12.49e-3},
		"12.51, 12.49,  12.5 mm":        {12.51e-3, 12.49e-3, 12.5e-3},
		"0.492 in; 0.493 in":            {0.492 * si.Inch, 0.493 * si.Inch},
		`0.492" 0.493"`:                 {0.492 * si.Inch, 0.493 * si.Inch},
		"12.51mm 0.5in":                 {12.51e-3, 0.5 * si.Inch},
		" ; 12.5 mm ; ":                 {12.5e-3},
		"12,51 mm":                      nil, // a decimal comma is no separator
		"12,5 mm, 12,4 mm":              nil,
		"12.51":                         nil,
		"12.51 mm 12.49":                nil,
		"mm":                            nil,
		"12.51 mm mm":                   nil,
		"12.51 kN":                      nil,
		"12.51 m":                       nil, // a unit was mistaken
		"-12.5 mm":                      nil,
		"1e1 mm":                        nil,
		"0 mm":                          nil,
		strings.Repeat("1 ", 33) + "mm": nil,
	} {
		got, err := specimen.ParseDiameters(text)
		if want == nil {
			if err == nil {
				t.Errorf("%q is read as %v", text, got)
			}
			continue
		}
		if err != nil || !slices.EqualFunc(got, want, func(a, b si.Length) bool { return near(si.Stress(a), si.Stress(b)) }) {
			t.Errorf("%q is read as %v, %v; want %v", text, got, err, want)
		}
	}
}

// near allows for a rounding of the unit's factor.
func near(a, b si.Stress) bool { return a-b < 1e-12*b && b-a < 1e-12*b }

func TestParseExpect(t *testing.T) {
	for text, want := range map[string][2]si.Stress{
		"40 ksi .. 50 ksi":  {40 * si.KSI, 50 * si.KSI},
		"40 .. 50 ksi":      {40 * si.KSI, 50 * si.KSI},
		"40..50ksi":         {40 * si.KSI, 50 * si.KSI},
		"275 – 345 MPa":     {275 * si.Megapascal, 345 * si.Megapascal},
		"275 MPa to 50 ksi": {275 * si.Megapascal, 50 * si.KSI},
		"45 ksi":            {45 * si.KSI, 45 * si.KSI},
		"50 .. 40 ksi":      {},
		"40 .. 50":          {},
		"40 ksi ..":         {},
		".. 50 ksi":         {},
		"0 ksi":             {},
		"40 .. 50000 ksi":   {},
		"-40 .. 50 ksi":     {},
	} {
		low, high, err := ParseExpect(text)
		if (err == nil) != (want != [2]si.Stress{}) || err == nil && !(near(low, want[0]) && near(high, want[1])) {
			t.Errorf("%q is read as %v to %v, %v; want %v", text, low, high, err, want)
		}
	}
}

// Every field is read into what the pull is armed with, and shown as understood.
func TestFormRead(t *testing.T) {
	f := form{units: si.US, rig: exampleRig(t), texts: map[FieldID]string{
		FieldKind: "Proof", FieldTarget: "20 kN", FieldHold: "1 min 30 s", FieldMelt: "M1", FieldTags: "1150 °C, sand; sand", FieldSpecimen: "3",
		FieldAlloy: "C90500", FieldDiameters: "12.51 12.49 mm", FieldGauge: "50 mm", FieldYield: "20 ksi", FieldExpect: "40 .. 50 ksi",
	}}
	fields, s := f.read()
	for _, field := range fields {
		if field.Fault != "" || field.Label == "" || field.Hint == "" {
			t.Errorf("%s: fault %q, label %q, hint %q", field.ID, field.Fault, field.Label, field.Hint)
		}
	}
	if s.Kind != pull.Proof || s.Proof != (watch.Proof{Target: 20e3, Hold: 90 * time.Second}) {
		t.Errorf("read as %+v", s)
	}
	b := s.Bar
	if b.Melt != "M1" || b.ID != "3" || b.Alloy != "C90500" || !slices.Equal(b.Tags, []string{"1150 °C", "sand"}) || len(b.Diameters) != 2 ||
		b.GaugeLength != 0.05 || b.Yield != 20*si.KSI || b.ExpectLow != 40*si.KSI || b.ExpectHigh != 50*si.KSI {
		t.Errorf("read as %+v", b)
	}
	for id, want := range map[FieldID]string{
		FieldTarget: "4,496 lbf", FieldHold: "1m30s", FieldDiameters: "0.4925 in, 0.4917 in: 0.4917 in counts", FieldGauge: "1.969 in",
		FieldExpect: "40.0 ksi .. 50.0 ksi", FieldTags: "1150 °C, sand", FieldMelt: "", FieldKind: "proof",
	} {
		if got := field(t, fields, id).Read; got != want {
			t.Errorf("%s is shown as %q, want %q", id, got, want)
		}
	}
	if got := field(t, fields, FieldKind).Choices; !slices.Equal(got, []string{"tension", "crush", "proof"}) {
		t.Errorf("choices %v", got)
	}
	f.texts = map[FieldID]string{FieldTarget: "20 kN", FieldHold: "60 s"}
	fields, s = f.read()
	for _, one := range fields {
		if one.ID == FieldTarget || one.ID == FieldHold {
			t.Errorf("a tension pull has the field %s", one.ID)
		}
	}
	if s.Kind != pull.Tension || s.Proof != (watch.Proof{}) {
		t.Errorf("a tension pull holds %+v", s.Proof)
	}
}

// A fault stands in the field that is to be changed, and what it sets is left at
// nothing.
func TestFormFaults(t *testing.T) {
	for name, c := range map[string]struct {
		rig   *rig.Rig
		texts map[FieldID]string
		at    FieldID
		want  string
	}{
		"no such kind":        {nil, map[FieldID]string{FieldKind: "twist"}, FieldKind, "write tension, crush or proof"},
		"a crush over a bar":  {exampleRig(t), map[FieldID]string{FieldKind: "crush"}, FieldKind, "bears all of it"},
		"past a limit":        {exampleRig(t), map[FieldID]string{FieldKind: "proof", FieldTarget: "100 kN"}, FieldTarget, "past the limit of link bar"},
		"nothing to hold":     {exampleRig(t), map[FieldID]string{FieldKind: "proof", FieldTarget: "0 kN"}, FieldTarget, "nothing to hold"},
		"no unit":             {nil, map[FieldID]string{FieldKind: "proof", FieldTarget: "20"}, FieldTarget, "no unit"},
		"no time":             {nil, map[FieldID]string{FieldKind: "proof", FieldHold: "60"}, FieldHold, "60 s"},
		"for ever":            {nil, map[FieldID]string{FieldKind: "proof", FieldHold: "25h"}, FieldHold, "at most 24h"},
		"negative time":       {nil, map[FieldID]string{FieldKind: "proof", FieldHold: "-1 s"}, FieldHold, "longer than nothing"},
		"decimal comma":       {nil, map[FieldID]string{FieldDiameters: "12,5 mm"}, FieldDiameters, "decimals"},
		"inches read as feet": {nil, map[FieldID]string{FieldDiameters: "0.8 ft"}, FieldDiameters, "outside 0.5 mm to 200 mm"},
		"long name":           {nil, map[FieldID]string{FieldMelt: strings.Repeat("M", 65)}, FieldMelt, "64 bytes"},
		"no gauge length":     {nil, map[FieldID]string{FieldGauge: "0 mm"}, FieldGauge, "leave it empty"},
		"yield of nothing":    {nil, map[FieldID]string{FieldYield: "-3 ksi"}, FieldYield, "no stress to yield at"},
		"yield of no section": {nil, map[FieldID]string{FieldKind: "proof", FieldYield: "20 ksi"}, FieldYield, "without a diameter"},
		"upside down":         {nil, map[FieldID]string{FieldExpect: "50 .. 40 ksi"}, FieldExpect, "the lower end comes first"},
		"too many tags":       {nil, map[FieldID]string{FieldTags: "a,b,c,d,e,f,g,h,i,j,k,l,m,n,o,p,q"}, FieldTags, "17 tags"},
	} {
		t.Run(name, func(t *testing.T) {
			f := form{units: si.US, rig: c.rig, texts: c.texts}
			fields, s := f.read()
			for _, one := range fields {
				switch {
				case one.ID == c.at && !strings.Contains(one.Fault, c.want):
					t.Errorf("fault %q, want %q in it", one.Fault, c.want)
				case one.ID != c.at && one.Fault != "":
					t.Errorf("%s has a fault too: %s", one.ID, one.Fault)
				case one.Fault != "" && one.Read != "":
					t.Errorf("a fault, and read as %q", one.Read)
				}
			}
			s.Kind = ""
			if !reflect.DeepEqual(s, Setup{}) {
				t.Errorf("it is armed with %+v all the same", s)
			}
		})
	}
	f := form{rig: crushing(t), texts: map[FieldID]string{FieldKind: "crush"}}
	if fields, _ := f.read(); field(t, fields, FieldKind).Fault != "" {
		t.Error("a crush on a direct path is refused")
	}
}

// A rig file's faults are told as the first of them, on one line.
func TestFormRigFault(t *testing.T) {
	_, err := rig.Parse("bad.toml", []byte("[ram]\narea = \"1\"\nbore = 7\n"))
	if err == nil {
		t.Fatal("the rig file is good")
	}
	f := form{rigErr: err, texts: map[FieldID]string{FieldRig: "bad.toml"}}
	fields, _ := f.read()
	got := field(t, fields, FieldRig).Fault
	if !strings.Contains(got, "bad.toml:") || strings.Contains(got, "\n") || !strings.Contains(got, "draghand rig check") {
		t.Errorf("fault %q", got)
	}
	f.rigErr = &Unfit{"open nowhere.toml: no such file", "make one"}
	fields, _ = f.read()
	if got := field(t, fields, FieldRig).Fault; got != "open nowhere.toml: no such file: make one" {
		t.Errorf("fault %q", got)
	}
	if err := FitsRig(pull.Tension, watch.Proof{Target: 1e9}, exampleRig(t)); err != nil {
		t.Errorf("a tension pull is refused for a target: %v", err)
	}
	var why *Unfit
	if err := FitsRig(pull.Proof, watch.Proof{Target: 1e9}, exampleRig(t)); !errors.As(err, &why) || why.Next() == "" {
		t.Errorf("no *Unfit: %v", err)
	}
}

func TestNextID(t *testing.T) {
	for _, c := range []struct {
		id    string
		taken []string
		want  string
	}{
		{"3", nil, "4"},
		{"09", nil, "10"},
		{"B-007", nil, "B-008"},
		{"99", nil, "100"},
		{"a99", nil, "a100"},
		{"", nil, "1"},
		{"", []string{"1", "2"}, "3"},
		{"left", nil, "left-2"},
		{"left", []string{"left-2"}, "left-3"},
		{"2", []string{"2", "3"}, "4"},
		{"M1/2b", nil, "M1/2b-2"},
		{strings.Repeat("9", 64), nil, "1"},
		{strings.Repeat("é", 32), nil, strings.Repeat("é", 28) + "-2"},
	} {
		if got := nextID(c.id, c.taken); got != c.want {
			t.Errorf("after %q, %v taken: %q, want %q", c.id, c.taken, got, c.want)
		}
	}
}

// Each kind has its points, 8 to 11 on a common rig, each of a width that fits.
func TestPoints(t *testing.T) {
	for _, c := range []struct {
		kind  pull.Kind
		rig   *rig.Rig
		count int
		own   PointID
		not   PointID
	}{
		{pull.Tension, exampleRig(t), 11, PointPieces, PointStuff},
		{pull.Proof, exampleRig(t), 11, PointHeld, PointPieces},
		{pull.Crush, crushing(t), 10, PointStuff, PointArms},
		{pull.Tension, nil, 9, PointPieces, PointArms},
	} {
		for _, sys := range []si.System{si.US, si.Metric} {
			ps := points(c.kind, c.rig, sys)
			if len(ps) != c.count {
				t.Errorf("%s: %d points, want %d", c.kind, len(ps), c.count)
			}
			ids := map[PointID]bool{}
			for _, p := range ps {
				if n := len([]rune(p.Text)); n > mostCells || n == 0 || p.Why == "" || ids[p.ID] || p.Done {
					t.Errorf("%s: %+v: %d cells", c.kind, p, n)
				}
				ids[p.ID] = true
			}
			if !ids[c.own] || ids[c.not] {
				t.Errorf("%s: own point %v, %s %v", c.kind, ids[c.own], c.not, ids[c.not])
			}
		}
	}
	r := *exampleRig(t)
	r.Limits = append(slices.Clone(r.Limits), rig.Limit{Name: strings.Repeat("長", 40) + "\x1b[2J", Kind: rig.Unknown})
	ps := points(pull.Tension, &r, si.US)
	last := ps[len(ps)-1]
	if len(ps) != 12 || !strings.HasSuffix(last.Text, "…") || strings.Contains(last.Text+last.Why, "\x1b") || len([]rune(last.Text)) > 46 {
		t.Errorf("a second unknown part: %d points, %+v", len(ps), last)
	}
}
