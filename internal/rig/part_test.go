package rig

import (
	"encoding/json"
	"errors"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/exp/golden"

	"draghand/internal/si"
)

func computedRig(t testing.TB) *Rig {
	t.Helper()
	r, err := Load("../../testdata/rigs/computed.toml")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestComputed holds the capacities of testdata/rigs/computed.toml against
// figures worked by hand with the formulas of docs/parts.md, outside of the
// program.
func TestComputed(t *testing.T) {
	want := map[string]struct {
		kN   float64
		mode string
	}{
		// 355 · (50·80²/6 = 53333.33) / (110.5·110.5/221 = 55.25): the arms at their longest
		"bar over the ram": {342.685, "bending of the bar"},
		// 2·355 · (π/32·30³ = 2650.719) / (15/2 + 0.5 + 22/4 = 13.5)
		"specimen pin": {139.408, "bending of the pin"},
		// 1.25·235·30·15
		"side plates": {132.1875, "bearing in the hole"},
		// 0.57735·235·8·160
		"far clevis weld": {173.667, "base metal at the weld"},
		// 355 · 0.7854 (24 − 0.9382·3)² = 355 · 352.504; hole: 0.57735·235·π/2·22.0515·30 = 140.989
		"far rod": {125.139, "tension in the thread"},
		// 275 · 0.334460 in²
		"specimen's thread": {59.3396, "tension in the specimen's thread"},
	}
	r := computedRig(t)
	for _, l := range r.Limits {
		w, ok := want[l.Name]
		if !ok {
			continue
		}
		delete(want, l.Name)
		m, _ := l.Governing()
		if !near(float64(l.Force)/si.Kilonewton, w.kN, 5e-6) || m.Name != w.mode || m.Capacity != l.Force {
			t.Errorf("%s: %v by %q, want %v kN by %q", l.Name, l.Force, m.Name, w.kN, w.mode)
		}
	}
	if len(want) > 0 {
		t.Errorf("missing: %v", want)
	}
	i := slices.IndexFunc(r.Limits, func(l Limit) bool { return l.Proof != nil })
	if l := r.Limits[i]; l.Name != "pull rod" || l.Force != 60*si.Kilonewton || l.Kind != Rated {
		t.Errorf("the proven limit is %+v, want 60 kN", l)
	}
	golden.RequireEqual(t, []byte(r.Describe(si.Metric)))
}

// TestComputedFaults: everything wrong in one file, all at once, each with its
// key and the line a person counts.
func TestComputedFaults(t *testing.T) {
	text, err := os.ReadFile("../../testdata/rigs/part-faults.toml")
	if err != nil {
		t.Fatal(err)
	}
	_, err = Parse("part-faults.toml", text)
	fe, ok := errors.AsType[*FileError](err)
	if !ok {
		t.Fatalf("Parse = %v", err)
	}
	want := map[int]string{} // line -> the key told there: "# !key" at its end
	for i, line := range strings.Split(string(text), "\n") {
		if _, key, ok := strings.Cut(line, "# !"); ok {
			want[i+1] = key
		}
	}
	got := map[int][]string{}
	for _, f := range fe.Faults {
		got[f.Line] = append(got[f.Line], f.Key)
	}
	for line, keys := range want {
		told := strings.Join(got[line], " ")
		if told != keys {
			t.Errorf("line %d tells %q, want %q", line, told, keys)
		}
		delete(got, line)
	}
	for line, keys := range got {
		t.Errorf("line %d is told for %v without a reason", line, keys)
	}
	golden.RequireEqual(t, []byte(err.Error()+"\n"))
}

// TestRecordSaysOtherwise: a rig out of a record whose capacity, modes or
// dimensions are not of one another is refused.
func TestRecordSaysOtherwise(t *testing.T) {
	tests := []struct {
		name  string
		spoil func(l []Limit)
		key   string
	}{
		{"capacity", func(l []Limit) { l[0].Force *= 1.001 }, "limit[1].force"},
		{"dimension", func(l []Limit) { l[0].Part.Bar.Height *= 1.01 }, "limit[1].force"},
		{"mode's figure", func(l []Limit) { l[1].Modes[0].Capacity *= 2 }, "limit[2].modes"},
		{"mode's words", func(l []Limit) { l[1].Modes[0].Formula = "\x1b[2J" }, "limit[2].modes"},
		{"no modes", func(l []Limit) { l[1].Modes = nil }, "limit[2].modes"},
		{"no dimensions", func(l []Limit) { l[1].Part = nil }, "limit[2].kind"},
		{"dimensions of another kind", func(l []Limit) { l[1].Kind = BarLimit }, "limit[2].kind"},
		{"dimensions of a rated limit", func(l []Limit) { l[1].Kind = Rated }, "limit[2].kind"},
		{"impossible dimension", func(l []Limit) { l[2].Part.Plate.Hole = 1 }, "limit[3].hole"},
		{"strength from nowhere", func(l []Limit) { l[2].Part.StrengthFrom = "\x1b[2J" }, "limit[3].strength_from"},
		{"end of the far side", func(l []Limit) { l[5].At = AtFar }, "limit[6].at"},
		{"more than the proof gave", func(l []Limit) { l[6].Force *= 1.5 }, "limit[7].force"},
		{"fraction above", func(l []Limit) { l[6].Proof.Fraction = 1 }, "limit[7].proof.fraction"},
		{"bent by its proof", func(l []Limit) { l[6].Proof.After = 0.2 * si.Millimetre }, "limit[7].proof.straight_after"},
		{"proof on no day", func(l []Limit) { l[6].Proof.Date = "yesterday" }, "limit[7].proof.date"},
		{"proof of a computed part", func(l []Limit) { l[0].Proof = l[6].Proof }, "limit[1].proof"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			text, err := json.Marshal(computedRig(t))
			if err != nil {
				t.Fatal(err)
			}
			var r Rig
			if err := json.Unmarshal(text, &r); err != nil {
				t.Fatal(err)
			}
			if err := r.Validate(); err != nil {
				t.Fatalf("the record as it was: %v", err)
			}
			tt.spoil(r.Limits)
			fe, ok := errors.AsType[*FileError](r.Validate())
			if !ok || !slices.ContainsFunc(fe.Faults, func(f Fault) bool { return f.Key == tt.key }) {
				t.Errorf("Validate = %v, want a fault of %s", r.Validate(), tt.key)
			}
		})
	}
}

