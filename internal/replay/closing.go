package replay

import (
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// freshFor is how long the engine takes the newest reading for one to show, as
// with live readings of any usual rate.
const freshFor = 500 * time.Millisecond

// closingState is the state a pull was closed in, as far as a frame needs it: from
// pull.json and the readings at the very end. The pass over all of them replaces
// it. tail are the last readings of the record, oldest first.
func closingState(h record.Head, tail []pull.Reading) pull.State {
	c := h.Closing
	chain := h.Rig.Chain()
	s := pull.State{
		T: c.Length.Duration(), Kind: h.Kind, Phase: c.Phase, Outcome: c.Outcome,
		Readings: c.Samples, Faults: c.Faults, Gaps: c.Gaps, BadLines: c.BadLines, Slips: c.Slips,
		PeakUnseen: c.PeakUnseen, OverRange: c.OverRange,
		Noise: value(c.Noise), Peak: point(c.Peak), PeakRaw: point(c.PeakRaw), PeakBias: value(c.PeakBias),
		LoadedAt: c.Loaded.Duration(),
		Nearest:  -1, TripOK: true,
		Zero: pull.Zero{
			Set: c.Zero.Set, Quality: c.Zero.Quality, Raw: value(c.Zero.Raw), Pressure: value(c.Zero.Pressure),
			SD: value(c.Zero.SD), Readings: c.Zero.Readings, T: c.Zero.T.Duration(), Return: value(c.Zero.Return), HasReturn: c.Zero.Return != nil,
		},
		Strokes: pull.Strokes{Count: c.Strokes.Count, Gain: value(c.Strokes.Gain), Best: value(c.Strokes.Best)},
	}
	if b := c.Break; b != nil {
		s.Break = &pull.Break{T: b.T.Duration(), Specimen: value(b.Specimen), Fall: b.Fall.Duration(), Provisional: b.Provisional}
	}
	if a := c.Apart; a != nil {
		s.Apart = pull.Apart{Lag: value(a.Lag), Most: value(a.Most)}
	}
	if y := c.Yield; y != nil {
		s.Yield = &pull.YieldDrop{Upper: point(y.Upper), Lower: point(y.Lower)}
	}
	if p := c.FirstYield; p != nil {
		s.FirstYield = &pull.FirstYield{T: p.T.Duration(), Specimen: value(p.Specimen), Stress: value(p.Stress), Method: p.Method}
	}
	if p := c.Hold; p != nil {
		s.Hold = &pull.Hold{From: p.From.Duration(), For: p.Held.Duration(), Force: value(p.Target), Lowest: value(p.Lowest), Lost: value(p.Lost), Met: p.Met}
	}
	last, seen := lastValid(chain, tail, &s)
	if seen {
		s.Live = pointOf(chain, last, s.Zero.Pressure, h.Specimen.Area())
	}
	alarms(&s, c)
	limits(&s, h, c, chain, last.Raw, seen)
	return s
}

// lastValid finds the newest reading that can be trusted, and sets what the state
// says of the newest one.
func lastValid(chain rig.Chain, tail []pull.Reading, s *pull.State) (r pull.Reading, ok bool) {
	newest := true
	for i := len(tail) - 1; i >= 0; i-- {
		r := tail[i]
		if r.Mark == pull.Lost || r.Mark == pull.Silent {
			newest = false
		}
		if r.Mark != pull.NoMark {
			continue
		}
		_, sig := chain.Pressure(r.Raw)
		if newest {
			s.Signal = sig
		}
		if sig == rig.OK {
			s.Seen = newest && s.T-r.T < freshFor
			return r, true
		}
		newest = false
	}
	return pull.Reading{}, false
}

// alarms are those kept at the end, with what they mean together.
func alarms(s *pull.State, c *record.Closing) {
	for _, a := range c.Alarms {
		out := pull.Alarm{
			Limit: a.Limit, Text: a.Text, Raised: a.Raised.Duration(),
			Single: a.Single, Blind: a.Blind, Ahead: a.Ahead, Acked: a.Acked, Returned: a.Returned,
		}
		for l := pull.Caution; l <= pull.Stop; l++ {
			if l.String() == a.Level {
				out.Level = l
			}
		}
		out.Load = float64(value(a.LoadForce))
		if a.LoadPressure != nil {
			out.Load, out.At = float64(*a.LoadPressure), rig.AtGauge
		}
		for _, l := range c.Limits {
			if l.Name == a.Limit {
				out.At = l.At
				out.Allow = max(float64(value(l.AllowableForce)), float64(value(l.AllowablePressure)))
			}
		}
		if !a.Returned {
			s.Worst = max(s.Worst, out.Level)
		}
		if out.Level == pull.Stop && !out.Single {
			s.TripOK = false
		}
		s.Alarms = append(s.Alarms, out)
	}
}

// limits are those of the rig, with how near each came and how near it is by the
// last reading.
func limits(s *pull.State, h record.Head, c *record.Closing, chain rig.Chain, raw float64, seen bool) {
	abs, _ := chain.Pressure(raw)
	for _, b := range h.Rig.Bounds() {
		zero := si.Pressure(0)
		if b.Limit.At == rig.AtGauge {
			zero = s.Zero.Pressure
		}
		l := pull.Limit{
			Name: b.Limit.Name, At: b.Limit.At, Allowable: b.Allowable,
			AtForce: chain.Specimen(b.PressureAt(1) - zero),
		}
		if seen {
			p := abs - s.Zero.Pressure
			l.Load, l.Ratio = b.Load(p, abs), b.Ratio(p, abs)
		}
		for _, kept := range c.Limits {
			if kept.Name == l.Name {
				l.PeakRatio = value(kept.PeakRatio)
			}
		}
		for _, a := range s.Alarms {
			if a.Limit == l.Name && !a.Returned && !a.Ahead {
				l.Level = max(l.Level, a.Level)
			}
		}
		s.Limits = append(s.Limits, l)
		if n := len(s.Limits) - 1; s.Nearest < 0 || l.PeakRatio > s.Limits[s.Nearest].PeakRatio {
			s.Nearest = n
		}
	}
}

// pointOf is a reading in every quantity.
func pointOf(chain rig.Chain, r pull.Reading, zero si.Pressure, area si.Area) pull.Point {
	abs, _ := chain.Pressure(r.Raw)
	p := abs - zero
	f := chain.Specimen(p)
	out := pull.Point{T: r.T, Raw: r.Raw, Gauge: p, Ram: chain.Ram(p), Specimen: f}
	if area > 0 {
		out.Stress = si.StressOn(f, area)
	}
	return out
}

// point is a point as it stands in pull.json; what is not known is 0 there.
func point(p *record.Point) pull.Point {
	if p == nil {
		return pull.Point{}
	}
	return pull.Point{
		T: p.T.Duration(), Raw: value(p.Raw), Gauge: value(p.Gauge), Ram: value(p.Ram),
		Specimen: value(p.Specimen), Stress: value(p.Stress),
	}
}

// value is what a pointer points to, 0 where it is nil: not known.
func value[T any](p *T) (v T) {
	if p != nil {
		v = *p
	}
	return v
}
