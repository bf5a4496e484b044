package budget

import (
	"math"
	"sort"

	"draghand/internal/gum"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Coverage is the probability that a budget's intervals are reckoned for.
const Coverage = 0.95

// ZeroU is the standard uncertainty of a zero, for Peak: of the mean of readings
// with an SD; of the count they were read in, where the noise is too small to
// make the mean finer than it; and of how far the zero had moved by the end, of
// which anything from none to all may have been there at the peak and nothing is
// taken off (the rms of 0 to a is a/√3). Pa.
func ZeroU(sd, count si.Pressure, readings int, moved si.Pressure) si.Pressure {
	u := 0.0
	if readings > 0 {
		u = float64(sd) / math.Sqrt(float64(readings))
	}
	if sd < count/2 {
		u = math.Hypot(u, float64(count)/2/math.Sqrt(3))
	}
	return si.Pressure(math.Hypot(u, float64(moved)/math.Sqrt(3)))
}

// For is the budget of the strength of a bar that broke at a peak, with so many
// draws of a Monte Carlo beside it, 0: none. A calibration of the rig takes the
// place of what lies between the gauge and where it was made. It is nil where
// there is no strength (no rig, no section, no force), and where a calibration
// has too few points to say how sure it is.
func For(r *rig.Rig, bar specimen.Specimen, p Peak, draws int, seed uint64) *Budget {
	if r == nil || !(p.Gauge > 0) || !(bar.Area() > 0) {
		return nil
	}
	m := newModel(r, bar, p.Gauge)
	if m.cal != nil && !(m.cal.Line.DoF() >= 1 && m.cal.Line.SumSquares > 0) {
		return nil
	}
	var t table
	t.gauge(r, p)
	t.sensor(r, p, &m)
	switch {
	case m.cal != nil:
		t.calibration(m.cal, p.Gauge)
	case r.Calibration != nil:
		t.note("the calibration was made in the other side's place and is not used for this bar")
	}
	t.size(bar, &m)
	t.note("not in it: a bar that is bent or pulled out of line, a section out of round, the pace, the heat")

	inputs, into := make([]gum.Input, len(t.rows)), make([]place, len(t.rows))
	for i, row := range t.rows {
		inputs[i], into[i] = row.Input, row.into
	}
	f := m.of(into)
	first, err := gum.FirstOrder(inputs, f, Coverage)
	if err != nil || !(first.Value > 0) {
		return nil
	}
	b := &Budget{
		ValuePa: first.Value, UPa: first.U, DoF: dof(first.DoF), CoverageK: first.K, Coverage: Coverage, ExpandedPa: first.Expanded,
		CommonPa: first.Common, RandomPa: first.Random, Lines: t.lines(first.Parts),
	}
	if draws > 0 {
		t.trial(b, inputs, f, first, draws, seed)
	}
	b.Notes = t.notes
	return b
}

// lines are the sources as they stand in results, largest first.
func (t *table) lines(parts []gum.Part) []Line {
	out := make([]Line, len(parts))
	for i, p := range parts {
		row := t.rows[i]
		out[i] = Line{
			Of: p.Name, Value: row.value, U: p.Input.U, Unit: row.unit, Dist: p.Dist, DoF: dof(p.DoF),
			UPa: p.U, Fraction: p.Fraction, Common: p.Common, Source: p.Source,
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].UPa > out[j].UPa })
	return out
}

// apart is how far an end of the Monte Carlo's interval may lie from the first
// order's, as a fraction of U, before a note says so. The rule of JCGM 101 is
// stricter and nearly always broken where limits of error are evenly likely
// within: what is said of every strength is not read. (Our own rule.)
const apart = 0.05

// trial puts the Monte Carlo beside the first order, and says where they part.
func (t *table) trial(b *Budget, in []gum.Input, f gum.Model, first gum.Result, draws int, seed uint64) {
	tr, err := gum.MonteCarlo(in, f, draws, seed, Coverage)
	if err != nil {
		t.note("no Monte Carlo: %v", err)
		return
	}
	b.MonteCarlo = &Trial{Draws: tr.Draws, Seed: tr.Seed, MeanPa: tr.Mean, LowPa: tr.Low, HighPa: tr.High, Agrees: gum.Agrees(first, tr)}
	if varies(in) {
		b.MonteCarlo.SDPa = &tr.SD
	} else {
		t.note("the Monte Carlo has no standard deviation: a scatter is known with fewer than 3 degrees of freedom, and Student's t has none then; its interval stands")
	}
	if !b.Apart() {
		return
	}
	of := func(v float64) float64 { return 100 * v / b.ValuePa }
	t.note("the two ways part: the first order has %+.2f %% to %+.2f %%, the Monte Carlo %+.2f %% to %+.2f %%, which goes by the distributions themselves",
		-of(b.ExpandedPa), of(b.ExpandedPa), of(tr.Low-b.ValuePa), of(tr.High-b.ValuePa))
}

// varies says whether what is drawn has a variance: Student's t has none of 2 degrees
// of freedom and fewer.
func varies(in []gum.Input) bool {
	for _, i := range in {
		if i.Dist == gum.Student && i.DoF > 0 && i.DoF < 3 {
			return false
		}
	}
	return true
}

// Apart says whether an end of the Monte Carlo's interval lies farther from the
// first order's than a twentieth of U: then a note says so. False where there is
// no Monte Carlo.
func (b *Budget) Apart() bool {
	m := b.MonteCarlo
	if m == nil {
		return false
	}
	d := apart * b.ExpandedPa
	return !(math.Abs(b.ValuePa-b.ExpandedPa-m.LowPa) <= d && math.Abs(b.ValuePa+b.ExpandedPa-m.HighPa) <= d)
}

// dof is degrees of freedom as they stand in results; nil: without end.
func dof(v float64) *float64 {
	if v == 0 || math.IsInf(v, 1) {
		return nil
	}
	return &v
}
