package rig

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"draghand/internal/si"
)

// oneFault is the only fault of a file.
func oneFault(t *testing.T, text string) Fault {
	t.Helper()
	_, err := Parse("t", []byte(text))
	fe, ok := errors.AsType[*FileError](err)
	if !ok || len(fe.Faults) != 1 {
		t.Fatalf("%v, want one fault", err)
	}
	return fe.Faults[0]
}

// TestArmsAgainstThePath: arms stated for the bar over the ram that are shorter than
// those of the path would make it as strong as it is not.
func TestArmsAgainstThePath(t *testing.T) {
	const bar = "[[limit]]\nname = \"bar\"\nkind = \"bar\"\nat = \"ram\"\nsection = \"rectangular\"\nheight = \"50 mm\"\nwidth = \"40 mm\"\nmin_yield = \"235 MPa\"\nstrength_from = \"minimum\"\ndesign_factor = 2\n"
	const even = "kind = \"two-sided\"\nspecimen_arm = \"110 mm ± 0.5 mm\"\nfar_arm = \"110 mm ± 0.5 mm\"\nbearing = \"ball\""
	const uneven = "kind = \"two-sided\"\nspecimen_arm = \"90 mm ± 1 mm\"\nfar_arm = \"135 mm ± 1 mm\"\nbearing = \"ball\"" // 91.8, 135.2 at worst
	for _, tt := range []struct {
		name, path, arms string
		refused          bool
	}{
		{"both short", even, "arm = \"30 mm\"\nother_arm = \"30 mm\"\n", true},
		{"one for both", even, "arm = \"30 mm\"\n", true},
		{"one short", even, "arm = \"110.5 mm\"\nother_arm = \"100 mm\"\n", true},
		{"as ruled, not at the longest", even, "arm = \"110 mm\"\n", true},
		{"at the longest", even, "arm = \"110.5 mm\"\n", false},
		{"longer", even, "arm = \"120 mm\"\nother_arm = \"111 mm\"\n", false},
		{"uneven as the path", uneven, "arm = \"92 mm\"\nother_arm = \"136 mm\"\n", false},
		{"uneven the other way round", uneven, "arm = \"136 mm\"\nother_arm = \"92 mm\"\n", false},
		{"uneven, the long one short", uneven, "arm = \"100 mm\"\n", true},
		{"a direct path has no arms", "kind = \"direct\"", "arm = \"30 mm\"\n", false},
		{"another bar than that over the ram", even, "arm = \"30 mm\"\nelsewhere", false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			limit := bar + tt.arms
			if before, ok := strings.CutSuffix(limit, "elsewhere"); ok {
				limit = strings.Replace(before, "\"ram\"", "\"specimen\"", 1)
			}
			text := file(tables{"path": tt.path, "limits": limit})
			if !tt.refused {
				mustParse(t, text)
				return
			}
			f := oneFault(t, text)
			if f.Key != "limit[1].arm" || !strings.Contains(f.Why, "path") || tt.path == even && !strings.Contains(f.Why, "110.5 mm") {
				t.Errorf("told as %v", f)
			}
			if tt.name == "both short" && !strings.Contains(f.Why, "30 mm and 30 mm") {
				t.Errorf("%v does not say what is stated", f)
			}
		})
	}
}

// TestTooStrong: a capacity past all rigs is told with the limit and what to look at.
func TestTooStrong(t *testing.T) {
	f := oneFault(t, file(tables{"limits": "[[limit]]\nname = \"seam\"\nkind = \"weld\"\nat = \"specimen\"\nleg = \"200 mm\"\nlength = \"4000 mm\"\nmin_yield = \"355 MPa\"\nmin_ultimate = \"480 MPa\"\nstrength_from = \"minimum\"\ndesign_factor = 2\n"}))
	for _, want := range []string{"weld", "rig of this size", "capacity"} {
		if !strings.Contains(f.Why, want) {
			t.Errorf("%q lacks %q", f.Why, want)
		}
	}
	if f.Key != "limit[1]" || !strings.Contains(f.Want, "units of min_yield, min_ultimate, leg and length") {
		t.Errorf("told as %v", f)
	}
}

// TestGoverningOnce: what a limit gives way in is said to programs under one name.
func TestGoverningOnce(t *testing.T) {
	text, err := json.Marshal(computedRig(t).Derive(si.Metric))
	if err != nil {
		t.Fatal(err)
	}
	if s := string(text); !strings.Contains(s, `"governing":"bending of the pin"`) || strings.Contains(s, `"mode"`) {
		t.Errorf("the derived part is %s", s)
	}
}
