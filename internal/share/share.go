// Package share finds what part of the ram's force a side of a two-sided rig
// truly carries, from like bars pulled on each side, in place of what a ruler
// says of the arms. docs/share.md has the derivation.
//
// Everything is reckoned with the loaded ram force over the bar's section, in
// Pa: the share itself does not enter it, nor do ram area, seal friction and
// transducer gain, which fall out of the ratio of the two sides.
package share

import (
	"errors"
	"fmt"
	"math"

	"draghand/internal/gum"
	"draghand/internal/si"
)

// Coverage is the probability that the stated interval is reckoned for.
const Coverage = 0.95

// Least is how many bars a side needs: of one bar no scatter is known. Advised
// is how many it should have, since with two the factor t is wide.
const (
	Least   = 2
	Advised = 3
)

// Side is what the bars of one side came to.
type Side struct {
	N    int       `json:"n"`
	Mean si.Stress `json:"ram_stress_mean_pa"` // of the loaded ram force over the section
	SD   si.Stress `json:"ram_stress_sd_pa"`   // of one bar, n − 1
	// Reading is the relative standard uncertainty of what steps of the reading
	// (a converter's count, a dial's division) leave open; 0: not known. Like
	// bars are rounded alike, so that more of them do not lessen it.
	Reading float64 `json:"reading_u"`
}

// relative is the squared relative standard uncertainty of the mean by the
// scatter of the bars.
func (s Side) relative(n int) float64 {
	r := float64(s.SD / s.Mean)
	return r * r / float64(n)
}

// Found is the share that bars pulled on both sides show. Its interval is
// Share ± Expanded.
type Found struct {
	Share    float64 `json:"share"`           // of the specimen's own place
	Standard float64 `json:"share_u"`         // standard uncertainty
	Expanded float64 `json:"share_expanded"`  // K · Standard, for Coverage
	K        float64 `json:"coverage_k"`      // Student's factor
	DOF      float64 `json:"degrees_freedom"` // effective, Welch–Satterthwaite
	Near     Side    `json:"near"`
	Far      Side    `json:"far"`
}

// ErrScatter marks bars without any scatter: no uncertainty can be had of them.
var ErrScatter = errors.New("the bars of each side came out exactly alike: there is no scatter to reckon an uncertainty from")

// Estimate finds the share from the loaded ram forces over the sections of bars
// that broke in the specimen's own place and in the far side's. Errors say what
// is missing.
func Estimate(near, far []si.Stress) (Found, error) { return estimate(near, far, 0, 0) }

// estimate is Estimate with the Reading of each side.
func estimate(near, far []si.Stress, nearReading, farReading float64) (Found, error) {
	a, err := sideOf("near", near)
	b, err2 := sideOf("far", far)
	if err := errors.Join(err, err2); err != nil {
		return Found{}, err
	}
	a.Reading, b.Reading = nearReading, farReading
	f := Found{Near: a, Far: b, Share: float64(b.Mean / (a.Mean + b.Mean))}
	f.Standard, f.DOF = spread(f, a.N, b.N)
	if f.Standard == 0 {
		return Found{}, ErrScatter
	}
	f.K = factor(f.DOF)
	f.Expanded = f.K * f.Standard
	return f, nil
}

// sideOf is the mean and the scatter of one side.
func sideOf(name string, x []si.Stress) (Side, error) {
	if len(x) < Least {
		return Side{}, fmt.Errorf("%d of the bars were pulled on the %s side, %d are the least and %d are advised", len(x), name, Least, Advised)
	}
	s := Side{N: len(x)}
	for _, v := range x {
		if !(v > 0) || math.IsInf(float64(v), 0) {
			return Side{}, fmt.Errorf("a bar of the %s side broke at no finite force", name)
		}
		s.Mean += v / si.Stress(len(x))
	}
	sum := 0.0
	for _, v := range x {
		d := float64(v - s.Mean)
		sum += d * d
	}
	s.SD = si.Stress(math.Sqrt(sum / float64(len(x)-1)))
	return s, nil
}

// mostDOF is where the degrees of freedom end: Student's factor lies 0.1 % over
// that of the normal distribution there.
const mostDOF = 1000

// spread is the standard uncertainty of the share and its degrees of freedom,
// had there been so many bars on each side with the scatter seen. The steps of
// the reading are known, not found from a sample: they count with no end of
// degrees of freedom. Without any scatter it is nothing.
func spread(f Found, near, far int) (u, dof float64) {
	a, b := f.Near.relative(near), f.Far.relative(far)
	if a+b == 0 {
		return 0, 0
	}
	v := a + b + f.Near.Reading*f.Near.Reading + f.Far.Reading*f.Far.Reading
	dof = v * v / (a*a/float64(near-1) + b*b/float64(far-1))
	return f.Share * (1 - f.Share) * math.Sqrt(v), min(dof, mostDOF)
}

// factor is Student's t for the interval, degrees of freedom rounded down.
func factor(dof float64) float64 { return gum.Factor(Coverage, dof) }

// mostMore is where More stops looking.
const mostMore = 2000

// More is how many more bars on each side would halve the interval, if they
// scatter as those did. ok is false where thousands would not do it.
func (f Found) More() (near, far int, ok bool) {
	n, m := f.Near.N, f.Far.N
	if u := f.Share * (1 - f.Share) * math.Hypot(f.Near.Reading, f.Far.Reading); factor(mostDOF)*u > f.Expanded/2 {
		return 0, 0, false // the steps of the reading alone are more than half of it
	}
	for near+far < mostMore {
		// The side that is known worse gets the next bar.
		if f.Near.relative(n) > f.Far.relative(m) {
			n, near = n+1, near+1
		} else {
			m, far = m+1, far+1
		}
		if u, dof := spread(f, n, m); factor(dof)*u <= f.Expanded/2 {
			return near, far, true
		}
	}
	return 0, 0, false
}

// Agrees says whether the share agrees with another that is known within ± tol:
// whether the difference lies within both limits together, root of the sum of
// squares.
func (f Found) Agrees(ruler, tol float64) bool {
	return math.Abs(f.Share-ruler) <= math.Hypot(f.Expanded, tol)
}

// Text is the share with its ±, as the rig file wants it: two figures of the ±,
// rounded up, and the share to as many places. It is empty where the bars leave
// the share so open that no rig file could take it.
func (f Found) Text() string {
	if !(f.Expanded > 0) || f.Expanded >= min(f.Share, 1-f.Share) {
		return ""
	}
	places := max(2, 1-int(math.Floor(math.Log10(f.Expanded))))
	places = min(places, 9)
	unit := math.Pow(10, -float64(places))
	up := math.Ceil(f.Expanded/unit*(1-1e-12)) * unit
	return fmt.Sprintf("%.*f ± %.*f", places, f.Share, places, up)
}
