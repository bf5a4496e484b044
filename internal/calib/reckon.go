package calib

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"draghand/internal/gum"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// The lines a person may choose between.
const (
	ThroughZero = "through-zero"
	Offset      = "offset"
)

// Options is what a person decides. The zero value leaves all to the points.
type Options struct {
	Line      string    // ThroughZero or Offset; "": what the points say
	Due       time.Time // zero: a year after it was made
	Drop      []int     // indices of points that a person leaves out
	Simulated bool      // the points are from a simulated source
	Replaces  string    // ID of the calibration whose place it takes; "": none
}

// MissingError says why a run gives no answer, and what to do about it.
type MissingError struct{ What, Do string }

func (e *MissingError) Error() string { return e.What }

// Next is what to do about it.
func (e *MissingError) Next() string { return e.Do }

func missing(do, format string, a ...any) error {
	return &MissingError{What: fmt.Sprintf(format, a...), Do: do}
}

// leastRising points make a line: two would fit any line without a residue.
const leastRising = 3

// confidence of every interval and test here; 5 % of good runs are told
// something that is not so.
const confidence = 0.95

// Reckon is what a run says. The error is a *MissingError where too little was
// taken, or what was taken cannot be so.
func Reckon(run Run, o Options) (Answer, error) {
	k, err := newReckoner(run, o)
	if err != nil {
		return Answer{}, err
	}
	a := Answer{Suspect: -1, Levels: []Level{}, Claims: []string{}, Remarks: []string{}, Residuals: []Residual{}}
	if err := k.lines(&a); err != nil {
		return Answer{}, err
	}
	k.choose(&a)
	k.residuals(&a)
	k.suspect(&a)
	a.Rubbing = k.rubbing(&a)
	k.levels(&a)
	k.claims(&a)
	k.remarks(&a)
	return a, k.calibration(&a)
}

// reckoner is a run made ready.
type reckoner struct {
	run    Run
	o      Options
	rig    *rig.Rig // with the bar's place as the reference stood
	sys    si.System
	dir    []Direction // of each point; "" where it is left out or stands at nothing
	rising []int       // indices
	x, y   []float64   // of the rising points: Pa, and Pa or N

	fallingSuspect int    // index of the one bad falling point; −1: none
	noFriction     string // why the friction cannot be told; empty: it can, or too little was taken
}

