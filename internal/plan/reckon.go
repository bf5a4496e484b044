package plan

import (
	"fmt"
	"math"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// reckoner is what every size of a plan has in common.
type reckoner struct {
	rig   *rig.Rig
	want  Strength
	sizeU si.Length
	chain rig.Chain
	part  *Part // that ends a pull first, whatever the bar; nil: none is known
	limit bool  // a part has a known limit at all
	sys   si.System
	alloy []alloyHigh
	elong float64 // of the metal at its break, by the table, a fraction; 0: not known
}

func newReckoner(a Ask) *reckoner {
	k := &reckoner{rig: a.Rig, want: a.Strength, sizeU: a.SizeU, chain: a.Rig.Chain(), sys: a.Units, alloy: uppers(a.Alloys)}
	if !(k.sizeU > 0) {
		k.sizeU = specimen.DefaultSizeU
	}
	k.part, k.limit = firstPart(a.Rig)
	k.elong = elongation(a.Alloys, a.Strength.Name)
	return k
}

// firstPart is what ends a pull first: a part at its stop, or the sensor's range.
func firstPart(r *rig.Rig) (part *Part, limit bool) {
	end, ok := r.FirstEnd()
	if !ok {
		return nil, false
	}
	part = &Part{
		Name: end.Part, At: end.Bound.Limit.At, Allowable: end.Bound.Allowable, SensorEnd: end.SensorEnd,
		Stop: At{end.Gauge, end.Ram, end.Specimen}, StopLeast: end.Least, bound: end.Bound, stop: r.Alarm.Stop,
	}
	warning := si.Pressure(min(1, r.Alarm.Warning/r.Alarm.Stop)) * end.Gauge
	if end.SensorEnd {
		part.At, part.Allowable = rig.AtGauge, float64(end.Gauge)
	} else {
		warning = end.Bound.PressureAt(min(r.Alarm.Warning, r.Alarm.Stop))
		if mode, ok := end.Bound.Limit.Governing(); ok {
			part.Mode = mode.Name
		}
	}
	part.Warning, part.WarningLeast = at(r.Chain(), warning), r.SpecimenLeast(warning)
	return part, end.Known
}

func at(c rig.Chain, p si.Pressure) At { return At{p, c.Ram(p), c.Specimen(p)} }

// load is the load in its three places at a force on the specimen.
func (k *reckoner) load(f si.Force) At {
	p := k.chain.PressureForSpecimen(f)
	return At{p, k.chain.Ram(p), f}
}

// size reckons a bar of which only the name and diameter are known.
func (k *reckoner) size(s Size) Size {
	d := float64(s.Diameter)
	s.Area = si.Area(math.Pi / 4 * d * d)
	on := func(t si.Stress) At { return k.load(si.Force(float64(t) * float64(s.Area))) }
	s.Low, s.High, s.Upper = on(k.want.Low), on(k.want.High), on(k.want.Upper)
	span := float64(k.chain.Range())
	use := func(l At) float64 { return float64(l.Gauge-k.rig.Sensor.Low) / span }
	s.UseLow, s.UseHigh, s.UseUpper = use(s.Low), use(s.High), use(s.Upper)
	s.UpperMost = s.Upper.Gauge
	if p, ok := k.rig.PressureMost(s.Upper.Specimen); ok {
		s.UpperMost = p
	}
	s.Margin = 1
	if k.part != nil {
		if k.limit { // else nothing but the end of what can be read is known
			s.Part = k.part.Name
		}
		stop := k.part.StopLeast
		s.Margin = -1 // a part that is past its stop without any bar
		if stop > 0 {
			s.Margin = 1 - float64(s.Upper.Specimen/stop)
		}
		s.Strongest = max(0, si.StressOn(stop, s.Area))
		s.StrongestTypical = s.Strongest / Above
		if k.limit {
			s.StrongestAlloy = strongest(k.alloy, si.StressOn(k.part.WarningLeast, s.Area))
		}
	}
	s.ForceStep = si.Force(float64(k.chain.Step()) * k.chain.SpecimenPer())
	s.StressStep = si.StressOn(s.ForceStep, s.Area)
	middle := (s.Low.Specimen + s.High.Specimen) / 2
	s.Budget = doubt(k.rig, k.chain.PressureForSpecimen(middle), s.Diameter, k.sizeU)
	s.Pace = pace(k.rig, s.Area, s.High.Ram)
	s.Pace.Stretch = stretch(k.rig, k.elong, s.GaugeLength)
	k.judge(&s)
	return s
}

// judge says what the size is worth, and why it is not good.
func (k *reckoner) judge(s *Size) {
	s.Verdict, s.Why = Good, []string{}
	sys := k.sys
	but := func(v Verdict, format string, args ...any) {
		if s.Verdict != No {
			s.Verdict = v
		}
		s.Why = append(s.Why, fmt.Sprintf(format, args...))
	}
	if k.part == nil || !k.limit {
		but(No, "no part has a known limit: nobody can say that the rig stands it")
	}
	if p := k.part; p != nil {
		does, early := "may come", p.early(", as early as ", k.sys)
		if s.Low.Specimen >= p.Stop.Specimen {
			does, early = "comes", ""
		}
		switch {
		case !(s.Upper.Specimen < p.StopLeast) && p.SensorEnd:
			but(No, "%s ends before the specimen has broken for sure", p.Name)
		case !(s.Upper.Specimen < p.StopLeast):
			but(No, "%s %s to its stop first, at %s on the specimen%s", p.Name, does, p.Stop.Specimen.Text(sys), early)
		case !s.keeps(p):
			but(Usable, "small margin: the strongest specimen stays %s %% below where %s may stop", si.Number(100*s.Margin, 0), p.Name)
		}
	}
	if s.UseLow < readFrom {
		but(Usable, "low in the gauge's range, from %s %%", si.Number(100*s.UseLow, 0))
	}
	if n := float64(s.Low.Specimen / s.ForceStep); s.ForceStep > 0 && n < leastCounts {
		but(Usable, "coarse: %s counts to the break", si.Number(math.Floor(n), 0))
	}
	if s.Budget.Expanded > sureTo {
		but(Usable, "the strength known to ± %s %% only, mostly by the %s", si.Number(100*s.Budget.Expanded, 1), s.Budget.Shares[0].Of)
	}
	switch r, spring, more := k.rig.Ram.Stroke, s.Pace.Advance, s.Pace.Stretch; {
	case !(r > 0):
	case spring > r:
		but(No, "the ram's stroke of %s ends before the rig has sprung by %s", r.Text(sys), spring.Text(sys))
	case spring+more > r:
		but(Usable, "the ram's stroke of %s may end first: the rig springs by %s, and the bar, stretching by %s %% on %s, takes %s",
			r.Text(sys), spring.Text(sys), si.Number(100*k.elong, 0), s.GaugeLength.Text(sys), more.Text(sys))
	}
}

// Least and most of an own diameter: below it no standard goes and a hundredth
// of a millimetre is nearly one percent of the section; above it no hand rig.
const (
	ownLeastMM = 2.5
	ownMostMM  = 50
	ownLeastIn = 0.1
	ownMostIn  = 2
)

// own is the largest round diameter, to 0.1 mm or 0.005 in, of which the
// strongest bar stays below the warning of the part that comes first; 0 where
// there is none, or no part has a known limit to say so. The margin is that
// between warning and stop: what is planned should raise no warning, so that one
// means something, and the person has that much left in which to let go.
func (k *reckoner) own(sys si.System) si.Length {
	if k.part == nil || !k.limit || !(k.part.WarningLeast > 0) {
		return 0
	}
	step, least, most := 0.1*si.Millimetre, ownLeastMM*si.Millimetre, ownMostMM*si.Millimetre
	if sys == si.US {
		step, least, most = 0.005*si.Inch, ownLeastIn*si.Inch, ownMostIn*si.Inch
	}
	d := math.Sqrt(4 / math.Pi * float64(k.part.WarningLeast) / float64(k.want.Upper))
	n := math.Floor(min(d, most)/step + 1e-9)
	for n > 0 && math.Pi/4*n*step*n*step*float64(k.want.Upper) > float64(k.part.WarningLeast) {
		n--
	}
	if d = n * step; d < least*(1-1e-9) {
		return 0
	}
	return si.Length(d)
}
