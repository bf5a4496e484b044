package sim

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"draghand/internal/si"
)

// metal is one row of simulated metals. The flow curve is one power law of the
// true plastic strain, σ = K·(ε0+ε)^n, where ε0 puts its start on the elastic
// line; K follows from the strength. Two numbers, n and the elongation, thus
// shape the whole curve: enough for an instrument's test, no materials data.
// A metal with a yield drop begins at its upper yield, falls to the lower one
// and stays there until the power law takes over.
type metal struct {
	name     string
	ref      si.Stress // published strength the spread is laid around
	ratio    draw      // strength of a bar over ref
	modulus  si.Stress
	hardness float64 // n, the hardening exponent
	elong    draw    // plastic elongation at the break, engineering
	drop     float64 // fraction of the peak lost by necking at the break
	lower    draw    // lower yield over the strength; none: no yield drop
	upper    draw    // upper yield over the lower
}

// draw is a normal spread cut off at both ends.
type draw struct{ mean, sd, low, high float64 }

func (d draw) from(r *rand.Rand) float64 {
	for range 16 {
		if v := d.mean + d.sd*r.NormFloat64(); v >= d.low && v <= d.high {
			return v
		}
	}
	return d.mean
}

// metals are the rows. Published strengths: C90500 as sand cast at least
// 40 ksi (ASTM B584), grey iron class 30 at least 30 ksi (ASTM A48), 356.0-T6
// sand cast typically 33 ksi (Aluminum Association), 1018 cold drawn typically
// 64 ksi and hot rolled 58 ksi with 32 ksi of yield and 25 % (Shigley Table
// A-20, from memory), 6061-T6 typically 45 ksi and 17 % (Aluminum Association,
// from memory). Moduli, exponents and spreads are from memory or ours; so are
// the yield drop of 1.5 to 5 % and where the lower yield lies. The spread of C90500 keeps a 12.5 mm bar at
// 36.0 to 37.9 kN, so that it passes the caution but not the warning of the
// example rig's 48 kN link bar.
func metals() []metal {
	var none draw
	return []metal{
		{"C90500", 40 * si.KSI, draw{1.09, 0.012, 1.065, 1.12}, 103e9, 0.20, draw{0.25, 0.010, 0.235, 0.28}, 0.02, none, none},
		{"grey iron class 30", 30 * si.KSI, draw{1.06, 0.03, 1.00, 1.15}, 100e9, 0.50, draw{0.004, 0.0004, 0.003, 0.005}, 0, none, none},
		{"1018", 64 * si.KSI, draw{1.00, 0.02, 0.95, 1.05}, 205e9, 0.08, draw{0.19, 0.010, 0.165, 0.215}, 0.22, none, none},
		{"356.0-T6", 33 * si.KSI, draw{1.00, 0.04, 0.92, 1.08}, 72e9, 0.17, draw{0.035, 0.005, 0.02, 0.05}, 0, none, none},
		{"1018 hot rolled", 58 * si.KSI, draw{1.03, 0.02, 0.98, 1.09}, 205e9, 0.25, draw{0.40, 0.015, 0.37, 0.43}, 0.25, draw{0.70, 0.012, 0.67, 0.73}, draw{1.033, 0.010, 1.015, 1.05}},
		{"6061-T6", 45 * si.KSI, draw{1.00, 0.02, 0.95, 1.05}, 69e9, 0.07, draw{0.165, 0.010, 0.14, 0.19}, 0.24, none, none},
	}
}

// Alloys are the names of the simulated metals.
func Alloys() []string {
	var names []string
	for _, m := range metals() {
		names = append(names, m.name)
	}
	return names
}

// fold makes "Gray-Iron class 30" and "grey iron class 30" one name.
func fold(s string) string {
	s = strings.NewReplacer(" ", "", "-", "", "_", "", ".", "").Replace(strings.ToLower(s))
	return strings.ReplaceAll(s, "gray", "grey")
}

func findMetal(name string) (metal, error) {
	all := metals()
	i := slices.IndexFunc(all, func(m metal) bool { return fold(m.name) == fold(name) })
	if i < 0 {
		return metal{}, fmt.Errorf("no simulated metal is named %q: choose one of %s", name, strings.Join(Alloys(), ", "))
	}
	return all[i], nil
}
