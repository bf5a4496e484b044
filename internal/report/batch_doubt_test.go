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

// Where the bound takes a step of the readings into the scatter, the page has the
// figures it can be followed by: √(0.892749² + 2.5465²/12) = 1.156455 ksi.
func TestBatchOfCoarseReadings(t *testing.T) {
	pulls := barsOf("M1", 44.1, 45.3, 43.8, 46.0, 44.9)
	const row = "SD in the bound"
	c := compare.Of(pulls, compare.By{Field: compare.ByMelt}, compare.NewOptions())
	if page := batchOf(t, &c, nil, inUS); strings.Contains(page, row) {
		t.Error("the SD of fine readings stands in the bound anew")
	}
	for i := range pulls {
		pulls[i].ByEye, pulls[i].Step = true, 2.5465*si.KSI
	}
	c = compare.Of(pulls, compare.By{Field: compare.ByMelt}, compare.NewOptions())
	page := batchOf(t, &c, nil, inUS)
	for _, want := range []string{row, "1.16 ksi: √(SD² &#43; step²/12), since a step of the readings, 2.55 ksi, is larger than the SD"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q", want)
		}
	}
}

// Two digits are two, also where a ± goes up to the next power of ten.
func TestBatchDoubtOfTwoDigits(t *testing.T) {
	for expanded, want := range map[si.Stress]string{9.96: ">10</td>", 10.2: ">11</td>", 9.8: ">9.8</td>", 0.996: ">1.0</td>", 99.2: ">100</td>"} {
		pulls := barsOf("M1", 44.1, 45.3, 43.8, 46.0, 44.9)
		for i := range pulls {
			pulls[i].U, pulls[i].Expanded = expanded*si.Megapascal/2, expanded*si.Megapascal
		}
		c := compare.Of(pulls, compare.By{Field: compare.ByMelt}, compare.NewOptions())
		o := inUS
		o.Units = si.Metric
		if page := batchOf(t, &c, nil, o); strings.Count(page, want) != 5 {
			t.Errorf("± %v MPa is not %s", expanded, want)
		}
	}
}

// The interval of the mean is whole in the picture, or it is told that it goes on: of
// three bars it is wider than they are apart.
func TestBatchDotsHaveTheInterval(t *testing.T) {
	for name, row := range map[string]struct {
		ksi   []float64
		whole bool
	}{"three": {[]float64{43.2, 43.5, 44.1}, true}, "two": {[]float64{40, 44}, false}} {
		c := compare.Of(barsOf("M1", row.ksi...), compare.By{Field: compare.ByMelt}, compare.NewOptions())
		f := newBatch(&c, nil, inUS)
		x, _ := f.dotScale()
		s := &c.Groups[0].Strength
		if whole := x.low < s.MeanLow && s.MeanHigh < x.high; whole != row.whole {
			t.Errorf("%s: the scale goes from %.1f to %.1f, the interval from %.1f to %.1f", name, x.low/si.KSI, x.high/si.KSI, s.MeanLow/si.KSI, s.MeanHigh/si.KSI)
		}
		told := strings.Contains(batchOf(t, &c, nil, inUS), "Outside the picture: the interval of the mean of M1, ")
		if told == row.whole {
			t.Errorf("%s: told %v", name, told)
		}
	}
}
