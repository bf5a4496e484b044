package share

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"draghand/internal/si"
)

func stresses(mpa ...float64) []si.Stress {
	out := make([]si.Stress, len(mpa))
	for i, v := range mpa {
		out[i] = si.Stress(v * 1e6)
	}
	return out
}

// Worked by hand in docs/share.md, and held against it in docs/docs_share_test.go;
// here with its steps. x near 592, 600, 608 MPa: mean 600, SD 8. Far 600, 612,
// 624: mean 612, SD 12. share 612/1212.
func TestEstimateByHand(t *testing.T) {
	f, err := Estimate(stresses(592, 600, 608), stresses(600, 612, 624))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"near mean", float64(f.Near.Mean), 600e6},
		{"near SD", float64(f.Near.SD), 8e6},
		{"far SD", float64(f.Far.SD), 12e6},
		{"share", f.Share, 612.0 / 1212},
		{"standard", f.Standard, 612.0 / 1212 * 600 / 1212 * math.Sqrt(64.0/360000/3+144.0/374544/3)},
		{"degrees of freedom", f.DOF, 3.5238},
		{"expanded", f.Expanded, f.K * f.Standard},
	} {
		if math.Abs(c.got/c.want-1) > 1e-4 {
			t.Errorf("%s is %.8g, want %.8g", c.what, c.got, c.want)
		}
	}
	if math.Abs(f.K-3.18) > 0.005 { // GUM Table G.2 at 3, the whole number below
		t.Errorf("factor %g", f.K)
	}
}

// What is true comes back: bars without scatter but for a trace of it, on a rig
// of any share.
func TestEstimateFindsTheShare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(0.05, 0.95).Draw(t, "share")
		strength := rapid.Float64Range(50e6, 1500e6).Draw(t, "strength")
		x := func(share float64) []si.Stress {
			return []si.Stress{si.Stress(strength / share * (1 - 1e-6)), si.Stress(strength / share * (1 + 1e-6))}
		}
		f, err := Estimate(x(s), x(1-s))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(f.Share-s) > 1e-9 {
			t.Fatalf("%g, true %g", f.Share, s)
		}
		// The sides changed round give the other side's share, as well known.
		g, err := Estimate(x(1-s), x(s))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(f.Share+g.Share-1) > 1e-12 || math.Abs(f.Expanded/g.Expanded-1) > 1e-9 {
			t.Fatalf("%+v and %+v", f, g)
		}
		// A common factor, such as a wrong ram area, changes nothing.
		k := si.Stress(rapid.Float64Range(0.5, 2).Draw(t, "factor"))
		a, b := x(s), x(1-s)
		for i := range a {
			a[i], b[i] = a[i]*k, b[i]*k
		}
		if h, err := Estimate(a, b); err != nil || math.Abs(h.Share-f.Share) > 1e-12 {
			t.Fatalf("%+v, %v", h, err)
		}
	})
}

func TestEstimateRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		near, far []si.Stress
		why       string
	}{
		"one a side":    {stresses(600), stresses(600, 601), "1 of the bars were pulled on the near side"},
		"none far":      {stresses(600, 601), nil, "0 of the bars were pulled on the far side"},
		"no force":      {stresses(600, 0), stresses(600, 601), "no finite force"},
		"not a number":  {stresses(600, math.NaN()), stresses(600, 601), "no finite force"},
		"without limit": {stresses(600, math.Inf(1)), stresses(600, 601), "no finite force"},
	} {
		if _, err := Estimate(c.near, c.far); err == nil || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Estimate(stresses(600, 600), stresses(600, 600)); !errors.Is(err, ErrScatter) {
		t.Errorf("no scatter: %v", err)
	}
}

// More bars, had they the same scatter, make the interval half as wide: tried
// with samples that have the mean and SD to the digit.
func TestMoreHalvesIt(t *testing.T) {
	exact := func(mean, sd float64, n int) []si.Stress {
		out := make([]float64, n)
		for i := range out {
			out[i] = float64(i) - float64(n-1)/2
		}
		sum := 0.0
		for _, v := range out {
			sum += v * v
		}
		for i := range out {
			out[i] = mean + sd*out[i]/math.Sqrt(sum/float64(n-1))
		}
		return stresses(out...)
	}
	for _, c := range [][2]int{{2, 2}, {3, 3}, {3, 5}, {6, 4}} {
		f, err := Estimate(exact(600, 8, c[0]), exact(612, 12, c[1]))
		if err != nil {
			t.Fatal(err)
		}
		near, far, ok := f.More()
		if !ok || near+far == 0 {
			t.Fatalf("%v: %d and %d, %v", c, near, far, ok)
		}
		g, err := Estimate(exact(600, 8, c[0]+near), exact(612, 12, c[1]+far))
		if err != nil {
			t.Fatal(err)
		}
		if g.Expanded > f.Expanded/2*(1+1e-9) {
			t.Errorf("%v and %d, %d more: ± %g, before ± %g", c, near, far, g.Expanded, f.Expanded)
		}
	}
}

func TestTextFitsARigFile(t *testing.T) {
	for _, c := range []struct {
		share, expanded float64
		want            string
	}{
		{0.50304, 0.00401, "0.5030 ± 0.0041"},
		{0.49951, 0.01234, "0.500 ± 0.013"},
		{0.6, 0.0001, "0.60000 ± 0.00010"},
		{0.503, 0.2, "0.50 ± 0.20"},
		{0.503, 0.5, ""}, // no share could be told from it
		{0.3, 0.31, ""},
	} {
		if got := (Found{Share: c.share, Expanded: c.expanded}).Text(); got != c.want {
			t.Errorf("%g ± %g is written %q, want %q", c.share, c.expanded, got, c.want)
		}
	}
}

// Both limits together, root of the sum of squares: 0.003 and 0.004 make 0.005.
func TestAgrees(t *testing.T) {
	f := Found{Share: 0.5, Expanded: 0.003}
	for ruler, want := range map[float64]bool{0.5: true, 0.5049: true, 0.5051: false, 0.4951: true, 0.4949: false} {
		if got := f.Agrees(ruler, 0.004); got != want {
			t.Errorf("0.5 ± 0.003 and %g ± 0.004: %v", ruler, got)
		}
	}
}