// TestExampleParts: the computed parts that the example has as remarks are two
// limits as they would stand there.
func TestExampleParts(t *testing.T) {
	_, block, ok := strings.Cut(Example(), "as they would stand here:\n")
	block, _, ok2 := strings.Cut(block, "\n\n")
	if !ok || !ok2 {
		t.Fatal("no computed parts in the example")
	}
	var text strings.Builder
	for line := range strings.Lines(block + "\n") {
		text.WriteString(strings.TrimPrefix(strings.TrimPrefix(line, "#"), " "))
	}
	r := mustParse(t, Example()+"\n"+text.String())
	want := map[string]float64{
		// 355 · (50 · 80²/6 = 53333.33) / (221/4 = 55.25); 2 · 355 · 2650.719 / (15/2 + 0.5 + 22/4)
		"bar over the ram": 342.685, "specimen pin": 139.408,
	}
	for _, l := range r.Limits {
		if w, ok := want[l.Name]; ok && near(float64(l.Force)/si.Kilonewton, w, 5e-6) {
			delete(want, l.Name)
		}
	}
	if len(want) > 0 {
		t.Errorf("missing or of another capacity: %v", want)
	}
}

// TestBarTakesThePath: the bar over the ram takes the arms of the path that bend it
// most. Worked by hand: 90 ± 1 and 135 ± 1 mm, span 227 mm at the longest.
func TestBarTakesThePath(t *testing.T) {
	const bar = "[[limit]]\nname = \"bar\"\nkind = \"bar\"\nat = \"ram\"\nsection = \"round\"\ndiameter = \"60 mm\"\nmin_yield = \"355 MPa\"\nstrength_from = \"minimum\"\ndesign_factor = 1\n"
	for _, tt := range []struct {
		name, path string
		arm, other float64 // mm
	}{
		// share 0.6, at least 134/(91 + 134) = 0.595556
		{"ball", "bearing = \"ball\"", 227 * (1 - 134.0/225), 227 * 134.0 / 225},
		// 24/2/225 = 0.053333 more of the share
		{"flat", "bearing = \"flat\"\nbearing_width = \"24 mm\"", 227 * (1 - 134.0/225 + 12.0/225), 227 * (134.0 - 12) / 225},
		// a flat of 60 mm lets the force stand in the middle
		{"wide flat", "bearing = \"flat\"\nbearing_width = \"60 mm\"", 113.5, 113.5},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := mustParse(t, file(tables{"path": "kind = \"two-sided\"\nspecimen_arm = \"90 mm ± 1 mm\"\nfar_arm = \"135 mm ± 1 mm\"\n" + tt.path, "limits": bar}))
			b := r.Limits[0].Part.Bar
			if !near(float64(b.Arm)/si.Millimetre, tt.arm, 1e-9) || !near(float64(b.OtherArm)/si.Millimetre, tt.other, 1e-9) {
				t.Errorf("arms %v and %v, want %v and %v mm", b.Arm, b.OtherArm, tt.arm, tt.other)
			}
		})
	}
	r := mustParse(t, file(tables{"path": "kind = \"two-sided\"\nspecimen_arm = \"90 mm ± 1 mm\"\nfar_arm = \"135 mm ± 1 mm\"\nbearing = \"ball\"", "limits": strings.Replace(bar, "section", "arm = \"140 mm\"\nsection", 1)}))
	if b := r.Limits[0].Part.Bar; b.Arm != b.OtherArm || !near(float64(b.Arm), 0.14, 1e-9) {
		t.Errorf("stated arms become %v and %v", b.Arm, b.OtherArm)
	}
}

