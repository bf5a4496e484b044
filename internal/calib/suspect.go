package calib

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"draghand/internal/gum"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// residuals holds every point against the taken line.
func (k *reckoner) residuals(a *Answer) {
	l := a.Used()
	a.Residuals = make([]Residual, len(k.run.Points))
	for i, p := range k.run.Points {
		a.Residuals[i].Residual = p.Reference - l.At(float64(p.Gauge))
	}
	up := k.up()
	for j, s := range up.studentised(l) {
		i := up.at[j]
		a.Residuals[i].Leverage = l.leverage(up.x[j])
		a.Residuals[i].Student = s
	}
}

// mostStudent bounds what is told: among points on one line to the last bit a
// single one off it has no bound.
const mostStudent = 1e6

// branch is the points of one direction.
type branch struct {
	at   []int // their places in the run
	x, y []float64
	sd   []si.Pressure // of their readings
}

func (k *reckoner) up() branch {
	b := branch{at: k.rising, x: k.x, y: k.y}
	for _, i := range k.rising {
		b.sd = append(b.sd, k.run.Points[i].SD)
	}
	return b
}

func (k *reckoner) down() (b branch) {
	for i, d := range k.dir {
		if p := k.run.Points[i]; d == Falling {
			b.at, b.x, b.y = append(b.at, i), append(b.x, float64(p.Gauge)), append(b.y, p.Reference)
			b.sd = append(b.sd, p.SD)
		}
	}
	return b
}

// line is the line through them, through zero or free.
func (b branch) line(zero bool) (Line, error) {
	if zero {
		return FitThroughZero(b.x, b.y)
	}
	return Fit(b.x, b.y)
}

// studentised are the points' residuals, each over what the other points say it may
// be (externally studentised: Student's t with DoF − 1).
func (b branch) studentised(l Line) []float64 {
	out := make([]float64, len(b.x))
	if l.DoF < 2 {
		return out
	}
	rss := l.SD * l.SD * float64(l.DoF)
	least := 1e-9 * largest(b.y) // roundings
	for j := range b.x {
		h := 1 - l.leverage(b.x[j])
		e := b.y[j] - l.At(b.x[j])
		if !(h > 1e-9) {
			continue
		}
		s := math.Sqrt(max(0, (rss-e*e/h)/float64(l.DoF-1)))
		out[j] = max(-mostStudent, min(mostStudent, e/(max(s, least)*math.Sqrt(h))))
	}
	return out
}

// leastNamed is how many points of one way it takes to say that one does not fit: of
// fewer, a good one may look bad beside a bad one.
const leastNamed = 5

// suspect finds the one bad point among good ones, of the rising and of the falling
// ones by themselves. The rising one is told first: the line is drawn through it.
func (k *reckoner) suspect(a *Answer) {
	zero := a.Taken != Offset
	up, down := k.up(), k.down()
	if j, by, ok := up.worst(zero); ok {
		a.Suspect, a.SuspectWhy = up.at[j], k.why(up, j, by)
	}
	if j, by, ok := down.worst(zero); ok {
		k.fallingSuspect = down.at[j]
		if a.Suspect < 0 {
			a.Suspect, a.SuspectWhy = down.at[j], k.why(down, j, by)
		}
	}
}

// worst is the largest studentised residual, if it is more than the largest of so
// many may be (Bonferroni, 5 %), and the line that says so. That of the taken kind is
// asked first; a bad point can also hide by what it did to the choice of the line, so
// that the other one is asked after, for a fifth of the 5 %. One that lies off by less
// than its own readings scatter is not named.
func (b branch) worst(zero bool) (worst int, by bool, ok bool) {
	if len(b.x) < leastNamed {
		return 0, zero, false
	}
	for n, by := range []bool{zero, !zero} {
		l, err := b.line(by)
		if err != nil || l.DoF < 2 {
			continue
		}
		t, chance := b.studentised(l), []float64{0.8, 0.2}[n]*(1-confidence)
		worst := 0
		for j := range t {
			if math.Abs(t[j]) > math.Abs(t[worst]) {
				worst = j
			}
		}
		if math.Abs(t[worst]) > gum.T(1-chance/float64(len(t)), float64(l.DoF-1)) && (by == zero || b.straightWithout(worst, by)) &&
			math.Abs(b.y[worst]-l.At(b.x[worst])) > float64(b.sd[worst])*l.Slope {
			return worst, by, true
		}
	}
	return 0, zero, false
}

// without are all points but one.
func (b branch) without(j int) branch {
	return branch{x: slices.Delete(slices.Clone(b.x), j, j+1), y: slices.Delete(slices.Clone(b.y), j, j+1)}
}

