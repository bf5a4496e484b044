package specimen

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"draghand/internal/si"
)

// Bounds on what is written down after a pull.
const (
	MaxPhotos  = 20
	maxLooks   = 8
	maxPhoto   = 200 // characters of a file name
	maxFailed  = 100 // characters of the name of a part
	maxMinFrom = 300 // characters on where a minimum is from
	// mostStretch of a gauge length: no metal pulled cold comes near it, a wrong unit
	// does.
	mostStretch = 3.0
	// 1 MPa to 5 GPa: the bounds of what metals break at, see validExpected.
	lowMinimum, highMinimum si.Stress = 1 * si.Megapascal, 5000 * si.Megapascal
)

// Places are where a bar can break, in the order they are offered.
func Places() []Where { return []Where{MidGauge, OffMiddle, OffMarks, AtShoulder, InGrip} }

// FractureLooks are what a fracture can look like, in the order they are offered.
func FractureLooks() []Look {
	return []Look{CupCone, Slant, Flat, Coarse, Porous, Dross, ColdLap, Crushed}
}

// Empty says that nothing was measured or seen. A minimum is no measurement.
func (a After) Empty() bool {
	return len(a.Diameters) == 0 && len(a.Sections) == 0 && a.GaugeLength == 0 && a.Where == NotLookedAt &&
		len(a.Looks) == 0 && a.Failed == "" && len(a.Photos) == 0
}

// Against names everything at once that cannot be of a bar that was as before,
// each with what would be right, in the units of display. Words it does not know are among them: reading a
// record leaves those of a later program alone, writing one does not.
func (a After) Against(before Specimen, sys si.System) error {
	var errs []error
	errs = append(errs, a.sizesAgainst(before, sys)...)
	errs = append(errs, a.gaugeAgainst(before, sys)...)
	if a.Where != NotLookedAt && !slices.Contains(Places(), a.Where) {
		errs = append(errs, fmt.Errorf("%q is no place of a break: it is one of %s", string(a.Where), listed(Places())))
	}
	for i, l := range a.Looks {
		switch {
		case !slices.Contains(FractureLooks(), l):
			errs = append(errs, fmt.Errorf("%q is no look of a fracture: it is one or more of %s; say anything else in a remark", string(l), listed(FractureLooks())))
		case slices.Contains(a.Looks[:i], l):
			errs = append(errs, fmt.Errorf("the look %q stands twice: once is enough", string(l)))
		}
	}
	if len(a.Looks) > maxLooks {
		errs = append(errs, fmt.Errorf("%d looks are more than %d: a remark takes the rest", len(a.Looks), maxLooks))
	}
	errs = append(errs, plainText("the part that failed", a.Failed, maxFailed))
	if len(a.Photos) > MaxPhotos {
		errs = append(errs, fmt.Errorf("%d photos are more than %d: name the best", len(a.Photos), MaxPhotos))
	}
	for _, p := range a.Photos[:min(len(a.Photos), MaxPhotos)] {
		if strings.TrimSpace(p) == "" {
			errs = append(errs, errors.New("a photo without a name: write its file name, or leave it out"))
			continue
		}
		errs = append(errs, plainText("a photo's file name", p, maxPhoto))
	}
	if a.Minimum != 0 && !(a.Minimum >= lowMinimum && a.Minimum <= highMinimum) {
		bounds := "1 MPa to 5000 MPa"
		if sys == si.US {
			bounds = lowMinimum.Text(sys) + " to " + highMinimum.Text(sys)
		}
		errs = append(errs, fmt.Errorf("a minimum of %s is outside %s: see that the unit is right", a.Minimum.Text(sys), bounds))
	}
	if a.Minimum == 0 && a.MinimumFrom != "" {
		errs = append(errs, errors.New("it is said where a minimum is from, and there is none: write the minimum too"))
	}
	errs = append(errs, plainText("where the minimum is from", a.MinimumFrom, maxMinFrom))
	return errors.Join(errs...)
}

// sizesAgainst looks at the section at the break.
func (a After) sizesAgainst(before Specimen, sys si.System) (errs []error) {
	add := func(format string, v ...any) { errs = append(errs, fmt.Errorf(format, v...)) }
	if len(a.Diameters)+len(a.Sections) == 0 {
		return nil
	}
	if n := len(a.Diameters) + len(a.Sections); n > mostSize {
		add("%d sizes at the break are more than %d: write the least", n, mostSize)
		return errs
	}
	switch {
	case before.Shape == Round && len(a.Sections) > 0:
		add("the bar was round before the pull: write diameters at the break, not width or wall")
		return errs
	case before.Shape != Round && len(a.Diameters) > 0:
		add("the bar was %s before the pull: write its sizes at the break in the same way, %s", before.Shape.Word(), before.Shape.example(sys))
		return errs
	}
	limit, _ := before.SizeLimit()
	slack := 2 * limit // either measurement may be off by it
	if before.Shape == Round {
		if len(before.Diameters) == 0 {
			add("no diameter was measured before the pull: alone the final one tells nothing; keep it in a remark")
			return errs
		}
		first := slices.Max(before.Diameters)
		for _, d := range a.Diameters {
			switch {
			case !(d >= minSize && d <= maxSize):
				add("final diameter %s is outside %s: see that the unit is right", d.Size(sys), sizeBounds(minSize, sys))
			case d > first+slack:
				add("final diameter %s is above the first, %s: a bar that is pulled gets thinner; measure at the break again, or look whether it is this bar", d.Size(sys), first.Size(sys))
			}
		}
		return errs
	}
	if len(before.Sections) == 0 {
		add("no section was measured before the pull: alone the final one tells nothing; keep it in a remark")
		return errs
	}
	first := before.Sections[0]
	for _, c := range before.Sections {
		first = Section{max(first.Width, c.Width), max(first.Thickness, c.Thickness), max(first.Outer, c.Outer), max(first.Wall, c.Wall)}
	}
	for _, c := range a.Sections {
		errs = append(errs, c.within(first, before.Shape, slack, sys)...)
	}
	return errs
}