func newReckoner(run Run, o Options) (*reckoner, error) {
	switch {
	case run.Rig == nil:
		return nil, missing("name the rig file", "no rig: what was held against the reference is not known")
	case run.At != rig.AtGauge && run.At != rig.AtRam && run.At != rig.AtSpecimen:
		return nil, missing("write gauge, ram or specimen", "%q is no place of a reference", run.At)
	case run.Far && (run.At != rig.AtSpecimen || run.Rig.Path.Kind != rig.TwoSided):
		return nil, missing("leave the far side away", "only the specimen's place of a two-sided rig has a far side")
	case strings.TrimSpace(run.Reference.Text) == "":
		return nil, missing("say in words what the reference was, with its number if it has one", "the reference has no name")
	case !(run.Reference.U >= 0 && run.Reference.U <= 0.2):
		return nil, missing("give it as a fraction of the value, such as 0.3 %", "the reference's uncertainty %v is not between 0 and 20 %%", run.Reference.U)
	case !(run.ZeroU >= 0):
		return nil, missing("leave it away", "the zero's uncertainty %v is none", float64(run.ZeroU))
	case o.Line != "" && o.Line != ThroughZero && o.Line != Offset:
		return nil, missing("write "+ThroughZero+" or "+Offset, "%q is no line", o.Line)
	case run.Made.IsZero():
		return nil, missing("give the day", "it is not said when the points were taken")
	case !o.Due.IsZero() && !o.Due.After(run.Made):
		return nil, missing("give a later day", "it would be due before it was made")
	}
	k := &reckoner{run: run, o: o, rig: run.Rig.BarOn(run.Far), sys: run.Rig.Units, dir: make([]Direction, len(run.Points)), fallingSuspect: -1}
	for i, p := range run.Points {
		if f := float64(p.Gauge); p.Reference-p.Reference != 0 || f-f != 0 {
			return nil, missing("take it again", "point %d is no number", i+1)
		}
		if p.Direction != Rising && p.Direction != Falling {
			return nil, missing("write rising or falling", "point %d: %q is no direction", i+1, p.Direction)
		}
		if p.Reference == 0 || slices.Contains(o.Drop, i) {
			continue // nothing there is the zero's matter
		}
		if !(p.Reference > 0 && p.Gauge > 0) {
			return nil, missing("look at the sign, at the zero and at the order of the columns", "point %d: the reference says %s where the gauge stands at %s: neither may be under nothing", i+1, k.value(p.Reference), p.Gauge.Text(k.sys))
		}
		if top := run.Rig.Sensor.High; p.Gauge > top*(1+1e-9) {
			return nil, missing("look at the unit of the gauge column, and at the sensor's range in the rig file; what lies beyond the range is no reading",
				"point %d: the gauge stands at %s, and the sensor ends at %s", i+1, p.Gauge.Text(k.sys), top.Text(k.sys))
		}
		k.dir[i] = p.Direction
		if p.Direction == Rising {
			k.rising = append(k.rising, i)
			k.x, k.y = append(k.x, float64(p.Gauge)), append(k.y, p.Reference)
		}
	}
	for _, i := range o.Drop {
		if i < 0 || i >= len(run.Points) {
			return nil, missing(fmt.Sprintf("points count from 1 to %d", len(run.Points)), "there is no point %d to leave out", i+1)
		}
	}
	if n := len(k.rising); n < leastRising {
		return nil, missing(fmt.Sprintf("take %d more, rising, over the range the bars break in; five make an answer worth having", leastRising-n),
			"%d of %d rising points: too few for a line", n, leastRising)
	}
	return k, nil
}

// value is a value of the reference in words.
func (k *reckoner) value(v float64) string { return ValueText(k.run.At, v, k.sys) }

// ValueText is a value of a reference at a place, Pa at the gauge and else N, in
// words.
func ValueText(at rig.Place, v float64, sys si.System) string {
	if at == rig.AtGauge {
		return si.Pressure(v).Text(sys)
	}
	return si.Force(v).Text(sys)
}

func (k *reckoner) lines(a *Answer) (err error) {
	if !(spread(k.x) > 1e-3*largest(k.x)) {
		return missing("take points over the range the bars break in, the lowest at a fifth of the highest or less",
			"all rising points stand at one pressure, %s: that gives no line", si.Pressure(k.x[0]).Text(k.sys))
	}
	if a.Line, err = Fit(k.x, k.y); err == nil {
		a.Zero, err = FitThroughZero(k.x, k.y)
	}
	if err != nil {
		return missing("look at the table for a slipped unit", "no line can be drawn: %v", err)
	}
	if !(a.Line.Slope > 0 && a.Zero.Slope > 0) {
		return missing("look at the order of the columns", "the reference does not rise with the gauge")
	}
	return nil
}

// choose takes a line.
func (k *reckoner) choose(a *Answer) {
	t := gum.T(confidence, float64(a.Line.DoF))
	off, edge := a.Line.Offset, t*a.Line.OffsetU
	clear := offsetClear(a.Line, k.y)
	said := fmt.Sprintf("the free line's offset is %s ± %s (95 %%)", k.signed(off), k.value(edge))
	switch {
	case k.o.Line == Offset && !clear:
		a.Taken, a.TakenWhy = Offset, "asked for, though "+said+", which may be nothing"
	case k.o.Line == Offset:
		a.Taken, a.TakenWhy = Offset, "asked for; "+said
	case k.o.Line == ThroughZero && clear:
		a.Taken, a.TakenWhy = ThroughZero, "asked for, though "+said+", which is not nothing: the points do not lie on a line through zero"
	case k.o.Line == ThroughZero:
		a.Taken, a.TakenWhy = ThroughZero, "asked for; "+said+", which may be nothing"
	case clear:
		a.Taken, a.TakenWhy = Offset, said+", which is not nothing"
	default:
		a.Taken, a.TakenWhy = ThroughZero, said+", which may be nothing: no pressure is no force"
	}
}

