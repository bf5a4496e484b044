package gum

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Bounds of the number of draws: of fewer an end of a 95 % interval is made by a
// handful, more take memory and say no more.
const (
	leastDraws = 1000
	mostDraws  = 10_000_000
)

// trialStream is the second half of the generator's seed.
const trialStream = 101

// MonteCarlo draws the inputs from their distributions and gives what the
// model's results come to (JCGM 101, 5.9 and 7): mean, SD and the interval that
// leaves as much of the probability below as above. The same inputs, draws and
// seed give the same trial. Errors name the input that is wrong, or the draw that
// the model has no finite value for: such a trial says nothing.
func MonteCarlo(inputs []Input, m Model, draws int, seed uint64, coverage float64) (Trial, error) {
	err := refuse(inputs, m, coverage)
	if draws < leastDraws || draws > mostDraws {
		err = errors.Join(err, fmt.Errorf("uncertainty: %d draws, from %d to %d will do", draws, leastDraws, mostDraws))
	}
	if err != nil {
		return Trial{}, err
	}
	source := rand.NewPCG(seed, trialStream)
	random := rand.New(source)
	x, urns := values(inputs), urnsOf(inputs, source)
	y := make([]float64, draws)
	for n := range y {
		for i := range urns {
			x[i] = urns[i].draw(random, urns)
		}
		if y[n] = m(x); !finite(y[n]) {
			return Trial{}, fmt.Errorf("uncertainty: draw %d of %d has no finite result: %s", n+1, draws, drawn(inputs, x))
		}
	}
	t := Trial{Draws: draws, Seed: seed}
	t.Mean, t.SD = meanSD(y)
	if !finite(t.Mean) || !finite(t.SD) {
		return Trial{}, errors.New("uncertainty: the results of the draws are too far apart for a mean")
	}
	slices.Sort(y)
	t.Low, t.High = ends(y, coverage)
	return t, nil
}

// urn is what an input is drawn from.
type urn struct {
	value, u float64
	dist     Dist
	dof      float64
	chi      distuv.ChiSquared
	same     int     // urn whose estimate of the scatter it shares; its own index: none before it
	last     float64 // √(χ²/dof) of this draw, of a Student
}

func urnsOf(inputs []Input, source rand.Source) []urn {
	out := make([]urn, len(inputs))
	for i, in := range inputs {
		u := urn{value: in.Value, u: in.U, dist: in.Dist, dof: in.DoF, same: i}
		if u.dist == Student && sure(u.dof) {
			u.dist = Normal
		}
		if u.dist == Student {
			u.chi = distuv.ChiSquared{K: u.dof, Src: source}
			for j := range i {
				if in.Scatter != "" && inputs[j].Scatter == in.Scatter && out[j].dist == Student {
					u.same = j
					break
				}
			}
		}
		out[i] = u
	}
	return out
}

// draw is one value.
func (u *urn) draw(random *rand.Rand, all []urn) float64 {
	switch u.dist {
	case Uniform:
		return u.value + u.u*math.Sqrt(3)*(2*random.Float64()-1)
	case Student:
		first := &all[u.same]
		if first == u {
			u.last = math.Sqrt(u.chi.Rand() / u.dof)
		}
		return u.value + u.u*random.NormFloat64()/first.last
	}
	return u.value + u.u*random.NormFloat64()
}

// drawn names what was drawn, for an error.
func drawn(inputs []Input, x []float64) string {
	var text []byte
	for i, in := range inputs {
		if i > 0 {
			text = append(text, ", "...)
		}
		text = fmt.Appendf(text, "%s = %g", in.Name, x[i])
	}
	return string(text)
}

// meanSD is the mean and the SD, in two passes.
func meanSD(y []float64) (mean, sd float64) {
	for _, v := range y {
		mean += v
	}
	mean /= float64(len(y))
	for _, v := range y {
		sd += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sd / float64(len(y)-1))
}

// ends are those of the probabilistically symmetric interval of sorted results
// (JCGM 101, 7.7).
func ends(sorted []float64, coverage float64) (low, high float64) {
	n := len(sorted)
	q := min(n-1, int(coverage*float64(n)+0.5))
	r := max(1, (n-q+1)/2)
	return sorted[r-1], sorted[min(n, r+q)-1]
}

// Agrees says whether the two ends of the first order's interval are those of the
// trial, to the tolerance of JCGM 101, 8.1 (from memory): half of the second
// significant figure of U. That is a strict test: limits of error that are evenly
// likely within mostly fail it.
func Agrees(r Result, t Trial) bool {
	d := tolerance(r.U)
	return math.Abs(r.Value-r.Expanded-t.Low) <= d && math.Abs(r.Value+r.Expanded-t.High) <= d
}

// tolerance is half a unit of the second significant figure of u.
func tolerance(u float64) float64 {
	if !(u > 0) {
		return 0
	}
	exp := math.Floor(math.Log10(u)) - 1
	if math.Round(u/math.Pow(10, exp)) >= 100 { // 0.0999 is 0.10
		exp++
	}
	return math.Pow(10, exp) / 2
}