// straightWithout says whether a point, left out, would change which line is taken:
// only then does the line that is not taken say anything against it.
func (b branch) straightWithout(j int, zero bool) bool {
	l, err := b.without(j).line(false)
	return err == nil && offsetClear(l, b.y) != zero
}

// why says what would make such a point.
func (k *reckoner) why(b branch, j int, zero bool) string {
	i := b.at[j]
	p := k.run.Points[i]
	l, err := b.without(j).line(zero)
	if err != nil {
		return ""
	}
	want := l.At(float64(p.Gauge))
	text := k.asTyped(p)
	off := text(math.Abs(p.Reference - want))
	if p.Reference < want {
		off = "−" + off
	} else {
		off = "+" + off
	}
	said := fmt.Sprintf("point %d says %s where the others would have %s, %s off", i+1, p.ReferenceText(k.run.At, k.sys), text(want), off)
	near := max(3*l.NewU(float64(p.Gauge)), 0.002*want)
	if u := slipOf(p.Reference / want); u != "" {
		return said + ": a slipped unit would make that (" + u + ")"
	}
	for _, s := range k.swaps(p) {
		if math.Abs(s.value-want) <= near {
			return said + fmt.Sprintf(": two digits swapped would make that, %s in place of %s", s.text, p.ReferenceText(k.run.At, k.sys))
		}
	}
	if ch := k.rig.Chain(); p.Raw != 0 {
		zero, _ := ch.Pressure(k.run.Zero)
		for _, raw := range swapped(p.Raw) {
			if v, s := ch.Pressure(raw); s == rig.OK && math.Abs(l.At(float64(v-zero))-p.Reference) <= near {
				return said + fmt.Sprintf(": two digits of the reading swapped would make that, %g in place of %g", raw, p.Raw)
			}
		}
	}
	if usual := b.usualSD(k.run.Points, j); usual > 0 && float64(p.SD) > 3*usual {
		return said + fmt.Sprintf(": its readings scatter by %s, the others by %s: it was read before the reading had settled", p.SD.Text(k.sys), si.Pressure(usual).Text(k.sys))
	}
	return said + ": see whether the reading had settled when it was taken, and whether the reference was read at the same moment"
}

// usualSD is the median scatter of the other points' readings, Pa; 0: not stated.
func (b branch) usualSD(points []Point, but int) float64 {
	var sd []float64
	for j, i := range b.at {
		if p := points[i]; j != but && p.SD > 0 {
			sd = append(sd, float64(p.SD))
		}
	}
	if len(sd) == 0 {
		return 0
	}
	slices.Sort(sd)
	return sd[len(sd)/2]
}

// slips are what units mistaken for one another make.
var slips = []struct {
	ratio float64
	words string
}{
	{si.PoundForce, "pounds-force taken for newtons, or the other way round"},
	{si.KilogramForce, "kilograms-force taken for newtons, or the other way round"},
	{si.KilogramForce / si.PoundForce, "kilograms-force and pounds-force, or the other way round"},
	{si.Bar / si.PSI, "bar and psi, or the other way round"},
	{si.Megapascal / si.PSI, "MPa and psi, or the other way round"},
	{10, "a point one place off, or bar and MPa"},
	{100, "a point two places off"},
	{1000, "a thousandfold: N and kN"},
	{1000 / si.PoundForce, "kN and lbf, or the other way round"},
}

// slipOf names the unit that a ratio smells of; empty: none.
func slipOf(ratio float64) string {
	for _, s := range slips {
		for _, r := range []float64{s.ratio, 1 / s.ratio} {
			if math.Abs(ratio/r-1) < 0.03 {
				return s.words
			}
		}
	}
	return ""
}

// swapped are the numbers that two neighbouring digits of v swapped make, of a
// number somebody can have written: six digits or less.
func swapped(v float64) []float64 {
	short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	if err != nil || math.Abs(short-v) > 1e-9*math.Abs(v) || !(v > 0 && v < 1e9) {
		return nil
	}
	text := []byte(strconv.FormatFloat(short, 'f', -1, 64))
	var out []float64
	last := -1
	for i, c := range text {
		if c < '0' || c > '9' {
			continue
		}
		if last >= 0 && text[last] != c {
			text[last], text[i] = text[i], text[last]
			if w, err := strconv.ParseFloat(string(text), 64); err == nil {
				out = append(out, w)
			}
			text[last], text[i] = text[i], text[last]
		}
		last = i
	}
	return out
}
