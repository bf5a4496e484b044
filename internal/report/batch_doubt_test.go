package report

import (
	"strings"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// The ± of a bar is the one of its own results: by its own factor, rounded up to two
// digits. 13.1323 MPa are 14 MPa there, twice the standard uncertainty would be 6.1.
func TestBatchDoubtOfABar(t *testing.T) {
	pulls := barsOf("M1", 44.1, 45.3, 43.8, 46.0, 44.9)
	for i := range pulls {
		pulls[i].U, pulls[i].Expanded = 3.05*si.Megapascal, 13.1323*si.Megapascal
	}
	c := compare.Of(pulls, compare.By{Field: compare.ByMelt}, compare.NewOptions())
	o := inUS
	o.Units = si.Metric
	page := batchOf(t, &c, nil, o)
	if n := strings.Count(page, ">14</td>"); n != 5 {
		t.Errorf("± 14 MPa of %d bars", n)
	}
}
