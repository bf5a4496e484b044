package main

import (
	"math"
	"testing"
)

// A diameter may state the micrometer's limit of error, as on the bench; the largest
// of several counts.
func TestDiameterWithLimit(t *testing.T) {
	b := barFlags{diameters: []string{"12.49 mm ± 0.01 mm", "12.51 mm +/- 0.02 mm", "12.5 mm"}}
	s, err := b.specimen()
	if err != nil || len(s.Diameters) != 3 || math.Abs(float64(s.SizeU)-20e-6) > 1e-12 || math.Abs(float64(s.Diameters[0])-12.49e-3) > 1e-12 {
		t.Errorf("%+v, %v", s, err)
	}
	for _, bad := range []string{"12.49 mm ± thin", "12.49 mm ± -0.01 mm", "12.49 mm ± 0 mm"} {
		b := barFlags{diameters: []string{bad}}
		if _, err := b.specimen(); err == nil {
			t.Errorf("%q is taken", bad)
		}
	}
}