// offsetClear says whether a free line's offset is not nothing, at 95 %.
func offsetClear(l Line, y []float64) bool {
	return math.Abs(l.Offset) > max(gum.T(confidence, float64(l.DoF))*l.OffsetU, 1e-9*largest(y))
}

// signed is a value with its sign.
func (k *reckoner) signed(v float64) string {
	if v < 0 {
		return "−" + k.value(-v)
	}
	return "+" + k.value(v)
}

// Used is the line that is taken.
func (a *Answer) Used() Line {
	if a.Taken == Offset {
		return a.Line
	}
	return a.Zero
}

// dueAfter is how long a calibration is good for where nobody says: a year is
// common practice, and what ASTM E4 recommends (from memory; no source for a rig
// that somebody built at home).
const dueAfter = 1 // year

// calibration fills what is saved.
func (k *reckoner) calibration(a *Answer) error {
	r, l := k.run.Rig, a.Used()
	due := k.o.Due
	if due.IsZero() {
		due = k.run.Made.AddDate(dueAfter, 0, 0)
	}
	c := rig.Calibration{
		ID: NewID(k.run.Made, r.Name, k.run.At, k.run.Far), Made: k.run.Made.UTC(), Due: due.UTC(), Rig: r.Name,
		Sensor: r.Sensor, Role: r.Ram.Role, Path: r.Path, At: k.run.At, Far: k.run.Far, Simulated: k.o.Simulated,
		Reference: k.run.Reference.Text, Certificate: k.run.Reference.Certificate, ReferenceU: k.run.Reference.U,
		Line: rig.CalibrationLine{
			Offset: l.Offset, Slope: l.Slope, ThroughZero: l.ThroughZero,
			Low: si.Pressure(slices.Min(k.x)), High: si.Pressure(slices.Max(k.x)),
			Points: l.Points, SD: l.SD, Mean: si.Pressure(l.Mean), SumSquares: l.SumSquares, ZeroU: k.run.ZeroU,
		},
		Claims: a.Claims, Remarks: a.Remarks, Rubbing: a.Rubbing,
	}
	c.Path.BarFar = false
	c.RamArea, c.RamAreaTol = r.Ram.Area, r.Ram.AreaTol
	if err := c.Validate(); err != nil {
		do := "look at the table: the units, the order of the columns, the rig file's ram and sensor"
		if hint := k.unitOfAll(l.Slope); hint != "" {
			do = hint
		}
		return missing(do, "the points make no calibration of this rig: %v", err)
	}
	a.Calibration = c
	return nil
}

// byFile is what the rig file alone makes of each Pa at the reference's place.
func (k *reckoner) byFile() float64 {
	plain := *k.rig
	plain.Calibration = nil
	c := plain.Chain()
	switch k.run.At {
	case rig.AtGauge:
		return 1
	case rig.AtRam:
		return c.RamPer()
	}
	return c.SpecimenPer()
}

// unitOfAll says that all points slipped by one unit.
func (k *reckoner) unitOfAll(slope float64) string {
	if by := k.byFile(); by > 0 {
		if u := slipOf(slope / by); u != "" {
			return "all points are off by what a slipped unit would make (" + u + "): look at the units of the table"
		}
	}
	return ""
}

// NewID is the name of a calibration: day, rig and place.
func NewID(made time.Time, name string, at rig.Place, far bool) string {
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= 40 {
			break
		}
	}
	slug := strings.Trim(b.String(), "-")
	if slug == "" {
		slug = "rig"
	}
	place := string(at)
	if far {
		place += "-far"
	}
	return made.Format(time.DateOnly) + "-" + slug + "-" + place
}
