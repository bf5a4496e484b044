package calib

import (
	"fmt"
	"math"
	"slices"

	"draghand/internal/gum"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// What is worth a remark.
const (
	narrow   = 0.5   // the lowest point above this part of the highest
	zeroMost = 0.001 // of the highest point: what ISO 7500-1 allows class 1
)

// remarks says in words what a reader must know.
func (k *reckoner) remarks(a *Answer) {
	add := func(format string, v ...any) { a.Remarks = append(a.Remarks, fmt.Sprintf(format, v...)) }
	if k.o.Simulated {
		add("simulated: no rig was held against anything")
	}
	if a.Suspect >= 0 && k.dir[a.Suspect] == Rising {
		add("point %d does not fit the others and is in the line all the same: take it again, or leave it out", a.Suspect+1)
	}
	if i := k.fallingSuspect; i >= 0 {
		add("point %d, on the way down, does not fit the other falling ones and counts all the same: take it again, or leave it out", i+1)
	}
	if n := k.leftOut(); n > 0 {
		add("%d of %d points were left out by hand", n, len(k.run.Points)+max(0, k.run.Dropped))
	}
	k.remarkRuns(add)
	k.remarkRange(add)
	k.remarkFile(a, add)
	k.remarkReference(a, add)
	k.remarkCertificate(add)
}

// remarkRuns is about how the points were taken.
func (k *reckoner) remarkRuns(add func(string, ...any)) {
	falling := 0
	runs := map[int]bool{}
	for i, d := range k.dir {
		if d == Falling {
			falling++
		}
		if d == Rising {
			runs[k.run.Points[i].Run] = true
		}
	}
	switch {
	case falling < 2 && k.run.At != rig.AtGauge:
		add("%s falling: the friction is not known from this run", count(falling, "point"))
	case falling < 2:
		add("%s falling: whether the gauge reads another way then is not known", count(falling, "point"))
	}
	if len(runs) == 1 {
		add("one run only: how well it comes back is not known")
	}
	if n := len(k.rising); n < 5 {
		add("%d rising points: the line is little sure of itself; five are advised", n)
	}
	switch z := k.zeroReturn(); {
	case z == nil:
		add("the zero was not taken again after the points")
	case math.Abs(*z) > zeroMost:
		add("the zero moved by %.2f %% of the highest point during the run: let it settle and take the points again", 100**z)
	}
}

// remarkRange is about where the points lie.
func (k *reckoner) remarkRange(add func(string, ...any)) {
	low, high := si.Pressure(slices.Min(k.x)), si.Pressure(slices.Max(k.x))
	if low > narrow*high {
		add("the points span %s to %s only: forces outside of it are reckoned by the line, with a remark", low.Text(k.sys), high.Text(k.sys))
	}
	over := []string{}
	first := ""
	firstAt := si.Pressure(math.Inf(1))
	for _, b := range k.rig.Bounds() {
		if b.Ratio(high, high) > 1 {
			over = append(over, b.Limit.Name)
		}
		if at := b.PressureAt(k.rig.Alarm.Stop); b.Allowable > 0 && at < firstAt {
			first, firstAt = b.Limit.Name, at
		}
	}
	for _, name := range over {
		add("the highest point loaded %s over what it is allowed: look it over before the next pull", name)
	}
	if len(over) == 0 && first != "" && high < firstAt/2 {
		add("the highest point, %s, is under half of what stops a pull (%s at %s): pulls above it are outside of the calibrated range", high.Text(k.sys), first, firstAt.Text(k.sys))
	}
	if k.run.At == rig.AtGauge {
		return
	}
	refs := k.levelsOf()
	span := refs[len(refs)-1] - refs[0]
	for i := 1; i < len(refs) && span > 0; i++ {
		if d := (refs[i] - refs[i-1]) / span; d > spanMost+spacingSlack || d < spanLeast-spacingSlack {
			add("the levels are not spread as ASTM E4 has it, a twentieth to a third of the span apart: %s to %s is %.2f of it", k.value(refs[i-1]), k.value(refs[i]), d)
			break
		}
	}
}

// levelsOf are the references of the levels, rising.
func (k *reckoner) levelsOf() []float64 {
	all := slices.Sorted(slices.Values(k.y))
	out := all[:1:1]
	for _, v := range all[1:] {
		if v-out[len(out)-1] > levelGap*out[len(out)-1] {
			out = append(out, v)
		}
	}
	return out
}

// remarkFile holds the answer against what the rig file says.
func (k *reckoner) remarkFile(a *Answer, add func(string, ...any)) {
	high := si.Pressure(slices.Max(k.x))
	by, l := k.byFile(), a.Used()
	if by > 0 {
		ratio := l.At(float64(high)) / (by * float64(high))
		r := k.rig
		accuracy := r.Sensor.Accuracy
		if !r.Sensor.AccuracyOfReading {
			accuracy *= float64(r.Chain().Range() / high)
		}
		allowed := accuracy + 2*k.run.Reference.U + 2*l.MeanU(float64(high))/l.At(float64(high))
		what := "the sensor's accuracy"
		if k.run.At != rig.AtGauge {
			allowed += float64(r.Ram.AreaTol/r.Ram.Area) + r.Ram.FrictionBand
			what = "accuracy, area and friction"
		}
		if k.run.At == rig.AtSpecimen {
			allowed += r.Path.ShareTol / r.Path.BarShare()
			what = "accuracy, area, friction and share"
		}
		if off := ratio - 1; math.Abs(off) > allowed {
			add("at %s the reference says %+.1f %% against the rig file, which states no more than %.1f %% for %s: something in it is not as written; find out what before you trust either", high.Text(k.sys), 100*off, 100*allowed, what)
			if hint := k.unitOfAll(l.Slope); hint != "" {
				add("%s", hint)
			}
		}
	}
	k.remarkFriction(a, add)
}

// remarkFriction is about the friction, or why there is none.
func (k *reckoner) remarkFriction(a *Answer, add func(string, ...any)) {
	if k.noFriction != "" {
		add("%s", k.noFriction)
	}
	if f := a.Rubbing; f != nil {
		if a.Taken == ThroughZero && offsetClear(a.Line, k.y) {
			add("the friction is from lines through zero, and the points do not lie on one: it holds what the offset makes")
		}
		if edge := gum.T(confidence, f.DoF) * f.FrictionU; math.Abs(f.Friction) > oddFriction || edge > oddFriction {
			add("a friction of %.0f ± %.0f %% is none of a sound rig: look at the falling points, their units and directions", 100*f.Friction, 100*edge)
		} else if f.Friction < -edge {
			add("the friction comes out under nothing, %.2f %%: the ram's role in the rig file or the directions of the points are the wrong way round", 100*f.Friction)
		} else if r := k.rig.Ram; math.Abs(f.Friction-r.Friction) > edge+r.FrictionBand {
			add("the friction, %.2f ± %.2f %%, is not what the rig file has, %.2f ± %.2f %%", 100*f.Friction, 100*edge, 100*r.Friction, 100*r.FrictionBand)
		}
	}
}

// remarkReference is about what may be claimed, and why no more.
func (k *reckoner) remarkReference(a *Answer, add func(string, ...any)) {
	ref := k.run.Reference
	if k.run.At == rig.AtGauge {
		add("pressures were compared: the classes of ASTM E4 and ISO 7500-1 are of forces, none is stated")
		return
	}
	u := coverage * ref.U
	switch {
	case ref.Certificate == "":
		add("the reference has no certificate: no class is stated, whatever the figures")
	case ref.U == 0:
		add("the certificate's uncertainty is not stated: no class is stated, whatever the figures")
	case u > e4Error/ofClass+slack:
		add("the reference's uncertainty, ± %.2g %%, is more than a third of ASTM E4's 1 %%", 100*u)
	}
	if ref.Certificate == "" || ref.U == 0 {
		return
	}
	if _, ok := k.resolution(); !ok {
		add("the board sends no counts, so its resolution is not known: no class is stated")
	}
	if k.leftOut() > 0 {
		add("points were left out: no class is stated, whatever the figures of those that are left; for one take all of them anew")
	}
	if k.forgotten(a.Levels) {
		add("none of the falling points lies where the rising ones do: how far the rig comes back is not known, no class of ISO 7500-1 is stated")
	}
	if len(a.Levels) < leastLevels {
		add("%d levels: five are needed for a class", len(a.Levels))
	}
	series := math.MaxInt
	for _, l := range a.Levels {
		series = min(series, l.Readings)
	}
	if series < isoSeries {
		add("%s a level, rising: ISO 7500-1 needs three, ASTM E4 two", count(series, "reading"))
	}
}

func count(n int, thing string) string {
	switch n {
	case 0:
		return "no " + thing
	case 1:
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
