package docs_test

import (
	"math"
	"testing"
)

// The worked example again by plain arithmetic: nothing of the program is asked but
// the results themselves, at the end. The drag hand's bias is taken from the page,
// since the engine's count of the readings near the top is no arithmetic for a page.
// Student's t is that of Abramowitz and Stegun, 26.7.5, from memory, held against
// the printed tables: 2.064 for 24.
func TestWorkedByHand(t *testing.T) {
	bar := func(counts float64) float64 { return 700 * (counts/4096*5/250*1000 - 4) / 16 }
	var p, f []float64
	for _, pt := range [][2]float64{{7, 972.6}, {14, 1129.2}, {21, 1280.1}, {28, 1436.5}, {35, 1588.6}, {42, 1743.4}} {
		f, p = append(f, pt[0]), append(p, bar(pt[1])-bar(820))
	}
	var pp, pf, rss float64
	for i := range p {
		pp += p[i] * p[i]
		pf += p[i] * f[i]
	}
	slope := pf / pp // kN/bar
	for i := range p {
		rss += (f[i] - slope*p[i]) * (f[i] - slope*p[i])
	}
	scatter := 1000 * math.Sqrt(rss/5) // N, six points and one line

	zero := (202*820 + 1) / 202.0
	peak := bar(1668) - bar(zero)
	force := 1000 * slope * peak               // N
	section := math.Pi * 12.51 * 12.51 / 4     // mm²
	strength := force / section                // MPa
	count := 700 / (0.8 * 4096)                // bar
	sd := count * math.Sqrt((101-1/202.0)/201) // bar; 50 times 0 1 0 −1, and 0 1
	perBar, perN, perMM := 1000*slope/section, 1/section, 2*strength/12.51

	bias := 0.0
	for _, row := range table(t, "worked-example.md", "lines") {
		if row[0] == "bias of the drag hand" {
			bias = number(t, row[1])
		}
	}
	noise := sd * math.Sqrt(math.Pi/2/(2+math.Pi/2))
	zeroU := math.Sqrt(sd*sd/202 + math.Pow((820.5-zero)*count, 2)/3)
	lineU := scatter * peak / math.Sqrt(pp)
	square := func(v float64) float64 { return v * v }
	line := (square(scatter) + square(lineU)) * square(perN) // one estimate, 5 degrees of freedom
	common := square(0.001*force*perN) + square(0.01/math.Sqrt(3)*perMM) + square(lineU*perN)
	random := square(scatter*perN) + (square(bias)+square(noise)+square(zeroU)+square(count/2/math.Sqrt(3)))*square(perBar)
	u := math.Sqrt(common + random)
	nu := square(square(u)) / (square(line) / 5)
	k, t90 := student(math.Floor(nu), z975), student(math.Floor(nu), z95)
	if math.Abs(k-2.064) > 0.0005 {
		t.Errorf("k = %.5f, the printed tables have 2.064 for 24", k)
	}
	if math.Abs(t90-1.711) > 0.0005 {
		t.Errorf("one side of 5 %%: %.5f, the printed tables have 1.711 for 24", t90)
	}
	minimum := 45 * 6.894757293168 // MPa
	if says := strength-t90*u >= minimum; !says {
		t.Errorf("%.3f MPa less a margin of %.3f MPa is under %.3f MPa", strength, t90*u, minimum)
	}

	// A bias printed to 1e-6 bar moves u by less than 1e-6 MPa; the expansion of t is
	// good to 1e-5 at 24 degrees of freedom.
	r := workedPull(t).results
	for _, c := range []struct {
		what           string
		got, want, tol float64
	}{
		{"slope, kN/bar", r.Peak.SpecimenN / r.Peak.GaugePa * 100, slope, 1e-12},
		{"pressure, bar", r.Peak.GaugePa / 1e5, peak, 1e-9},
		{"strength, MPa", *r.StrengthPa / 1e6, strength, 1e-8},
		{"u, MPa", *r.StrengthUPa / 1e6, u, 2e-6},
		{"common, MPa", r.Budget.CommonPa / 1e6, math.Sqrt(common), 2e-6},
		{"random, MPa", r.Budget.RandomPa / 1e6, math.Sqrt(random), 2e-6},
		{"degrees of freedom", *r.Budget.DoF, nu, 1e-3},
		{"k", *r.CoverageK, k, 1e-5},
		{"U, MPa", *r.StrengthExpandedPa / 1e6, k * u, 1e-5},
		{"guard, MPa", r.Verdict.GuardPa / 1e6, t90 * u, 1e-5},
		{"minimum, MPa", r.Verdict.MinimumPa / 1e6, minimum, 1e-9},
		{"elongation", *r.Elongation, (58.7 - 50) / 50, 1e-12},
		{"reduction of area", *r.ReductionOfArea, 1 - square(9.80/12.51), 1e-12},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s: the program has %.9g, by hand %.9g", c.what, c.got, c.want)
		}
	}
}

// The normal distribution's factors: two-sided 95 %, and 90 %, one side of which is 5 %.
const (
	z975 = 1.959963984540054
	z95  = 1.6448536269514722
)

// student is Student's factor for ν degrees of freedom, by the first terms of its
// expansion about the normal distribution's, z.
func student(nu, z float64) float64 {
	z3, z5, z7 := z*z*z, z*z*z*z*z, z*z*z*z*z*z*z
	return z + (z3+z)/(4*nu) + (5*z5+16*z3+3*z)/(96*nu*nu) + (3*z7+19*z5+17*z3-15*z)/(384*nu*nu*nu)
}
