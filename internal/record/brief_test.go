package record

import (
	"bytes"
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"

	"github.com/google/go-cmp/cmp"
)

// briefOf is what a Brief must say, worked out of the whole head.
func briefOf(h Head) Brief {
	b := Brief{
		Started: h.Started, Kind: h.Kind, Specimen: h.Specimen, RigName: h.Rig.Name, Units: h.Rig.Units,
		Source: h.Source, Remarks: len(h.Remarks) + len(h.Said) + len(h.Overrides), Imported: h.Imported != nil, ByEye: h.Dial != nil,
	}
	if m := h.Measured(); m != nil {
		b.Where, b.Failed = m.Where, m.Failed
	}
	if c := h.Closing; c != nil {
		b.Closing = &BriefClosing{Outcome: c.Outcome, NeverLoaded: c.NeverLoaded}
		if c.Outcome == "" {
			b.Closing.Outcome = c.Phase
		}
		if c.Peak != nil && c.Peak.Specimen != nil {
			b.Closing.Peak = *c.Peak.Specimen
		}
		if c.FirstYield != nil && c.FirstYield.Specimen != nil {
			b.Closing.FirstYield = *c.FirstYield.Specimen
		}
	}
	b.Results = briefResults(h.Results)
	return b
}

// FuzzBrief: whatever Open can read, a Brief says the same of, and refuses in the
// same words what Open refuses, unless it lies in a part no list looks at.
func FuzzBrief(f *testing.F) {
	h := simulatedHead()
	h.Format = formatOf(h)
	open, err := encodeHead(h)
	must(f, err)
	c := ClosingFrom(fullState(), ByBreak)
	h.Closing = &c
	closed, err := encodeHead(h)
	must(f, err)
	h.Finished = []Finished{{After: specimen.After{Where: specimen.MidGauge}}, {After: specimen.After{Where: specimen.InGrip, Failed: "upper pin"}}}
	finished, err := encodeHead(h)
	must(f, err)
	f.Add(finished)
	f.Add(open)
	h.Results = []byte(`{"strength_pa": 3e8, "elongation": "x", "counts": "no", "counts_because": ["it broke in the grip"], "budget": {"parts": [1, {}, []]}}`)
	h.Said, h.Dial, h.Imported = []Said{{Text: "pins \u00e9"}}, &Dial{}, &Imported{}
	c.FirstYield = &FirstYield{Specimen: ptr[si.Force](2e4)}
	all, err := encodeHead(h)
	must(f, err)
	f.Add(all)
	f.Add(bytes.Replace(all, []byte(`"phase"`), []byte(`"Phase"`), 1))
	f.Add(closed)
	f.Add(bytes.Replace(closed, []byte(`"outcome": "broken",`), nil, 1))
	f.Add(bytes.Replace(closed, []byte(`"format": 1`), []byte(`"format": 3`), 1))
	f.Add(closed[:len(closed)/2])
	f.Add([]byte(`{"format":1}`))
	f.Add([]byte(`{"format":1,"rig":{},"closing":{"peak":null}}`))
	f.Add([]byte(`{"format":1,"rig":{"units":"furlong"}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		whole, err := decodeHead("x", text)
		b, berr := decodeBrief("x", text)
		switch {
		case err == nil && berr != nil:
			t.Fatalf("Open reads it, Brief does not: %v", berr)
		case err == nil:
			if d := cmp.Diff(briefOf(whole), b); d != "" {
				t.Fatalf("(-head +brief)\n%s", d)
			}
		case berr != nil && berr.Error() != err.Error():
			t.Fatalf("Open: %v; Brief: %v", err, berr)
		}
		if quick, ok := siftBrief(text); ok {
			slow, err := plainBrief("x", text)
			if d := cmp.Diff(slow, quick); err != nil || d != "" {
				t.Fatalf("read in one pass, and by encoding/json %v (-slow +quick)\n%s", err, d)
			}
		}
	})
}

// A pull that was never loaded says so in its closing, and the schema knows it.
func TestNeverLoaded(t *testing.T) {
	s := fullState()
	s.LoadedAt = 0
	h := simulatedHead()
	h.Format = formatOf(h)
	c := ClosingFrom(s, ByPerson)
	c.SamplesSHA256 = strings.Repeat("0", 64)
	h.Closing = &c
	text, err := encodeHead(h)
	must(t, err)
	must(t, validate(t, compile(t, true), text))
	b, err := decodeBrief("x", text)
	must(t, err)
	if !b.Closing.NeverLoaded || b.Closing.Outcome != pull.Broken {
		t.Errorf("%+v", b.Closing)
	}
}
