package rig

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestJSON: a record carries the rig whole.
func TestJSON(t *testing.T) {
	files, err := filepath.Glob("../../testdata/rigs/*.toml")
	if err != nil || len(files) == 0 {
		t.Fatal("no rig files", err)
	}
	rigs := map[string]*Rig{"example": mustParse(t, Example())}
	for _, f := range files {
		if strings.Contains(f, "faults") {
			continue
		}
		if rigs[f], err = Load(f); err != nil {
			t.Fatal(err)
		}
	}
	for name, r := range rigs {
		t.Run(name, func(t *testing.T) { roundTrip(t, r) })
	}
}

// roundTrip demands the same rig and the same chain back, to the bit.
func roundTrip(t testing.TB, r *Rig) {
	t.Helper()
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatalf("Marshal: %v", err)
	}
	var back Rig
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatalf("Unmarshal: %v", err)
	}
	if !reflect.DeepEqual(*r, back) {
		t.Errorf("JSON round trip: %s", cmp.Diff(*r, back))
	}
	if r.Chain() != back.Chain() || !reflect.DeepEqual(r.Bounds(), back.Bounds()) {
		t.Errorf("the chain or the bounds differ after JSON")
	}
	if err := back.Validate(); err != nil {
		t.Errorf("Validate after JSON: %v", err)
	}
}

// TestValidateHostile sets every number of a good rig in turn to what damage or
// malice would, through reflection so that no field is forgotten. Whatever
// Validate lets through must still convert to finite figures.
func TestValidateHostile(t *testing.T) {
	computed, err := os.ReadFile("../../testdata/rigs/computed.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{Example(), string(computed), file(tables{"path": "kind = \"fixed\"\nshare = 0.5\nweight = \"9 N\"\nram_pushes = \"up\"", "drive": "kind = \"motor\""})} {
		var fields []string
		walk(reflect.ValueOf(mustParse(t, text)).Elem(), "", func(string, reflect.Value) { fields = append(fields, "") })
		refused := 0
		for i := range fields {
			for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0, 1e-300, 1e300} {
				r := mustParse(t, text)
				n, name := 0, ""
				walk(reflect.ValueOf(r).Elem(), "", func(path string, v reflect.Value) {
					if n == i {
						name = path
						set(v, bad)
					}
					n++
				})
				err := r.Validate()
				if err != nil {
					refused++
				} else if math.IsNaN(bad) || math.IsInf(bad, 0) {
					if f := field(r, name); f.Kind() == reflect.Float64 {
						t.Errorf("Validate accepts %s = %v", name, bad)
					}
				}
				if err == nil {
					converts(t, r)
				}
			}
		}
		if refused < 2*len(fields) {
			t.Errorf("only %d of %d hostile rigs refused", refused, 7*len(fields))
		}
	}
}

func walk(v reflect.Value, path string, visit func(string, reflect.Value)) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			walk(v.Field(i), path+"."+v.Type().Field(i).Name, visit)
		}
	case reflect.Slice:
		for i := range v.Len() {
			walk(v.Index(i), path, visit)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			walk(v.Elem(), path, visit)
		}
	case reflect.Float64, reflect.Int, reflect.String:
		visit(path, v)
	}
}

// field is the first field of that path.
func field(r *Rig, path string) (out reflect.Value) {
	walk(reflect.ValueOf(r).Elem(), "", func(p string, v reflect.Value) {
		if p == path && !out.IsValid() {
			out = v
		}
	})
	return out
}

func set(v reflect.Value, bad float64) {
	switch v.Kind() {
	case reflect.Float64:
		v.SetFloat(bad)
	case reflect.Int:
		v.SetInt(int64(min(max(bad, -1e18), 1e18)))
	case reflect.String:
		v.SetString(map[bool]string{true: "", false: "\x1b[2J"}[bad == 0])
	}
}

// converts demands of a valid rig that its chain is finite and never falls, and
// that its bounds rise.
func converts(t testing.TB, r *Rig) {
	t.Helper()
	c := r.Chain()
	last := math.Inf(-1)
	for _, raw := range []float64{-1e308, -1e6, -1, 0, 1e-9, 1, 4, 12, 20, 1000, 4095, 65535, 1e6, 1e12, 1e308} {
		p, s := c.Pressure(raw)
		if !finite(float64(p)) || !finite(float64(c.Ram(p))) || !finite(float64(c.Specimen(p))) || s == NotANumber {
			t.Errorf("Pressure(%v) = %v, %v; ram %v, specimen %v: not finite", raw, p, s, c.Ram(p), c.Specimen(p))
		}
		if float64(p) < last {
			t.Errorf("Pressure(%v) = %v falls below %v", raw, p, last)
		}
		last = float64(p)
	}
	if !(c.Ram(2e7) > c.Ram(1e7)) || !(c.Specimen(2e7) > c.Specimen(1e7)) {
		t.Errorf("the forces do not rise with the pressure")
	}
	for _, b := range r.Bounds() {
		if !finite(float64(b.PressureAt(1))) || !(b.Ratio(2e7, 2e7) > b.Ratio(1e7, 1e7)) || !finite(b.Ratio(1e9, 1e9)) {
			t.Errorf("the bound %q does not rise or is not finite", b.Limit.Name)
		}
	}
}
