package calib

import (
	"fmt"
	"math"

	"draghand/internal/rig"
)

// class is a row of ISO 7500-1, table 2 (from memory of the standard), as
// fractions of the force.
type class struct {
	name           string
	q, b, v, f0, a float64
}

// classes are those of ISO 7500-1, the best first.
func classes() []class {
	return []class{
		{name: "0.5", q: 0.005, b: 0.005, v: 0.0075, f0: 0.0005, a: 0.0025},
		{name: "1", q: 0.01, b: 0.01, v: 0.015, f0: 0.001, a: 0.005},
		{name: "2", q: 0.02, b: 0.02, v: 0.03, f0: 0.002, a: 0.01},
		{name: "3", q: 0.03, b: 0.03, v: 0.045, f0: 0.003, a: 0.015},
	}
}

// slack takes what rounding may add to a figure that stands on the edge.
const slack = 1e-12

func (c class) allows(l Level, zero *float64) bool {
	within := func(v, most float64) bool { return math.Abs(v) <= most+slack }
	return within(l.Error, c.q) && within(l.Repeatability, c.b) && within(l.Resolution, c.a) &&
		(l.Reversibility == nil || within(*l.Reversibility, c.v)) && (zero == nil || within(*zero, c.f0))
}

// classOf is the best class that a level's figures allow; what was not taken cannot
// speak against it here, but no class is claimed without it.
func classOf(l Level, zero *float64) string {
	for _, c := range classes() {
		if c.allows(l, zero) {
			return c.name
		}
	}
	return ""
}

// What ASTM E4 allows: ± 1 % of the force at each verified force, two runs within
// 1 % of one another, the lowest force 200 times the resolution (E4-14 and E4-16;
// repeatability and the figure 200 from memory).
const (
	e4Error      = 0.01
	e4Repeat     = 0.01
	e4Resolution = 200
)

// withinE4 says whether one level is within ASTM E4.
func withinE4(pairs []pair, l Level) bool {
	for _, p := range pairs {
		if !(math.Abs(p.said-p.true)/p.true <= e4Error+slack) {
			return false
		}
	}
	return l.Repeatability <= e4Repeat+slack && l.Resolution*e4Resolution <= 1+slack
}

// leastLevels is how many verified forces both standards ask for, and leastSeries
// how many rising series ISO 7500-1 and E4 (all from memory but E4's five forces).
const (
	leastLevels              = 5
	isoSeries, e4Series      = 3, 2
	ofClass                  = 3 // the reference's expanded uncertainty is a third of the class or less
	coverage                 = 2 // of an expanded uncertainty
	spanLeast, spanMost      = 1.0 / 20, 1.0 / 3
	spacingSlack             = 1e-9
	e4Name, isoName          = "ASTM E4", "ISO 7500-1"
	asFound, neverAccredited = "as found", "a statement about the points taken, no accredited verification"
)

// claims says what may be said of the rig as found.
func (k *reckoner) claims(a *Answer) {
	worst := 0.0
	for _, l := range a.Levels {
		if math.Abs(l.Error) > math.Abs(worst) {
			worst = l.Error
		}
	}
	low, high := a.Levels[0].Reference, a.Levels[len(a.Levels)-1].Reference
	ref := k.run.Reference
	compared := fmt.Sprintf("compared with %s at %d levels from %s to %s: as found off by up to %+.2f %%", ref.Text, len(a.Levels), k.value(low), k.value(high), 100*worst)
	if n := k.leftOut(); n > 0 {
		a.Claims = append(a.Claims, compared+", "+count(n, "point")+" left out")
		return
	}
	if k.run.At != rig.AtGauge && ref.Certificate != "" && ref.U > 0 && !k.certificateFuture() {
		k.iso(a)
		k.e4(a)
	}
	if len(a.Claims) == 0 {
		a.Claims = append(a.Claims, compared)
	}
}

// leftOut is how many points a person has left out, or has thrown away as they were
// taken. What is left is no verification: no class is stated, for a point is not
// dropped to win one.
func (k *reckoner) leftOut() int { return len(k.o.Drop) + max(0, k.run.Dropped) }

// iso states the best class that the levels from some one up to the highest allow.
func (k *reckoner) iso(a *Answer) {
	zero := k.zeroReturn()
	if _, ok := k.resolution(); !ok || zero == nil || k.forgotten(a.Levels) {
		return
	}
	for _, c := range classes() {
		if !(coverage*k.run.Reference.U <= c.q/ofClass+slack) {
			continue
		}
		if from := k.from(a, isoSeries, func(l Level) bool { return c.allows(l, zero) }); from >= 0 {
			a.Claims = append(a.Claims, k.claim(a, isoName+" class "+c.name, from))
			return
		}
	}
}

func (k *reckoner) e4(a *Answer) {
	if _, ok := k.resolution(); !ok || !(coverage*k.run.Reference.U <= e4Error/ofClass+slack) {
		return
	}
	if from := k.from(a, e4Series, func(l Level) bool { return l.E4 }); from >= 0 {
		a.Claims = append(a.Claims, k.claim(a, "within "+e4Name, from))
	}
}

// from is the lowest level from which all up to the highest hold; −1 where they are
// too few.
func (k *reckoner) from(a *Answer, series int, holds func(Level) bool) int {
	from := len(a.Levels)
	for from > 0 && a.Levels[from-1].Readings >= series && holds(a.Levels[from-1]) {
		from--
	}
	if len(a.Levels)-from < leastLevels {
		return -1
	}
	return from
}

func (k *reckoner) claim(a *Answer, what string, from int) string {
	ref := k.run.Reference
	where := "the ram force"
	if k.run.At == rig.AtSpecimen {
		where = "the force on the specimen"
	}
	return fmt.Sprintf("%s, %s, %s, from %s to %s, against %s (%s, ± %.2g %%, k = %d): %s", what, asFound, where,
		k.value(a.Levels[from].Reference), k.value(a.Levels[len(a.Levels)-1].Reference), ref.Text, ref.Certificate, 100*coverage*ref.U, coverage, neverAccredited)
}
