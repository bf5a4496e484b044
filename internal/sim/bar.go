package sim

import (
	"math"
	"math/rand/v2"

	"draghand/internal/si"
)

// bar is a specimen turned of a metal, or a block sawn off it: force against
// plastic elongation (of a block: squash).
type bar struct {
	area      float64 // m²
	length    float64 // m: of a bar five diameters, of a block one
	modulus   float64 // Pa
	k, n, e0  float64 // Pa, -, true strain
	uniform   float64 // engineering plastic strain at the peak; of a block 0
	fracture  float64 // engineering plastic strain at the break; of a block where the person stops
	drop      float64 // of the peak force, lost at the break
	peakForce float64 // N

	// Of a metal with a yield drop.
	upper, lower float64 // N
	dropEnd      float64 // strain over which the one becomes the other
	luders       float64 // strain at which the power law takes over
	bandRate     float64 // of the way to rest, gone in one step

	table *curve // of the power law, up to uniform

	fades bool // past the peak it thins to nothing

	block       bool
	first, rise float64 // N: force of first yield, and how much more at fracture
}

// turn makes a bar with the scatter of its stream.
func (m *metal) turn(r *rand.Rand, d si.Length) bar {
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
		e0 := math.Pow(b.k/b.modulus, 1/(1-b.n))
		if e0 == b.e0 {
			break
		}
		b.e0 = e0
	}
	b.peakForce, _ = b.flow(b.uniform)
	if m.lower.mean > 0 {
		b.yieldDrop(m, r)
	}
	b.tabulate()
	return b
}

// yieldDrop gives the bar an upper and a lower yield.
func (b *bar) yieldDrop(m *metal, r *rand.Rand) {
	b.lower = b.peakForce * m.lower.from(r)
	b.upper = b.lower * m.upper.from(r)
	b.dropEnd = 0.0005 // ours; the springs of the rig hold the force up for longer
	low, high := 0.0, b.uniform
	for range 60 {
		mid := (low + high) / 2
		if b.law(mid) < b.lower {
			low = mid
		} else {
			high = mid
		}
	}
	b.luders = high
	const fast, slow = 10e-3, 25e-3 // s, in which a band of yielding comes to rest; ours
	b.bandRate = -math.Expm1(-dt / (fast + (slow-fast)*r.Float64()))
}

// law is the power law's force at an engineering plastic strain.
func (b *bar) law(strain float64) float64 {
	e := b.e0 + math.Log1p(strain)
	return b.area * b.k * math.Exp(b.n*math.Log(e)) / (1 + strain)
}

// flow is the force (N) at which the bar goes on stretching at an engineering
// plastic strain, and its slope (N per unit strain).
func (b *bar) flow(strain float64) (force, slope float64) {
	switch {
	case b.block:
		slope = b.rise / b.fracture
		return b.first + slope*strain, slope
	case strain < b.luders:
		if strain < b.dropEnd {
			slope = (b.lower - b.upper) / b.dropEnd
			return b.upper + slope*strain, slope
		}
		return b.lower, 0
	case strain > b.uniform && b.fades:
		// Half a cosine down to nothing.
		w := (b.fracture - b.uniform) / fadeEnd
		sin, cos := math.Sincos(math.Pi * min(1, (strain-b.uniform)/w))
		return b.peakForce * (1 + cos) / 2, -b.peakForce * math.Pi / (2 * w) * sin
	case strain > b.uniform && b.drop > 0:
		// Past the peak the fall begins flat and steepens: a parabola.
		w := b.fracture - b.uniform
		x := (strain - b.uniform) / w
		return b.peakForce * (1 - b.drop*x*x), -2 * b.peakForce * b.drop * x / w
	}
	if b.table != nil && strain < b.uniform {
		return b.table.at(strain)
	}
	return b.exact(strain)
}

// exact is the power law and its slope.
func (b *bar) exact(strain float64) (force, slope float64) {
	e := b.e0 + math.Log1p(strain)
	force = b.area * b.k * math.Exp(b.n*math.Log(e)) / (1 + strain)
	return force, force / (1 + strain) * (b.n/e - 1)
}

// curve is the power law as a table, since it is asked for at every step: cubic
// pieces between knots that lie closer where it bends more. It agrees with the
// law to a hundred-millionth, proven by a test.
type curve struct {
	scale float64 // knots per root of strain
	knots []knot
}

type knot struct{ strain, force, slope, width, bend, twist float64 }

func (b *bar) tabulate() {
	const n = 512
	c := &curve{scale: n / math.Sqrt(b.uniform), knots: make([]knot, n+1)}
	for i := range c.knots {
		k := &c.knots[i]
		k.strain = b.uniform * float64(i) * float64(i) / (n * n)
		k.force, k.slope = b.exact(k.strain)
	}
	for i := range n {
		k, next := &c.knots[i], &c.knots[i+1]
		k.width = next.strain - k.strain
		chord := (next.force - k.force) / k.width
		k.bend = (3*chord - 2*k.slope - next.slope) / k.width
		k.twist = (k.slope + next.slope - 2*chord) / (k.width * k.width)
	}
	b.table = c
}

func (c *curve) at(strain float64) (force, slope float64) {
	k := &c.knots[min(int(math.Sqrt(strain)*c.scale), len(c.knots)-2)]
	x := strain - k.strain
	return k.force + x*(k.slope+x*(k.bend+x*k.twist)), k.slope + x*(2*k.bend+3*x*k.twist)
}

// fadeEnd is how far down the half cosine a fading bar comes apart: at 0.2 %.
const fadeEnd = 0.97

// fade makes the bar thin to nothing past its peak. wide is how much wider the
// fall is than the narrowest the springs let happen without a snap.
func (b *bar) fade(stiff, wide float64) {
	b.fades = true
	b.fracture = b.uniform + max(b.fracture-b.uniform, wide*math.Pi/2*b.peakForce/stiff)
}

// saw makes a block as high as it is wide. The force of its first yield is the
// bar's own; a brittle metal stands about three times its strength when
// squashed (common practice, no source). How the force rises past it is ours.
func (m *metal) saw(r *rand.Rand, d si.Length) bar {
	b := m.turn(r, d)
	first := b.peakForce
	if y := b.yield(); y > 0 && m.elong.mean >= 0.05 {
		first = float64(y) * b.area
	} else {
		first *= 3
	}
	c := bar{area: b.area, length: float64(d), modulus: b.modulus, block: true, first: first}
	c.fracture = 0.15 + 0.15*r.Float64()
	c.rise = first * (0.15 + 0.45*r.Float64())
	c.peakForce = c.first + c.rise
	return c
}

// yield is the 0.2 % offset yield strength, 0 where the bar breaks before it.
func (b *bar) yield() si.Stress {
	if b.block {
		return si.Stress(b.first / b.area)
	}
	const offset = 0.002
	if b.fracture < offset {
		return 0
	}
	f, _ := b.flow(offset)
	return si.Stress(f / b.area)
}

func (b *bar) stiffness() float64 { return b.modulus * b.area / b.length }

// stage is where the bar is at a ram force and a plastic strain.
func (b *bar) stage(m *rigModel, force, strain float64) stage {
	switch {
	case strain > b.uniform && !b.block:
		return stageNecking
	case strain > 1e-5: // a hundredth of a hair: rounding is no yield
		return stagePlastic
	case force > 2*m.toe:
		return stageElastic
	}
	return stageSlack
}
