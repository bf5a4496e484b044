// Package control keeps the chart of a check bar: bars of one bought stock pulled
// every so often, whose strength should not move. An individuals chart tests ram
// area, friction, share and sensor at once.
//
// The chart is that of the NIST/SEMATECH e-Handbook of Statistical Methods,
// 6.3.2.2 (from memory): the mean, and limits 3 s to either side of it, where s is
// the mean of the moving ranges of two divided by d2 = 1.128. Beside it stands one
// rule for what creeps: eight bars in a row on one side of the mean (from memory
// of the usual run rules).
//
// A bar is judged by those before it, never by itself:
//
//   - The basis of a bar are the first 20 of its stretch that came before it and
//     were not beyond the limits themselves. A bad bar so does not widen what it is
//     judged by, nor what the next is, and after the twentieth the limits stand
//     still: a drift cannot take them along.
//     The price is that good bars left out by chance make s a little small: of good
//     bars 5.7 % are called out by five before them, 2.9 % by twenty (measured by
//     TestFalseAlarms; 0.27 % were the limits known for sure). One bar that is just
//     out is so a reason to pull another.
//   - Under 5 bars there are no limits. Where all bars of the basis are equal there
//     are none either: no real bars are.
//   - A stated change of the rig (Point.Change) begins a new stretch with a basis of
//     its own, since the old mean is no measure of the new rig. Until that has limits
//     its bars are held against the old stretch all the same (Across): a rig file with
//     a wrong area is a change too.
package control

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// Point is one check bar.
type Point struct {
	At     time.Time `json:"at"`
	Value  float64   `json:"strength_pa"` // strength, Pa
	Record string    `json:"record"`
	Change string    `json:"change,omitempty"` // what of the rig changed since the one before; empty: nothing
}

// The figures of the chart.
const (
	Least   = 5     // bars of a basis from which limits are reckoned
	Most    = 20    // bars of a basis; later ones move nothing
	Wide    = 3     // limits, in s from the mean
	RunLong = 8     // bars in a row on one side of the mean
	d2      = 1.128 // mean range of two normal values, in standard deviations
)

// What may be a strength lies between these, Pa: far under and far over any metal's.
const (
	leastValue = 1e3
	mostValue  = 1e12
)

// State is what the chart says of one bar.
type State string

// The states of a bar.
const (
	Basis  State = "no-limits" // too few before it, or all of those equal
	In     State = "in"        // in control
	Beyond State = "beyond"    // past the limits
	Run    State = "run"       // within them, and at least the eighth in a row on its side
)

// Out says that the bar is out of control.
func (s State) Out() bool { return s == Beyond || s == Run }

// Limits are what a bar is judged by.
type Limits struct {
	Mean float64 `json:"mean_pa"` // 0: there was no bar before it
	SD   float64 `json:"sd_pa"`   // by the moving ranges; 0: no limits
	Bars int     `json:"bars"`    // that they are from
}

// Known says that there are limits.
func (l Limits) Known() bool { return l.SD > 0 }

// Low and High are the ends, Pa.
func (l Limits) Low() float64  { return l.Mean - Wide*l.SD }
func (l Limits) High() float64 { return l.Mean + Wide*l.SD }

// off is how far a value lies from the mean, as a fraction of it; 0 without one.
func (l Limits) off(v float64) float64 {
	if l.Mean <= 0 {
		return 0
	}
	return v/l.Mean - 1
}

// z is how far a value lies from the mean in s; 0 without limits.
func (l Limits) z(v float64) float64 {
	if !l.Known() {
		return 0
	}
	return (v - l.Mean) / l.SD
}

// Judged is a bar with what the chart says of it.
type Judged struct {
	Point
	State   State   `json:"state"`
	By      Limits  `json:"judged_by"` // of the bars before it in its stretch
	Z       float64 `json:"z"`         // in s from the mean; 0 without limits
	Off     float64 `json:"off"`       // from the mean, as a fraction of it; 0 for the first of a stretch
	Row     int     `json:"row"`       // bars in a row on its side of the mean, itself included
	Stretch int     `json:"stretch"`   // from 0
	// Of a bar of a later stretch that has no limits yet: how far it lies from the mean
	// of the one before, as a fraction, and in s of that one. 0 elsewhere.
	Across  float64 `json:"across,omitempty"`
	AcrossZ float64 `json:"across_z,omitempty"`
}