// within refuses a final section that is none, or larger than the first.
func (c Section) within(first Section, shape Shape, slack si.Length, sys si.System) (errs []error) {
	if (shape == Rectangular && (c.Outer != 0 || c.Wall != 0)) || (shape == Tube && (c.Width != 0 || c.Thickness != 0)) {
		return []error{fmt.Errorf("the bar was %s before the pull: write its sizes at the break in the same way, %s", shape.Word(), shape.example(sys))}
	}
	for _, one := range []struct {
		what       string
		now, first si.Length
		low        si.Length
	}{
		{"width", c.Width, first.Width, minWall},
		{"thickness", c.Thickness, first.Thickness, minWall},
		{"outer diameter", c.Outer, first.Outer, minSize},
		{"wall", c.Wall, first.Wall, minWall},
	} {
		if one.first == 0 && one.now == 0 { // of the other shape
			continue
		}
		switch {
		case !(one.now >= one.low && one.now <= maxSize):
			errs = append(errs, fmt.Errorf("final %s %s is outside %s: see that the unit is right", one.what, one.now.Text(sys), sizeBounds(one.low, sys)))
		case one.now > one.first+slack:
			errs = append(errs, fmt.Errorf("final %s %s is above the first, %s: a bar that is pulled gets thinner; measure at the break again, or look whether it is this bar", one.what, one.now.Size(sys), one.first.Size(sys)))
		}
	}
	if len(errs) == 0 && c.area(shape) <= 0 {
		errs = append(errs, fmt.Errorf("the final section %s is none: see that the sizes are the right way round", c.Text(shape, sys)))
	}
	return errs
}

// gaugeAgainst looks at the final gauge length.
func (a After) gaugeAgainst(before Specimen, sys si.System) []error {
	first, now := before.GaugeLength, a.GaugeLength
	switch {
	case now == 0:
		return nil
	case !(now > 0 && now <= (1+mostStretch)*2*si.Metre): // NaN too
		return []error{fmt.Errorf("final gauge length %s is none: see that the unit is right", now.Text(sys))}
	case first == 0:
		return []error{fmt.Errorf("final gauge length %s, and none was marked before the pull: there is no elongation; keep it in a remark", now.Text(sys))}
	case now < first:
		return []error{fmt.Errorf("final gauge length %s is shorter than before, %s: fit the halves together and measure between the same marks; where it did not stretch write %s", now.Text(sys), first.Text(sys), notUnder(first, sys))}
	case Elongation(first, now) > mostStretch:
		return []error{fmt.Errorf("final gauge length %s is an elongation of %.0f %% of %s, more than %.0f %%: see that the unit and the marks are right", now.Text(sys), 100*Elongation(first, now), first.Text(sys), 100*mostStretch)}
	}
	return nil
}

// notUnder is a length as a person can write it, rounded upwards.
func notUnder(l si.Length, sys si.System) string {
	if sys == si.US {
		return fmt.Sprintf("%.4f in", math.Ceil(float64(l)/si.Inch*1e4-1e-6)/1e4)
	}
	return fmt.Sprintf("%.2f mm", math.Ceil(float64(l)/si.Millimetre*1e2-1e-6)/1e2)
}

// sizeBounds are from the least size of its kind to the largest, in the units of
// display.
func sizeBounds(low si.Length, sys si.System) string {
	if sys == si.US {
		return low.Text(sys) + " to " + si.Length(maxSize).Text(sys)
	}
	return fmt.Sprintf("%.1f mm to %.0f mm", float64(low)/si.Millimetre, maxSize/si.Millimetre)
}

// example is how a section of the shape is written, in the units of display.
func (s Shape) example(sys si.System) string {
	us := sys == si.US
	switch {
	case s == Rectangular && us:
		return `such as "0.201 x 0.094 in"`
	case s == Rectangular:
		return `such as "5.1 x 2.4 mm"`
	case s == Tube && us:
		return `such as "tube 0.441 x 0.051 in"`
	case s == Tube:
		return `such as "tube 11.2 x 1.3 mm"`
	case us:
		return `such as "0.386 in"`
	}
	return `such as "9.8 mm"`
}

// plainText refuses what is no text of one line; empty is fine.
func plainText(what, text string, most int) error {
	switch {
	case !utf8.ValidString(text) || strings.ContainsFunc(text, func(r rune) bool { return unicode.IsControl(r) || !unicode.IsGraphic(r) }):
		return fmt.Errorf("%s, %q, holds what is no text: write it in plain letters", what, text)
	case utf8.RuneCountInString(text) > most:
		return fmt.Errorf("%s is longer than %d characters: shorten it", what, most)
	}
	return nil
}

// listed writes words with commas between.
func listed[T ~string](of []T) string {
	var out []string
	for _, w := range of {
		out = append(out, string(w))
	}
	return strings.Join(out, ", ")
}
