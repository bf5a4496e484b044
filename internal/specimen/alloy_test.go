package specimen

import (
	"math"
	"strings"
	"testing"

	"draghand/internal/si"
)

// The table against the check list, section 12, row by row: strengths in ksi, and
// in MPa as converted there apart from this program.
func TestAlloyTable(t *testing.T) {
	all := Alloys()
	used := make([]bool, len(all))
	squash := func(s string) string { return squeezed(strings.ReplaceAll(s, ">=", "at least ")) }
	for _, row := range table(t, "alloys_ksi.csv") {
		names := map[string][]string{"AZ91C/E": {"AZ91C", "AZ91E"}, "Zamak 3": {"zinc alloy 3"}}[row["alloy"]]
		if names == nil {
			names = []string{row["alloy"]}
		}
		for _, name := range names {
			found := -1
			for i, a := range all {
				whole := squeezed(a.Name) == squeezed(name) || squeezed(a.Name+" "+a.Also) == squeezed(name)
				cond := squash(a.Condition) == squash(strings.ReplaceAll(row["condition"], "<=", "at most "))
				if whole && cond && strings.HasPrefix(strings.Replace(row["basis"], "derived upper figure", "ceiling", 1), string(a.Basis)) {
					found = i
				}
			}
			if found < 0 {
				t.Errorf("%s %s %s is missing", name, row["condition"], row["basis"])
				continue
			}
			a := all[found]
			used[found] = true
			high := row["uts_ksi_high"]
			if high == "" {
				high = row["uts_ksi"]
			}
			for what, c := range map[string]struct {
				got  si.Stress
				text string
				unit float64
				tol  float64
			}{
				"strength":        {a.UTSLow, row["uts_ksi"], si.KSI, 1e-9},
				"upper strength":  {a.UTSHigh, high, si.KSI, 1e-9},
				"yield":           {a.Yield, row["yield_ksi"], si.KSI, 1e-9},
				"strength in MPa": {a.UTSLow, row["uts_MPa_converted"], si.Megapascal, 0.501},
				"yield in MPa":    {a.Yield, row["yield_MPa_converted"], si.Megapascal, 0.501},
			} {
				want := 0.0
				if c.text != "" {
					want = number(t, c.text)
				}
				if got := float64(c.got) / c.unit; math.Abs(got-want) > c.tol {
					t.Errorf("%s %s: %s %v, want %v", a.Name, a.Condition, what, got, want)
				}
			}
			low, up, _ := strings.Cut(row["elongation_pct"], "-")
			if up == "" {
				up = low
			}
			if low != "" && (a.ElongationLow != number(t, low) || a.ElongationHigh != number(t, up)) || low == "" && a.ElongationHigh != 0 {
				t.Errorf("%s: elongation %v to %v, want %q", a.Name, a.ElongationLow, a.ElongationHigh, row["elongation_pct"])
			}
			if a.Standard != row["standard"] || strings.Fields(a.Provenance)[0] != strings.Trim(strings.Fields(row["provenance"])[0], ";") {
				t.Errorf("%s: standard %q, provenance %q; want %q, %q", a.Name, a.Standard, a.Provenance, row["standard"], row["provenance"])
			}
		}
	}
	for i, a := range all {
		if !used[i] {
			t.Errorf("%s %s %s is of no check value", a.Name, a.Condition, a.Basis)
		}
	}
}

func TestFind(t *testing.T) {
	for name, want := range map[string]string{
		"c90500": "C90500", "C 90500": "C90500", "C90500 tin bronze": "C90500", "C90500 as sand cast": "C90500",
		"grey iron 30": "grey iron class 30", "Gray Iron class 30": "grey iron class 30", "greyiron30": "grey iron class 30",
		"356": "356.0", "356.0-T6": "356.0", "a356": "A356.0", "za12": "ZA-12", "ZA 12": "ZA-12", "65-45-12": "ductile iron 65-45-12",
		"aluminium bronze": "C95400", "aluminum bronze": "C95400", "Zamak 3": "zinc alloy 3", "AZ91E": "AZ91E", "6061 T6": "6061", "drill rod O1": "O1",
		"yellow brass": "C85400", "": "", "nothing known": "", "30": "", "3": "", "sand cast": "", "C90500 of melt 7": "", "C9": "",
	} {
		found := Alloys().Find(name)
		if want == "" {
			if len(found) > 0 {
				t.Errorf("%q gives %s", name, found[0].Name)
			}
			continue
		}
		if len(found) == 0 || found[0].Name != want {
			t.Errorf("%q gives %v, want %s", name, found, want)
		}
	}
	if n := len(Alloys().Find("356 T6")); n != 2 { // minimum and typical, apart
		t.Errorf("356 T6 gives %d rows, want 2", n)
	}
}

