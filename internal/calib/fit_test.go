package calib

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"draghand/internal/gum"
)

// norris is testdata/norris.csv.
func norris(t *testing.T) (x, y []float64) {
	t.Helper()
	f, err := os.Open("testdata/norris.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for s := bufio.NewScanner(f); s.Scan(); {
		cells := strings.Split(s.Text(), ",")
		if len(cells) != 3 || cells[0] == "i" || cells[0][0] == '#' {
			continue
		}
		yy, err1 := strconv.ParseFloat(cells[1], 64)
		xx, err2 := strconv.ParseFloat(cells[2], 64)
		if err1 != nil || err2 != nil {
			t.Fatal(s.Text(), err1, err2)
		}
		x, y = append(x, xx), append(y, yy)
	}
	if len(x) != 36 {
		t.Fatalf("%d pairs, want 36", len(x))
	}
	return x, y
}

// The values NIST certifies, and what was computed from them (checks.md 6.1: StRD,
// linear regression, Norris; the covariance is from other suites).
func TestNorris(t *testing.T) {
	x, y := norris(t)
	l, err := Fit(x, y)
	if err != nil {
		t.Fatal(err)
	}
	tStudent := gum.T(0.95, float64(l.DoF))
	explained := l.Slope * l.Slope * l.SumSquares
	for _, c := range []struct {
		name           string
		got, want, rel float64
	}{
		{"offset", l.Offset, -0.262323073774029, 1e-9},
		{"slope", l.Slope, 1.00211681802045, 1e-12},
		{"SD of the offset", l.OffsetU, 0.232818234301152, 1e-9},
		{"SD of the slope", l.SlopeU, 0.429796848199937e-03, 1e-9},
		{"residual SD", l.SD, 0.884796396144373, 1e-9},
		{"R²", l.R2, 0.999993745883712, 1e-12},
		{"covariance", l.Covariance, -7.74327536339570e-05, 1e-9},
		{"residual sum of squares", l.SD * l.SD * 34, 26.6173985294224, 1e-9},
		{"regression sum of squares", explained, 4255954.13232369, 1e-10},
		{"F", explained / (l.SD * l.SD), 5436385.54079785, 1e-8},
		{"mean of x", l.Mean, 419.177777778, 1e-9},
		{"sum of squares of x", l.SumSquares, 4237993.022222, 1e-9},
		{"slope, low", l.Slope - tStudent*l.SlopeU, 1.0012433657, 1e-9},
		{"slope, high", l.Slope + tStudent*l.SlopeU, 1.0029902703, 1e-9},
		{"at 100", l.At(100), 99.949358728, 1e-8},
		{"at 500", l.At(500), 500.796085936, 1e-8},
		{"at 900", l.At(900), 901.642813145, 1e-8},
		{"mean at 100", l.MeanU(100), 0.201407628, 1e-8},
		{"mean at 500", l.MeanU(500), 0.151502176, 1e-8},
		{"mean at 900", l.MeanU(900), 0.253875740, 1e-8},
		{"new at 100", l.NewU(100), 0.907430270, 1e-8},
		{"new at 500", l.NewU(500), 0.897673422, 1e-8},
		{"new at 900", l.NewU(900), 0.920498536, 1e-8},
		{"where it is 500", l.Inverse(500), 499.205595673, 1e-8},
	} {
		if math.Abs(c.got-c.want) > c.rel*math.Abs(c.want) {
			t.Errorf("%s = %.15g, want %.15g", c.name, c.got, c.want)
		}
	}
	if l.DoF != 34 || l.Points != 36 || l.ThroughZero {
		t.Errorf("dof %d, points %d, through zero %v", l.DoF, l.Points, l.ThroughZero)
	}
}

// A line through zero, worked by hand: Σxy/Σx² = (1·2.1 + 2·3.9 + 3·6)/14 = 27.9/14.
func TestFitThroughZero(t *testing.T) {
	l, err := FitThroughZero([]float64{1, 2, 3}, []float64{2.1, 3.9, 6})
	if err != nil {
		t.Fatal(err)
	}
	slope := 27.9 / 14
	rss := 2.1*2.1 + 3.9*3.9 + 36 - slope*27.9
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"slope", l.Slope, slope},
		{"SD", l.SD, math.Sqrt(rss / 2)},
		{"its uncertainty", l.SlopeU, math.Sqrt(rss / 2 / 14)},
		{"leverage", l.leverage(3), 9.0 / 14},
		{"offset", l.Offset, 0},
	} {
		if math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("%s = %v, want %v", c.name, c.got, c.want)
		}
	}
}

// Far from nothing the digits must not go: NIST's NumAcc sets teach the same.
func TestFitFarOff(t *testing.T) {
	const off = 1e9
	x, y := []float64{off + 1, off + 2, off + 3, off + 4}, []float64{3, 5, 7, 9}
	l, err := Fit(x, y)
	if err != nil || math.Abs(l.Slope-2) > 1e-12 || math.Abs(l.SD) > 1e-7 {
		t.Errorf("%+v, %v", l, err)
	}
}

func TestFitRefuses(t *testing.T) {
	for name, c := range map[string]struct{ x, y []float64 }{
		"two points":   {[]float64{1, 2}, []float64{1, 2}},
		"one reading":  {[]float64{3, 3, 3}, []float64{1, 2, 3}},
		"nearly one":   {[]float64{3, 3 + 1e-12, 3}, []float64{1, 2, 3}},
		"not a number": {[]float64{1, math.NaN(), 3}, []float64{1, 2, 3}},
		"infinite":     {[]float64{1, 2, 3}, []float64{1, 2, math.Inf(1)}},
		"overflow":     {[]float64{1e300, 2, 3}, []float64{1, 2, 3}},
		"other length": {[]float64{1, 2, 3}, []float64{1, 2}},
	} {
		if l, err := Fit(c.x, c.y); err == nil {
			t.Errorf("%s: %+v", name, l)
		}
	}
	if l, err := FitThroughZero([]float64{0, 0}, []float64{1, 2}); err == nil {
		t.Errorf("nothing at all: %+v", l)
	}
}