// TestProofForms: a proof may stand in line or as a table under its limit, its
// day in quotes or bare.
func TestProofForms(t *testing.T) {
	head := "[[limit]]\nname = \"rod\"\nkind = \"rated\"\nat = \"specimen\"\n"
	rest := "force = \"60 kN\"\ndate = 2026-11-25\nfraction = \"50 %\"\nstraight_before = \"0 mm\"\nstraight_after = \"0.05 mm\"\n"
	inline := "proof = { " + strings.ReplaceAll(strings.TrimSpace(rest), "\n", ", ") + " }\n"
	for _, text := range []string{head + "[limit.proof]\n" + rest, head + inline, head + "proof." + strings.ReplaceAll(strings.TrimSpace(rest), "\n", "\nproof.") + "\n"} {
		l := mustParse(t, file(tables{"limits": text})).Limits[0]
		if l.Force != 30*si.Kilonewton || l.Proof == nil || l.Proof.Date != "2026-11-25" {
			t.Errorf("%s gives %+v, %+v", text, l, l.Proof)
		}
	}
	for text, key := range map[string]string{
		head + "proof = 3\n":                                         "limit[1].proof",
		head + "force = \"30 kN\"\n" + inline:                        "limit[1].force",
		"[limit.proof]\n" + rest:                                     "limit.proof",
		strings.Replace(head, "rated", "unknown", 1) + "proof = 3\n": "limit[1].proof",
	} {
		_, err := Parse("t", []byte(file(tables{"limits": text})))
		fe, ok := errors.AsType[*FileError](err)
		if !ok || len(fe.Faults) != 1 || fe.Faults[0].Key != key {
			t.Errorf("%s: %v, want one fault of %s", text, err, key)
		}
	}
}

// TestDerivedParts: what programs get names the governing mode, and the rig's
// own JSON holds the dimensions.
func TestDerivedParts(t *testing.T) {
	r := computedRig(t)
	text, err := json.Marshal(struct {
		Rig     *Rig
		Derived Derived
	}{r, r.Derive(si.Metric)})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"governing":"bending of the pin"`, `"design_factor_words":"design factor 1.5: the`, `"allowed":{"gauge_pa":`, `"diameter_m":0.03`, `"mode":"shear of the pin"`} {
		if !strings.Contains(string(text), want) {
			t.Errorf("the JSON lacks %s", want)
		}
	}
}
