package rig

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/si"
)

// FuzzParse: whatever is refused is refused with a line within the file and
// words that are safe to print; whatever parses validates, survives JSON, and
// converts to finite figures that never fall.
func FuzzParse(f *testing.F) {
	f.Add(Example())
	f.Add(file(nil))
	files, err := filepath.Glob("../../testdata/rigs/*.toml")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	f.Add("limit = [{name=\"a\"}, 3]\n[limit]\n[[limit]]\n\"a.b\".c = 1979-05-27")
	f.Add("[[limit]]\n[limit.name]\n[sensor.converter.x]\n[rig]\nname={a=[[[]]]}")
	f.Fuzz(func(t *testing.T, text string) {
		r, err := Parse("fuzz.toml", []byte(text))
		if err != nil {
			fe, ok := errors.AsType[*FileError](err)
			if !ok || len(fe.Faults) == 0 {
				t.Fatalf("Parse gives %T without faults: %v", err, err)
			}
			for i, fault := range fe.Faults {
				if fault.Line < 1 || fault.Line > 1+strings.Count(text, "\n") || i > 0 && fault.Line < fe.Faults[i-1].Line {
					t.Errorf("fault %+v of a file of %d lines", fault, 1+strings.Count(text, "\n"))
				}
				if s := fault.String(); !printable(s) {
					t.Errorf("fault %q cannot be shown", s)
				}
			}
			return
		}
		if err := r.Validate(); err != nil {
			t.Errorf("parsed but not valid: %v", err)
		}
		roundTrip(t, r)
		converts(t, r)
		for line := range strings.Lines(r.Describe(si.US) + r.Describe(si.Metric)) {
			if !printable(strings.TrimSuffix(line, "\n")) {
				t.Errorf("Describe gives %q", line)
			}
		}
	})
}
