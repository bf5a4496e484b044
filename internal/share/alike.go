package share

import (
	"errors"
	"fmt"
	"math"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Bar is one pulled bar, as its record says.
type Bar struct {
	Record string
	Bar    specimen.Specimen
	Rig    *rig.Rig // with the bar where it stood
	Kind   pull.Kind
	State  pull.State
}

// Far says that it stood in the far side's place.
func (b Bar) Far() bool { return b.Rig.Path.BarFar }

// RamStress is the loaded ram force at the peak over the bar's section: less the
// weight of the moving parts, as far as that does not rest on the ram at zero.
func (b Bar) RamStress() si.Stress {
	return si.StressOn(b.State.Peak.Specimen/si.Force(b.Rig.Path.BarShare()), b.Bar.Area())
}

// Apparent is the strength by the share of the rig file.
func (b Bar) Apparent() si.Stress { return b.RamStress() * si.Stress(b.Rig.Path.BarShare()) }

// reading is the relative standard uncertainty of the peak by the steps it was
// read in: half a count, or a dial's stated ± division, either way, any place in
// it as likely (GUM, 4.3.7 and F.2.2.1). 0 where no step is known.
func (b Bar) reading() float64 {
	u := 0.0
	if eye, peak := b.State.Eye, b.State.Peak; eye != nil {
		u = float64(eye.Error / peak.Specimen)
	} else if peak.Gauge > 0 {
		u = float64(b.Rig.Chain().Step()/peak.Gauge) / 2
	}
	if !(u > 0) || math.IsInf(u, 0) {
		return 0
	}
	return u / math.Sqrt(3)
}

// Of finds the share from pulled bars. The error names everything that speaks
// against taking them together; what does not, and must be known, is among the
// remarks.
func Of(bars []Bar) (Answer, error) {
	if err := unlike(bars); err != nil {
		return Answer{}, err
	}
	var x [2][]si.Stress // near, far
	var reading [2]float64
	for _, b := range bars {
		side := 0
		if b.Far() {
			side = 1
		}
		x[side] = append(x[side], b.RamStress())
		reading[side] = max(reading[side], b.reading())
	}
	f, err := estimate(x[0], x[1], reading[0], reading[1])
	if err != nil {
		return Answer{}, err
	}
	return f.answer(bars), nil
}

// unlike is why bars cannot be taken together, all at once.
func unlike(bars []Bar) error {
	var errs []error
	seen := map[string]bool{}
	for i, b := range bars {
		bad := func(format string, a ...any) {
			errs = append(errs, fmt.Errorf("%s: "+format, append([]any{b.Record}, a...)...))
		}
		if seen[b.Record] {
			bad("named twice")
			continue
		}
		seen[b.Record] = true
		if why := b.Rig.TakesSides(); why != nil {
			bad("%w", why)
			continue
		}
		switch {
		case b.Rig.Calibration != nil && b.Rig.Calibration.At == rig.AtSpecimen:
			bad("its force is by the calibration %s in the bar's own place, which has the share in it: it says nothing of the share", b.Rig.Calibration.ID)
		case b.Kind != pull.Tension:
			bad("a %s says nothing of the strength of a bar", b.Kind)
		case b.State.Outcome != pull.Broken && b.State.Outcome != pull.Faded:
			bad("no break was seen, so its strength is not known")
		case !(b.Bar.Area() > 0):
			bad("its section was not measured")
		case !(b.State.Peak.Specimen > 0):
			bad("it has no peak")
		}
		first := bars[0]
		if what := otherRig(first.Rig, b.Rig); what != "" && i > 0 {
			bad("another %s than in %s: the rig must be the same but for the side", what, first.Record)
		}
		for _, c := range []struct{ what, a, b string }{
			{"alloy", first.Bar.Alloy, b.Bar.Alloy},
			{"melt", first.Bar.Melt, b.Bar.Melt},
		} {
			if c.a != c.b {
				bad("%s %q, and %s has %q: like bars of one stock are needed", c.what, c.b, first.Record, c.a)
			}
		}
		if first.Bar.Simulated != b.Bar.Simulated {
			bad("simulated and real bars do not go together")
		}
	}
	return errors.Join(errs...)
}

// otherRig names what differs between two rigs of what a force hangs on; empty
// where nothing does. The share itself may: it does not enter.
func otherRig(a, b *rig.Rig) string {
	p, q := a.Path, b.Path
	p.Share, p.ShareTol, p.ShareFound, p.BarFar = q.Share, q.ShareTol, q.ShareFound, q.BarFar
	switch {
	case a.Name != b.Name:
		return "rig"
	case a.Ram != b.Ram:
		return "ram"
	case a.Sensor != b.Sensor:
		return "sensor"
	case (a.Calibration == nil) != (b.Calibration == nil) || a.Calibration != nil && a.Calibration.ID != b.Calibration.ID:
		return "calibration"
	case p != q:
		return "load path"
	}
	return ""
}

// likeSize is how far diameters may differ without a remark.
const likeSize = 0.02

// remarks are what a reader of the share must know.
func (f Found) remarks(bars []Bar) []string {
	out := []string{}
	add := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	first := bars[0]
	if first.Bar.Simulated {
		add("simulated: no metal was broken for this")
	}
	if first.Bar.Melt == "" || first.Bar.Alloy == "" {
		add("melt or alloy is not stated: that these are like bars of one stock is your word")
	}
	if f.Near.N < Advised || f.Far.N < Advised {
		add("%d bars a side are advised: with %d the factor is %.1f", Advised, min(f.Near.N, f.Far.N), f.K)
	}
	if w := first.Rig.Path.Walk(); w > 0 {
		add("a flat bearing's walk of ± %.4f goes away from the bar wherever that stands: it does not show here, and the rig file keeps it on top", w)
	}
	small, large := first.Bar.Area(), first.Bar.Area()
	for _, b := range bars {
		small, large = min(small, b.Bar.Area()), max(large, b.Bar.Area())
		if n := b.State.Gaps; n > 0 {
			add("%s: the force was out of sight at times, its peak may be too low", b.Record)
		}
		if !b.State.Zero.Set && b.State.Eye == nil && !b.Rig.Sensor.Zeroed {
			add("%s: no zero was taken before the load", b.Record)
		}
	}
	if r := math.Hypot(f.Near.Reading, f.Far.Reading); r*r > f.Near.relative(f.Near.N)+f.Far.relative(f.Far.N) {
		add("the steps in which the peaks were read leave more open than the bars' scatter: more bars help little, a finer dial or converter does")
	}
	if large > small*(1+2*likeSize) {
		add("the sections differ by %.0f %%: cast bars of different size are seldom alike", 100*float64(large/small-1))
	}
	if f.Text() == "" {
		add("the bars scatter too much to tell a share: nothing is fit for the rig file")
	}
	return out
}