// Chart is what the bars of one stock say, oldest first.
type Chart struct {
	Points []Judged `json:"points"`
	// Next is what the next bar will be judged by.
	Next     Limits  `json:"next"`
	Unusable []Point `json:"unusable,omitempty"` // values that are no strength
}

// Of makes the chart of bars in any order. It panics for no data.
func Of(points []Point) Chart {
	points = slices.Clone(points)
	slices.SortStableFunc(points, func(a, b Point) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Record, b.Record)) })
	var c Chart
	var basis []float64 // of the stretch
	var old Limits      // of the stretch before
	first, change := 0, ""
	for _, p := range points {
		if !(p.Value >= leastValue && p.Value <= mostValue) {
			c.Unusable = append(c.Unusable, p)
			if change == "" { // what changed stays changed
				change = p.Change
			}
			continue
		}
		if p.Change == "" {
			p.Change = change
		}
		change = ""
		j := Judged{Point: p}
		if n := len(c.Points); n > 0 {
			j.Stretch = c.Points[n-1].Stretch
			if p.Change != "" {
				old, basis, first = limits(basis), nil, n
				j.Stretch++
			}
		}
		if j.By = limits(basis); !j.By.Known() {
			j.Across, j.AcrossZ = old.off(p.Value), old.z(p.Value)
		}
		j.Off, j.Z = j.By.off(p.Value), j.By.z(p.Value)
		c.Points = append(c.Points, j)
		last := &c.Points[len(c.Points)-1]
		last.Row = row(c.Points[first:])
		last.State = last.state()
		if last.State != Beyond && len(basis) < Most {
			basis = append(basis, p.Value)
		}
	}
	c.Next = limits(basis)
	return c
}

// state judges a bar by its limits.
func (j *Judged) state() State {
	switch {
	case !j.By.Known():
		return Basis
	case math.Abs(j.Z) > Wide:
		return Beyond
	case j.Row >= RunLong:
		return Run
	}
	return In
}

// row counts the bars of a stretch that end it on one side of the mean the last is
// judged by. A bar on the mean is on neither side.
func row(stretch []Judged) int {
	last := stretch[len(stretch)-1]
	mean := last.By.Mean
	side := cmp.Compare(last.Value, mean)
	if mean <= 0 || side == 0 {
		return 0
	}
	n := 0
	for i := len(stretch) - 1; i >= 0 && cmp.Compare(stretch[i].Value, mean) == side; i-- {
		n++
	}
	return n
}

// tiny is a scatter, as a fraction of the mean, that only rounding makes.
const tiny = 1e-9

// limits are those of a basis: of none of it no mean, of few no s.
func limits(basis []float64) Limits {
	l := Limits{Bars: len(basis)}
	if l.Bars == 0 {
		return l
	}
	sum, ranges := 0.0, 0.0
	for i, v := range basis {
		sum += v
		if i > 0 {
			ranges += math.Abs(v - basis[i-1])
		}
	}
	l.Mean = sum / float64(l.Bars)
	if l.Bars >= Least {
		if sd := ranges / float64(l.Bars-1) / d2; sd > tiny*l.Mean {
			l.SD = sd
		}
	}
	return l
}

// AcrossBeyond says that the bar has no limits of its own yet and lies beyond those
// from before the last change.
func (j *Judged) AcrossBeyond() bool { return math.Abs(j.AcrossZ) > Wide }

// Newest is the newest bar; nil where there is none.
func (c *Chart) Newest() *Judged {
	if len(c.Points) == 0 {
		return nil
	}
	return &c.Points[len(c.Points)-1]
}

// Shown are the limits to draw: those the newest was judged by, or where there
// were none, those of the next.
func (c *Chart) Shown() Limits {
	if n := c.Newest(); n != nil && n.By.Known() {
		return n.By
	}
	return c.Next
}

// Days is how many whole days a moment is past; 0 for one that is yet to come.
func Days(at, now time.Time) int { return max(0, int(now.Sub(at)/(24*time.Hour))) }
