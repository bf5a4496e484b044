package rig

import (
	"math"

	"draghand/internal/gum"
	"draghand/internal/si"
)

// The two edges of what a calibration says.
const (
	lower = -1.0
	upper = 1.0
)

// An edge is some 95 % sure: coverEdge standard uncertainties of the reference,
// and of the line's scatter as many as its few points ask for, never less.
const (
	coverEdge  = 2
	confidence = 0.95
)

// verge is a calibration's line with its doubt added or taken off. Within the points
// and below them it is the line times one factor, the worst of the points' range;
// above the highest point the doubt grows, as the line's own does. It is a plain
// value and rises.
type verge struct {
	curve
	high si.Pressure // the highest point; 0: the doubt grows nowhere
	top  float64     // N or Pa per Pa above it
}

// at is the load at a pressure.
func (e verge) at(p si.Pressure) float64 {
	if e.high > 0 && p > e.high {
		return e.curve.at(e.high) + e.top*float64(p-e.high)
	}
	return e.curve.at(p)
}

// inverse is the pressure at a load; 0 where no load has one, +Inf where this one
// has none.
func (e verge) inverse(v float64) si.Pressure {
	most := e.curve.at(e.high)
	if !(e.high > 0 && v > most) {
		return e.curve.inverse(v)
	}
	if !(e.top > 0) {
		return si.Pressure(math.Inf(1))
	}
	return e.high + si.Pressure((v-most)/e.top)
}

// edge is the upper or the lower one. Its doubt is a norm of what is straight in
// the pressure, so a convex function of it: what starts at the highest point and
// rises as that does far away holds all of it.
func (c *Calibration) edge(side float64) verge {
	l, k := c.Line, c.cover()
	most := side * max(c.doubt(l.Low, k), c.doubt(l.High, k))
	far := side * math.Hypot(k*l.farU(), coverEdge*c.ReferenceU*l.Slope)
	e := verge{curve: l.curve().times(max(0, 1+most)), high: l.High}
	e.top = max(0, l.Slope+far)
	if side > 0 {
		e.top = max(e.top, e.slope)
	} else {
		e.top = min(e.top, e.slope)
	}
	return e
}

// cover is how many of its standard uncertainties the line's own doubt is.
func (c *Calibration) cover() float64 {
	return max(coverEdge, gum.T(confidence, c.Line.DoF()))
}

// doubt is the edge's distance from the line at a pressure, as a fraction. The
// square of LineU over Value is a convex parabola in 1/Value, so that the largest
// of a range lies at an end.
func (c *Calibration) doubt(p si.Pressure, cover float64) float64 {
	v := c.Line.Value(p)
	if !(v > 0) {
		return math.Inf(1)
	}
	return math.Hypot(cover*c.Line.LineU(p)/v, coverEdge*c.ReferenceU)
}
