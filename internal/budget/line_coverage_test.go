package budget

import (
	"math"
	"math/rand/v2"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// fit is least squares by the textbook, of reference y over pressure x.
func fit(x, y []float64, throughZero bool) rig.CalibrationLine {
	n := float64(len(x))
	l := rig.CalibrationLine{Low: si.Pressure(x[0]), High: si.Pressure(x[len(x)-1]), Points: len(x), ThroughZero: throughZero}
	var mx, my, sxx, sxy float64
	for i := range x {
		mx += x[i] / n
		my += y[i] / n
	}
	l.Mean = si.Pressure(mx)
	if throughZero {
		mx, my = 0, 0
	}
	for i := range x {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (y[i] - my)
	}
	l.Slope, l.SumSquares = sxy/sxx, sxx
	l.Offset = my - l.Slope*mx
	ss := 0.0
	for i := range x {
		d := y[i] - l.Offset - l.Slope*x[i]
		ss += d * d
	}
	l.SD = math.Sqrt(ss / l.DoF())
	return l
}

// Calibrations drawn anew, a reference that is off by its stated u, a pull that
// scatters as the points did, a micrometer that is off: the true strength lies in
// the interval as often as stated, with few points and outside of them too.
func TestLineCovers(t *testing.T) {
	const trials = 4000
	for _, c := range []struct {
		name      string
		points    int
		zero      bool
		at        float64 // bar
		sd, refer float64 // N, fraction
	}{
		{"12 points", 12, false, 120, 60, 0.001},
		{"12 points, beyond them", 12, false, 260, 60, 0.001},
		{"4 points", 4, false, 120, 60, 0},
		{"4 points, beyond them", 4, false, 260, 60, 0},
		{"5 points, through zero", 5, true, 150, 60, 0.002},
	} {
		random := rand.New(rand.NewPCG(11, uint64(c.points)))
		in, inDraws, drawn := 0, 0, 0
		for n := range trials {
			var x, y []float64
			offset, slope := 300.0, 0.5e-3
			if c.zero {
				offset = 0
			}
			off := 1 + c.refer*random.NormFloat64()
			for i := range c.points {
				p := (20 + 160*float64(i)/float64(c.points-1)) * si.Bar
				x = append(x, p)
				y = append(y, (offset+slope*p+c.sd*random.NormFloat64())*off)
			}
			r := calibrated(rig.AtSpecimen, 0, 0, 0)
			r.Calibration.ReferenceU, r.Calibration.Line = c.refer, fit(x, y, c.zero)
			p := c.at * si.Bar
			truth := (offset + slope*p + c.sd*random.NormFloat64()) / (math.Pi / 4 * 1e-4)
			bar := specimen.Specimen{Diameters: []si.Length{si.Length(10e-3 + 0.01e-3*(2*random.Float64()-1))}, SizeU: 0.01e-3}
			draws := 0
			if n%10 == 0 {
				draws = 5000
			}
			b := For(r, bar, Peak{Gauge: si.Pressure(p)}, draws, uint64(n))
			if b == nil {
				t.Fatal("no budget")
			}
			if math.Abs(b.ValuePa-truth) <= b.ExpandedPa {
				in++
			}
			if m := b.MonteCarlo; m != nil {
				drawn++
				if truth >= m.LowPa && truth <= m.HighPa {
					inDraws++
				}
			}
		}
		per, perDraws := 100*float64(in)/trials, 100*float64(inDraws)/float64(drawn)
		t.Logf("%s: first order %.1f %% of %d, Monte Carlo %.1f %% of %d", c.name, per, trials, perDraws, drawn)
		// Three SD of the binomial: 0.34 % of 4000, 1.09 % of 400. Degrees of freedom
		// rounded down err to the wide side.
		if per < 95-1.03 || per > 97.5 || perDraws < 95-3.3 || perDraws > 98.3 {
			t.Errorf("%s: %.1f %% and %.1f %%", c.name, per, perDraws)
		}
	}
}
