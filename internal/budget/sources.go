package budget

import (
	"fmt"
	"math"

	"draghand/internal/gum"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// row is a source of doubt: an error about 0 that is added to its place.
type row struct {
	gum.Input
	into  place
	value float64 // of what it is about, for the table
	unit  string
}

// table gathers the sources and the notes.
type table struct {
	rows  []row
	notes []string
}

func (t *table) note(format string, a ...any) { t.notes = append(t.notes, fmt.Sprintf(format, a...)) }

// add puts a source into the table; one without doubt is left out.
func (t *table) add(r row) {
	if r.U != 0 { // no number is refused further on
		t.rows = append(t.rows, r)
	}
}

// limit is a source of which a limit of error ± is stated: evenly likely within
// (GUM 4.3.7).
func (t *table) limit(of string, into place, value, limit float64, unit string, common bool, source string) {
	t.add(row{gum.Input{Name: of, U: limit / math.Sqrt(3), Dist: gum.Uniform, Common: common, Source: source + ", evenly likely within"}, into, value, unit})
}

// scatter is the name of the one estimate that two lines of a calibration share.
const scatter = "scatter about the calibration line"

// lines of the budget that plan and others look for by name.
const (
	gaugeAccuracy = "gauge accuracy"
	readingsApart = "readings apart"
	oneCount      = "one count"
	dialByEye     = "dial, read by eye"
	ramArea       = "ram area"
	sealFriction  = "seal friction"
	theShare      = "share"
	flatBearing   = "flat bearing"
)

// gauge is what the reading itself leaves open.
func (t *table) gauge(r *rig.Rig, p Peak) {
	at := float64(p.Gauge)
	reading := func(of string, u float64, d gum.Dist, source string) {
		t.add(row{gum.Input{Name: of, U: u, Dist: d, Source: source}, toPressure, at, "Pa"})
	}
	if p.Step > 0 {
		t.limit(dialByEye, toPressure, at, float64(p.Step), "Pa", false, "how far the reading of the dial may be off, as stated")
		t.note("how closely the dial was read is in it as stated, ± for the reading alone: the dial's own accuracy is taken to be what the rig file states for its sensor")
	} else if step := float64(r.Chain().Step()); step > 0 {
		t.limit(oneCount, toPressure, at, step/2, "Pa", false, "half of what one count of the converter is worth")
	}
	reading("zero", float64(p.ZeroU), gum.Normal, "scatter of the readings of the zero, and how far it had moved by the end")
	if p.ZeroU == 0 && p.Step == 0 {
		t.note("how well the zero is known was not stated and is not in it")
	}
	n := max(1, p.Median)
	words := "scatter of one reading at no load"
	if n > 1 {
		words = fmt.Sprintf("scatter of one reading at no load, of a median of %d", n)
	}
	reading("noise at the peak", float64(p.Noise)*ofMedian(n), gum.Normal, words)
	reading("bias of the drag hand", math.Abs(float64(p.Bias)), gum.Uniform,
		"the whole of what the largest of noisy readings is expected to lie too high by; it is not taken off")
	reading(readingsApart, apartU(float64(p.ApartLag), float64(p.ApartMost)), gum.Uniform,
		"the rms of what the force may have risen by after the drag hand's reading, until the first of the fall; it is not added")
}

// apartU is the root of the mean square of an error that is anywhere between two
// limits of one sign: √(a² + a·g + g²/3) with g = b − a. Nothing is corrected for it,
// so what it is expected to be belongs into its uncertainty (GUM F.2.4.5, from
// memory).
func apartU(a, b float64) float64 {
	g := b - a
	return math.Sqrt(max(0, a*a+a*g+g*g/3))
}

// ofMedian is the SD of a median of n normal readings as a fraction of that of one,
// right to 1 % from 1 up (a usual approximation, from memory; a test draws it).
func ofMedian(n int) float64 {
	return math.Sqrt(math.Pi / 2 / (float64(n) + math.Pi/2 - 1))
}

// sensor is the doubt of the gauge pressure, the ram's force and the share by the
// rig file: what a calibration has not taken the place of.
func (t *table) sensor(r *rig.Rig, p Peak, m *model) {
	exact := []string{}
	stated := func(of string, into place, value, limit float64, unit, source string) {
		if limit <= 0 {
			exact = append(exact, of)
		}
		t.limit(of, into, value, limit, unit, true, source)
	}
	if m.cal == nil {
		limit, of := r.Sensor.Accuracy*float64(r.Chain().Range()), "full scale"
		if r.Sensor.AccuracyOfReading {
			limit, of = r.Sensor.Accuracy*float64(p.Gauge), "the reading"
		}
		stated(gaugeAccuracy, toPressure, float64(p.Gauge), limit, "Pa", fmt.Sprintf("the rig file's ± %.4g %% of %s", 100*r.Sensor.Accuracy, of))
	}
	if m.at != rig.AtRam && m.at != rig.AtSpecimen {
		if m.cal != nil || r.Sensor.Kind != rig.ForceOut { // a board that sends force took an area of its own
			stated(ramArea, toArea, float64(r.Ram.Area), float64(r.Ram.AreaTol), "m2", "the rig file's ±")
		}
		stated(sealFriction, toFriction, r.Ram.Friction, r.Ram.FrictionBand, "1", "the rig file's ±")
	}
	if m.at != rig.AtSpecimen {
		t.share(r.Path, &exact)
		if m.lost != 0 {
			exact = append(exact, "weight of the moving parts")
		}
	}
	if len(exact) > 0 {
		t.note("without a limit of error in the rig file, and so taken as exact: %s", words(exact))
	}
}

// share is the doubt of the part of the ram's force that reaches the bar.
func (t *table) share(p rig.Path, exact *[]string) {
	walk := p.Walk()
	limit, value := p.ShareTol-walk, p.BarShare()
	switch {
	case limit <= 1e-12 && p.Kind != rig.Direct:
		*exact = append(*exact, theShare)
	case p.ShareFound:
		// What draghand share prints is the 95 % interval of Student's t.
		t.add(row{gum.Input{
			Name: theShare, U: limit / 2, Dist: gum.Normal, Common: true,
			Source: "found by bars pulled on both sides: half of its ±, which is an interval of 95 %",
		}, toShare, value, "1"})
	case p.Kind == rig.TwoSided:
		t.limit(theShare, toShare, value, limit, "1", true, "both arms at the ends of their ± in the rig file")
	default:
		t.limit(theShare, toShare, value, limit, "1", true, "the rig file's ±")
	}
	if walk > 0 {
		t.limit(flatBearing, toShare, value, walk, "1", true, "half the width of the flat ram face over the sum of the arms")
		t.note("under the flat bearing the bar is likely to carry less than reckoned, not more: a half-round or a ball takes this away")
	}
}

// calibration is the doubt of the line that has taken the place of the rig file's
// figures.
func (t *table) calibration(c *rig.Calibration, p si.Pressure) {
	l := c.Line
	value := l.Value(p)
	unit := "N"
	if c.At == rig.AtGauge {
		unit = "Pa"
	}
	of := fmt.Sprintf("scatter of the %d points about the line of the calibration %s", l.Points, c.ID)
	t.add(row{gum.Input{
		Name: "calibration line", U: l.LineU(p), DoF: l.DoF(), Dist: gum.Student, Scatter: scatter, Common: true,
		Source: "how far the line may be off at this pressure, from the " + of,
	}, toLine, value, unit})
	t.add(row{gum.Input{
		Name: "scatter about the line", U: l.SD, DoF: l.DoF(), Dist: gum.Student, Scatter: scatter,
		Source: "one more reading, from the " + of,
	}, toLine, value, unit})
	t.add(row{gum.Input{
		Name: "reference", U: math.Abs(c.ReferenceU * value), Dist: gum.Normal, Common: true,
		Source: fmt.Sprintf("%.4g %% of the value, standard, as stated for %s", 100*c.ReferenceU, c.Reference),
	}, toLine, value, unit})
	if !(c.ReferenceU > 0) {
		t.note("the reference of the calibration states no uncertainty: its own doubt is not in it")
	}
	if straight := l.Offset + l.Slope*float64(p); straight != value {
		t.limit("below the points", toLine, value, math.Abs(straight-value), unit, true,
			"how far the straight way from nothing to the lowest point, which is taken, lies off the line itself")
	}
	if !l.Covers(p) {
		t.note("the peak lies outside the points of the calibration: the line is the less sure there, which is in it; whether it goes on straight is not")
	}
}

// size is the doubt of the section by the micrometer.
func (t *table) size(bar specimen.Specimen, m *model) {
	limit, stated := bar.SizeLimit()
	source := "the micrometer's ± as stated"
	if !stated {
		source = "no ± of the micrometer is stated: 0.01 mm is taken"
		t.note("no limit of error of the micrometer is stated: ± 0.01 mm (0.0004 in) is taken")
	}
	if m.round {
		t.limit("diameter", toSize, m.base[toSize], float64(limit), "m", true, source)
		if d := m.base[toSize]; bar.Taper()*d > 2*float64(limit) {
			t.note("the diameters differ by more than the micrometer can be off: that is the bar's shape, the smallest counts")
		}
		return
	}
	s := m.base[toSize]
	t.limit("section", toSize, s, math.Sqrt(3)*bar.AreaU()*s, "m2", true, source+", the same error in both sizes")
}

// words puts a list into a sentence.
func words(of []string) string {
	out := ""
	for i, w := range of {
		switch {
		case i == 0:
		case i == len(of)-1:
			out += " and "
		default:
			out += ", "
		}
		out += w
	}
	return out
}
