package docs_test

import (
	"math"
	"strings"
	"testing"

	"draghand/internal/share"
	"draghand/internal/si"
)

// The worked example of share.md, by the program's own code.
func TestShareExample(t *testing.T) {
	ram := func(mpa ...float64) (out []si.Stress) { // strengths by a share of a half
		for _, v := range mpa {
			out = append(out, si.Stress(v*1e6/0.5))
		}
		return out
	}
	f, err := share.Estimate(ram(296, 300, 304), ram(300, 306, 312))
	if err != nil {
		t.Fatal(err)
	}
	part := func(s share.Side) float64 { return math.Pow(float64(s.SD/s.Mean), 2) / float64(s.N) }
	got := map[string]float64{
		"mean near": float64(f.Near.Mean) / 1e6, "scatter near": float64(f.Near.SD) / 1e6,
		"mean far": float64(f.Far.Mean) / 1e6, "scatter far": float64(f.Far.SD) / 1e6,
		"share": f.Share, "v near": part(f.Near), "v far": part(f.Far), "standard": f.Standard, "freedom": f.DOF, "factor": f.K, "expanded": f.Expanded,
	}
	for _, row := range table(t, "share.md", "share example") {
		v, ok := got[row[0]]
		if !ok {
			t.Fatalf("no such step: %s", row[0])
		}
		same(t, row[0], strings.TrimSuffix(row[2], " MPa"), v)
		delete(got, row[0])
	}
	for step := range got {
		t.Errorf("the example leaves out %s", step)
	}
	if line := "share_found = \"" + f.Text() + "\""; !strings.Contains(read(t, "share.md"), line) {
		t.Errorf("share.md does not end in %s", line)
	}
	if !f.Agrees(0.5, 0.0023) {
		t.Error("they do not agree")
	}
}
