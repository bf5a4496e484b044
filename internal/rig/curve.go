package rig

import "draghand/internal/si"

// curve is a rising load over the gauge pressure above the zero: a straight line,
// and below its knee another one that comes from nothing. Without a knee both are
// one. It is a plain value; a curve that does not rise answers 0.
type curve struct {
	knee   si.Pressure
	foot   float64 // N or Pa per Pa below the knee
	offset float64 // N or Pa
	slope  float64 // N or Pa per Pa from the knee on
}

// straight is a line through nothing.
func straight(slope float64) curve { return curve{foot: slope, slope: slope} }

// at is the load at a pressure.
func (c curve) at(p si.Pressure) float64 {
	if p < c.knee {
		return c.foot * float64(p)
	}
	return c.offset + c.slope*float64(p)
}

// inverse is the pressure at a load; 0 where no load has one.
func (c curve) inverse(v float64) si.Pressure {
	if !(c.slope > 0 && c.foot > 0) {
		return 0
	}
	if v < c.foot*float64(c.knee) {
		return si.Pressure(v / c.foot)
	}
	return si.Pressure((v - c.offset) / c.slope)
}

// times is the curve of a load that is k times this one.
func (c curve) times(k float64) curve {
	return curve{knee: c.knee, foot: k * c.foot, offset: k * c.offset, slope: k * c.slope}
}

// curve is Value as a curve.
func (l CalibrationLine) curve() curve {
	if l.Offset == 0 || !(l.Low > 0) {
		return straight(l.Slope)
	}
	return curve{knee: l.Low, foot: l.Value(l.Low) / float64(l.Low), offset: l.Offset, slope: l.Slope}
}
