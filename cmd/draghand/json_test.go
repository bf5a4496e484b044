package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/record"
)

// One odd head takes nothing of the others away: what is no number is not known.
func TestListOddHead(t *testing.T) {
	shelf, rec := shelfOfOne(t)
	for name, d := range map[string]string{"2026-11-25T122447Z-vast": "[1e200]", "2026-11-25T122448Z-tiny": "[1e-160]"} {
		odd := filepath.Join(shelf, name)
		if err := os.CopyFS(odd, os.DirFS(rec)); err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(odd, "pull.json")
		text, err := os.ReadFile(path)
		var head map[string]json.RawMessage
		var bar map[string]json.RawMessage
		if err == nil {
			err = json.Unmarshal(text, &head)
		}
		if err == nil {
			err = json.Unmarshal(head["specimen"], &bar)
		}
		bar["diameters_m"] = json.RawMessage(d)
		if err == nil {
			head["specimen"], err = json.Marshal(bar)
		}
		if err == nil {
			text, err = json.Marshal(head)
		}
		if err == nil {
			err = os.WriteFile(path, text, 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	code, out, said := ranIn(shelf, "list", "--json")
	var all []map[string]any
	if err := json.Unmarshal([]byte(out), &all); err != nil || code != exitDone || len(all) != 3 {
		t.Fatalf("code %d, %d records, %v: %s", code, len(all), err, said)
	}
	for _, e := range all {
		name, _ := e["record"].(string)
		whole := name == pulledOne
		if (e["strength_pa"] != nil) != whole || (e["stress_pa"] != nil) != whole || e["peak_n"] == nil || (e["area_m2"] == nil) != strings.HasSuffix(name, "vast") {
			t.Errorf("%s: strength %v, stress %v, peak %v, area %v", name, e["strength_pa"], e["stress_pa"], e["peak_n"], e["area_m2"])
		}
	}
	for _, args := range [][]string{{"list", "--csv"}, {"compare", "--json"}, {"results", "--json", shelf}, {"list"}} {
		code, out, said := ranIn(shelf, args...)
		if code != exitDone || out == "" || strings.Contains(out, "Inf") || strings.Contains(out, "NaN") {
			t.Errorf("%v: code %d, %s, %.3000s", args, code, said, out)
		}
	}
}

// Whatever is no number is null wherever it stands, and all else is as it was.
func TestPrintJSONOdd(t *testing.T) {
	type inner struct {
		A float64 `json:"a"`
		B *inner  `json:"b,omitempty"`
	}
	inf, nan, seven := math.Inf(1), math.NaN(), 7.0
	in := []any{
		map[string]*float64{"x": &inf, "y": &seven, "z": nil},
		inner{A: nan, B: &inner{A: 1.5}},
		[]record.Seconds{record.Seconds(nan), 2},
		[2]float64{math.Inf(-1), 1e300},
		struct {
			inner
			Any  any
			text string
		}{inner{A: 3}, inf, "hidden"},
		"Inf", nil, 5, json.RawMessage(`{"r": 1}`),
	}
	var out, compact bytes.Buffer
	if err := printJSON(&out, in); err != nil {
		t.Fatal(err)
	}
	if err := json.Compact(&compact, out.Bytes()); err != nil {
		t.Fatal(err)
	}
	want := `[{"x":null,"y":7,"z":null},{"a":null,"b":{"a":1.5}},[null,2],[null,1e+300],{"a":3,"Any":null},"Inf",null,5,{"r":1}]`
	if got := compact.String(); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if !math.IsInf(inf, 1) || seven != 7 || !math.IsNaN(in[1].(inner).A) {
		t.Error("what was printed was changed")
	}
	if err := printJSON(&out, make(chan int)); err == nil {
		t.Error("a channel was printed")
	}
}
