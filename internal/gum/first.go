package gum

import (
	"errors"
	"fmt"
	"math"
)

// The step of the central difference that a sensitivity is taken with, as a
// fraction of the input's U, and at the least as one of its value. GUM 5.1.4 has
// U itself; of 1/d² with d known to 2 % that is off by 0.06 %, and a thousandth of
// it by nothing. What rounding leaves of the least step is 1e-10.
const (
	stepOfU     = 1e-3
	stepOfValue = 1e-6
)

// FirstOrder reckons the doubt of a model's result from that of its inputs, taken
// as independent: the law of propagation (JCGM 100, 5.1.2), effective degrees of
// freedom after Welch and Satterthwaite (G.4.1) and an interval for the coverage, a
// probability between 0 and 1. Errors name the input that is wrong, or the one
// around which the model has no finite value.
func FirstOrder(inputs []Input, m Model, coverage float64) (Result, error) {
	if err := refuse(inputs, m, coverage); err != nil {
		return Result{}, err
	}
	x := values(inputs)
	r := Result{Value: m(x), Coverage: coverage, Parts: make([]Part, len(inputs))}
	if !finite(r.Value) {
		return Result{}, errors.New("uncertainty: the model has no finite value at the best estimates")
	}
	var common, random float64
	for i, in := range inputs {
		c := slope(m, x, i, in.U)
		u := 0.0
		switch {
		case in.U > 0:
			u = math.Abs(c) * in.U
		case !finite(c):
			c = 0 // it is known for sure: what lies beside it does not matter
		}
		if !finite(u) {
			return Result{}, fmt.Errorf("uncertainty: the model has no finite value near %q = %g", in.Name, in.Value)
		}
		r.Parts[i] = Part{Input: in, Sensitivity: c, U: u}
		if in.Common {
			common = math.Hypot(common, u)
		} else {
			random = math.Hypot(random, u)
		}
	}
	r.Common, r.Random = common, random
	r.U = math.Hypot(common, random)
	if !finite(r.U) {
		return Result{}, errors.New("uncertainty: the inputs' are too large to be put together")
	}
	for i := range r.Parts {
		if r.U > 0 {
			f := r.Parts[i].U / r.U
			r.Parts[i].Fraction = f * f
		}
	}
	r.DoF = welch(r.Parts)
	r.K = Factor(coverage, r.DoF)
	r.Expanded = r.K * r.U
	return r, nil
}

// slope is ∂y/∂x of one input; x is left as it was.
func slope(m Model, x []float64, i int, u float64) float64 {
	at := x[i]
	h := max(stepOfU*u, stepOfValue*math.Abs(at))
	if h == 0 {
		h = stepOfValue
	}
	up, down := at+h, at-h
	x[i] = up
	y := m(x)
	x[i] = down
	y -= m(x)
	x[i] = at
	return y / (up - down)
}

// welch is the effective degrees of freedom. What comes from one estimate of a
// scatter has its degrees of freedom once.
func welch(parts []Part) float64 {
	var sum float64
	for i, p := range parts {
		if sure(p.DoF) {
			continue
		}
		f := p.Fraction
		if p.Scatter != "" {
			first := true
			for j, q := range parts {
				switch {
				case j == i || q.Scatter != p.Scatter:
				case j < i:
					first = false
				default:
					f += q.Fraction
				}
			}
			if !first {
				continue
			}
		}
		sum += f * f / p.DoF
	}
	if sum == 0 {
		return math.Inf(1)
	}
	return 1 / sum
}

// sure says whether degrees of freedom are without end.
func sure(dof float64) bool { return dof == 0 || math.IsInf(dof, 1) }

// refuse is what cannot be reckoned with.
func refuse(inputs []Input, m Model, coverage float64) error {
	var errs []error
	if m == nil {
		errs = append(errs, errors.New("uncertainty: no model is given"))
	}
	if len(inputs) == 0 {
		errs = append(errs, errors.New("uncertainty: no inputs are given"))
	}
	if !(coverage > 0 && coverage < 1) {
		errs = append(errs, fmt.Errorf("uncertainty: a coverage of %g is no probability between 0 and 1", coverage))
	}
	dof := map[string]float64{}
	for _, in := range inputs {
		bad := func(what string, v any) {
			errs = append(errs, fmt.Errorf("uncertainty: input %q: %s %v", in.Name, what, v))
		}
		if !finite(in.Value) {
			bad("the best estimate is", in.Value)
		}
		if !(in.U >= 0) || math.IsInf(in.U, 1) {
			bad("a standard uncertainty is a number from 0 up, not", in.U)
		}
		if !(in.DoF >= 0) {
			bad("degrees of freedom are a number from 0 up, not", in.DoF)
		}
		switch in.Dist {
		case Normal, Uniform, Student:
		default:
			bad("no distribution is called", fmt.Sprintf("%q", string(in.Dist)))
		}
		if in.Scatter != "" {
			if d, ok := dof[in.Scatter]; ok && d != in.DoF {
				bad("other degrees of freedom than the rest of scatter "+in.Scatter+":", in.DoF)
			}
			dof[in.Scatter] = in.DoF
		}
	}
	return errors.Join(errs...)
}

func values(inputs []Input) []float64 {
	x := make([]float64, len(inputs))
	for i, in := range inputs {
		x[i] = in.Value
	}
	return x
}

func finite(v float64) bool { return v-v == 0 }
