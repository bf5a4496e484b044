package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/finish"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

// What a person wrote stands first, what the bar was called before last; the minimum
// that a bar was held against is there with what came of it, and the line that tells
// what was kept says both.
func TestNoted(t *testing.T) {
	const name = pulledOne
	dir := filepath.Join(t.TempDir(), name)
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "..", "testdata", "records", name))); err != nil {
		t.Fatal(err)
	}
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	must(record.AddRemark(dir, "oil on the thread"))
	must(record.Relabel(dir, record.Label{ID: "41", Melt: "M1"}))
	must(record.AddRemark(dir, "a pore by the edge"))
	must(record.Relabel(dir, record.Label{ID: "42", Melt: "M1"}))
	d := &desk{}
	n, err := d.Noted(dir)
	must(err)
	if got := strings.Join(n.Remarks, "|"); !strings.HasPrefix(got, "a pore by the edge|oil on the thread|") ||
		!strings.HasPrefix(n.Remarks[len(n.Remarks)-1], "labelled anew: ") || !strings.HasPrefix(n.Remarks[len(n.Remarks)-2], "labelled anew: the specimen is 42") {
		t.Errorf("%q", n.Remarks)
	}
	if n.Minimum != 0 || n.Says != "" {
		t.Errorf("%+v", n)
	}
	for minimum, says := range map[si.Stress]string{10e6: strength.Passes, 900e6: strength.Fails} {
		res, err := finish.Save(dir, record.Finished{After: specimen.After{Where: specimen.MidGauge, Minimum: minimum, MinimumFrom: "the drawing"}})
		must(err)
		if n, err = d.Noted(dir); err != nil || n.Minimum != minimum || n.Says != says || n.MinimumFrom != "the drawing" {
			t.Errorf("%+v, %v", n, err)
		}
		if got := keptWords(&res, si.Metric); !strings.HasPrefix(got, "kept: ") || !strings.Contains(got, says+" at the minimum of "+minimum.Text(si.Metric)) {
			t.Errorf("%q", got)
		}
	}
}