// The range to plan with, by the rules the page states; worked by hand.
func TestStrength(t *testing.T) {
	for name, want := range map[string][2]float64{ // ksi
		"C90500":       {40, 60},       // a minimum alone: × 1.5
		"grey iron 30": {30, 31 * 1.2}, // both
		"ZA-12":        {32, 46 * 1.2}, // a typical range alone: × 0.8, × 1.2
		"356 F":        {19, 19 * 1.5}, // of one condition
		"356 T6":       {30, 33 * 1.2}, //
		"356":          {19, 33 * 1.2}, // of all: T6 gives the most, F the least
		"319":          {23, 36 * 1.2}, //
		"C95400":       {75, 135},      // the heat-treated the most
		"O1":           {80, 120},      // a ceiling
		"AZ91E":        {34, 48},       //
		"6061":         {38, 54},       // two minimums of T6, one typical
		"yellow brass": {}, "iron": {}, "": {}, "unobtainium": {}, "30": {},
	} {
		e, ok := Alloys().Strength(name)
		if ok != (want[1] > 0) {
			t.Errorf("%q: %v, %v", name, e, ok)
			continue
		}
		if math.Abs(float64(e.Low)/si.KSI-want[0]) > 1e-9 || math.Abs(float64(e.High)/si.KSI-want[1]) > 1e-9 {
			t.Errorf("%q: %v to %v ksi, want %v", name, float64(e.Low)/si.KSI, float64(e.High)/si.KSI, want)
		}
		if ok {
			bar := Specimen{ExpectLow: e.Low, ExpectHigh: e.High, ExpectFrom: e.Words()}
			if err := bar.Validate(); err != nil || e.LowWords == "" || e.HighWords == "" {
				t.Errorf("%q: %v, %q", name, err, e.Words())
			}
		}
	}
	e, _ := Alloys().Strength("c90500")
	if got := e.Words(); got != "C90500: from minimum, as sand cast, ASTM B584; to minimum × 1.5, no typical figure is known, as sand cast, ASTM B584" {
		t.Errorf("%q", got)
	}
}

func TestReadAlloys(t *testing.T) {
	good := "\ufeff# ours\nname,basis,strength,yield,elongation,source\nC90500,minimum,280 MPa,,12 %,our bars\n\"M bronze\",typical,45 ksi,20 ksi,3-8 %,\n"
	own, err := ReadAlloys("own.csv", strings.NewReader(good))
	if err != nil || len(own) != 2 {
		t.Fatalf("%v, %v", own, err)
	}
	all := Alloys().With(own)
	found := all.Find("c90500")
	if len(found) != 1 || !found[0].Own || found[0].UTSLow != 280*si.Megapascal {
		t.Errorf("the own C90500 does not stand for the table's: %v", found)
	}
	if e, ok := all.Strength("m bronze"); !ok || math.Abs(float64(e.High)/si.KSI-54) > 1e-9 {
		t.Errorf("%v, %v", e, ok)
	}
	if e, ok := all.Strength("C83600"); !ok || e.Low == 0 {
		t.Error("the rest of the table is gone")
	}
	const head = "name,basis,strength,strength_high,yield,elongation\n"
	for text, want := range map[string]string{
		"":                                   "empty",
		"name,basis\n":                       `"strength" is missing`,
		"name,basis,strength,price\n":        `"price" is not known`,
		"name,basis,strength,name\n":         "twice",
		head + "A,minimum,40,,,\n":           "line 2: strength: ",
		head + "A,minimum,,,,\n":             "line 2: strength: ",
		head + "A,minimum,40 Pa,,,\n":        "outside",
		head + "A,most,40 ksi,,,\n":          "line 2: basis: ",
		head + ",minimum,40 ksi,,,\n":        "line 2: name: ",
		head + "A,minimum,40 ksi,30 ksi,,\n": "strength_high",
		head + "A,minimum,40 ksi,,50 ksi,\n": "yield",
		head + "A,minimum,40 ksi,,,12\n":     "elongation",
		head + "A,minimum,40 ksi,,,9-3 %\n":  "elongation",
		head + "A,minimum,40 ksi\n":          "line 2: 3 cells",
		head + "A,minimum,40 ksi,,,\nB,no,40 ksi,,,\nC,no,40 ksi,,,\n": "line 4: basis",
		head + "\"A\x1b[2J\",minimum,40 ksi,,,\n":                      "no text",
		head + "\"A,minimum\n":                                         "line",
		head + strings.Repeat("A,minimum,40 ksi,,,\n", maxAlloys+1):    "more than",
		head + strings.Repeat("x", maxAlloyFile):                       "no table",
	} {
		if a, err := ReadAlloys("f.csv", strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "f.csv") {
			t.Errorf("%.60q is read as %v, %v; want %q", text, a, err, want)
		}
	}
}

// FuzzReadAlloys: whatever stands in the file, nothing panics, and what is read
// is sound: every row has strengths in order, and a range of it can be planned
// with and kept.
func FuzzReadAlloys(f *testing.F) {
	f.Add(alloysFile)
	f.Add("name,basis,strength\nA,ceiling,40 ksi\n")
	f.Add("strength,name,basis,elongation\n1 MPa,..0,typical,1-2 %\n")
	f.Fuzz(func(t *testing.T, text string) {
		table, err := ReadAlloys("f", strings.NewReader(text))
		if err != nil {
			return
		}
		for _, a := range table {
			if !(a.UTSLow > 0 && a.UTSLow <= a.UTSHigh) || a.Yield < 0 || a.Name == "" {
				t.Fatalf("row %+v", a)
			}
			if len(table.Find(a.Name)) == 0 {
				t.Fatalf("%q is not found by its own name", a.Name)
			}
			if e, ok := table.Strength(a.Name); ok && !(e.Low > 0 && e.Low <= e.High && len(e.Words()) <= maxFrom) {
				t.Fatalf("%q: %+v", a.Name, e)
			}
		}
	})
}
