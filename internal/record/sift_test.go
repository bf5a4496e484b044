package record

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/specimen"
)

// nests says how deep brackets stand at most, those in strings counted too.
func nests(b []byte) (most int) {
	n := 0
	for _, c := range b {
		switch c {
		case '{', '[':
			n++
			most = max(most, n)
		case '}', ']':
			n--
		}
	}
	return most
}

// FuzzSift: what the sifter takes is valid JSON and the other way round, but for what
// nests deeper than it goes; and it gives a value's very text.
func FuzzSift(f *testing.F) {
	for _, t := range []string{
		`{"a": [1, -0.5e+7, {"b": null}], "c": "\u00e9\n\"", "d": true}`, `[]`, ` "x" `, `01`, `1.`, `-`, `1e`, `{"a":1,}`, `[1,]`, `{a:1}`,
		`"\x"`, `"\u12g4"`, "\"\n\"", `nul`, `{"a" 1}`, `{}{}`, `[[[[]]]`, "\xff", "\"\xff\"", "", "1\x00", `"\`, `{"a":`, `falsehood`, `0.0`, `-0`,
	} {
		f.Add([]byte(t))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		p := sifter{b: text}
		raw := p.raw()
		took, valid := p.done(), json.Valid(text)
		if took != valid && !(valid && nests(text) > siftDepth) {
			t.Fatalf("taken %v, valid JSON %v: %q", took, valid, text)
		}
		if took && string(raw) != strings.Trim(string(text), " \t\r\n") {
			t.Fatalf("%q is taken as %q", text, raw)
		}
	})
}

// Heads as this program writes them are read in one pass: else a list would be slow
// and nobody would see why.
func TestSiftsOwnHeads(t *testing.T) {
	full := fullHead()
	full.Specimen.Alloy, full.Finished = `"鋳" \ brass`, []Finished{{After: specimen.After{Where: specimen.MidGauge}}}
	full.Results = []byte(`{"strength_pa": 3e8, "elongation": null}`)
	for name, h := range map[string]Head{"plain": simulatedHead(), "full": full} {
		w, err := Create(t.TempDir(), h)
		must(t, err)
		for _, when := range []string{"open", "closed"} {
			if when == "closed" {
				must(t, w.Close(ClosingFrom(fullState(), ByBreak)))
			}
			text, err := os.ReadFile(filepath.Join(w.Dir(), HeadFile))
			must(t, err)
			if b, ok := siftBrief(text); !ok || b.RigName != h.Rig.Name || (b.Closing != nil) != (when == "closed") {
				t.Errorf("%s, %s: %v %+v", name, when, ok, b)
			}
		}
	}
}

// What is not quite as this program writes it is left to encoding/json.
func TestSiftLeaves(t *testing.T) {
	whole := minimal(t)
	if _, ok := siftBrief([]byte(whole)); !ok {
		t.Fatal("the head as written is not taken")
	}
	for name, text := range map[string]string{
		"capitals":        strings.Replace(whole, `"kind"`, `"Kind"`, 1),
		"an escaped name": strings.Replace(whole, `"kind"`, `"k\u0069nd"`, 1),
		"twice":           strings.Replace(whole, `"format": 1,`, `"format": 1, "format": 1,`, 1),
		"another type":    strings.Replace(whole, `"source": "`, `"source": 7, "was": "`, 1),
		"newer":           strings.Replace(whole, `"format": 1`, `"format": 3`, 1),
		"no rig":          `{"format": 1}`,
		"cut":             whole[:len(whole)-3],
		"more behind it":  whole + "}",
		"not JSON":        strings.Replace(whole, `"format": 1,`, `"format": 1, "later": 07,`, 1),
	} {
		if _, ok := siftBrief([]byte(text)); ok {
			t.Errorf("%s: taken", name)
		}
	}
}

func BenchmarkBrief(b *testing.B) {
	h := fullHead()
	h.Format = formatOf(h)
	c := ClosingFrom(fullState(), ByBreak)
	h.Closing = &c
	text, err := encodeHead(h)
	must(b, err)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := decodeBrief("x", text); err != nil {
			b.Fatal(err)
		}
	}
}
