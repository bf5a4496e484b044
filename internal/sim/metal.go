package sim

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"draghand/internal/si"
)

// metal is one row of simulated metals. The flow curve is one power law of the
// true plastic strain, σ = K·(ε0+ε)^n, where ε0 puts its start on the elastic
// line; K follows from the strength. Two numbers, n and the elongation, thus
// shape the whole curve: enough for an instrument's test, no materials data.
type metal struct {
	name     string
	ref      si.Stress // published strength the spread is laid around
	ratio    draw      // strength of a bar over ref
	modulus  si.Stress
	hardness float64 // n, the hardening exponent
	elong    draw    // plastic elongation at the break, engineering
	drop     float64 // fraction of the peak lost by necking at the break
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
// 64 ksi (Shigley Table A-20, from memory). Moduli, exponents and spreads are
// from memory or ours. The spread of C90500 keeps a 12.5 mm bar at 36.0 to
// 37.9 kN, so that it passes the caution but not the warning of the example
// rig's 48 kN link bar.
func metals() []metal {
	return []metal{
		{"C90500", 40 * si.KSI, draw{1.09, 0.012, 1.065, 1.12}, 103e9, 0.20, draw{0.25, 0.010, 0.235, 0.28}, 0.02},
		{"grey iron class 30", 30 * si.KSI, draw{1.06, 0.03, 1.00, 1.15}, 100e9, 0.50, draw{0.004, 0.0004, 0.003, 0.005}, 0},
		{"1018", 64 * si.KSI, draw{1.00, 0.02, 0.95, 1.05}, 205e9, 0.08, draw{0.19, 0.010, 0.165, 0.215}, 0.22},
		{"356.0-T6", 33 * si.KSI, draw{1.00, 0.04, 0.92, 1.08}, 72e9, 0.17, draw{0.035, 0.005, 0.02, 0.05}, 0},
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

// bar is a specimen turned of a metal: force against plastic elongation.
type bar struct {
	area      float64 // m²
	length    float64 // m, five diameters
	modulus   float64 // Pa
	k, n, e0  float64 // Pa, -, true strain
	uniform   float64 // engineering plastic strain at the peak
	fracture  float64 // engineering plastic strain at the break
	drop      float64
	peakForce float64 // N
}

// turn makes a bar with the scatter of its stream.
func (m metal) turn(r *rand.Rand, d si.Length) bar {
	b := bar{
		area:    math.Pi / 4 * float64(d) * float64(d),
		length:  5 * float64(d),
		modulus: float64(m.modulus),
		n:       m.hardness,
		drop:    m.drop,
	}
	strength := float64(m.ref) * m.ratio.from(r)
	b.fracture = m.elong.from(r)
	// K and ε0 hang on each other; the map contracts quickly, since ε0 is a
	// small part of the strain at the peak.
	for range 50 {
		b.uniform = min(math.Exp(b.n-b.e0)-1, b.fracture)
		b.k = strength * (1 + b.uniform) / math.Pow(b.e0+math.Log1p(b.uniform), b.n)
		b.e0 = math.Pow(b.k/b.modulus, 1/(1-b.n))
	}
	b.peakForce, _ = b.flow(b.uniform)
	return b
}

// flow is the force (N) at which the bar goes on stretching at an engineering
// plastic strain, and its slope (N per unit strain).
func (b bar) flow(strain float64) (force, slope float64) {
	if strain > b.uniform && b.drop > 0 {
		// Past the peak the fall begins flat and steepens: a parabola.
		w := b.fracture - b.uniform
		x := (strain - b.uniform) / w
		return b.peakForce * (1 - b.drop*x*x), -2 * b.peakForce * b.drop * x / w
	}
	e := b.e0 + math.Log1p(strain)
	force = b.area * b.k * math.Pow(e, b.n) / (1 + strain)
	return force, force / (1 + strain) * (b.n/e - 1)
}

// yield is the 0.2 % offset yield strength, 0 where the bar breaks before it.
func (b bar) yield() si.Stress {
	const offset = 0.002
	if b.fracture < offset {
		return 0
	}
	f, _ := b.flow(offset)
	return si.Stress(f / b.area)
}

func (b bar) stiffness() float64 { return b.modulus * b.area / b.length }
