package bench

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Bounds on what a person writes into a field.
const (
	maxText = 500 // bytes of any field
	maxName = 64  // of a bar, melt or alloy: it goes into file names and onto a line
	maxHold = 24 * time.Hour
)

// tidy makes a text from a person one line without control characters or signs
// that cannot be seen, at most maxText bytes of it.
func tidy(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r) || unicode.IsControl(r):
			return ' '
		case !unicode.IsGraphic(r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
	s = strings.TrimSpace(s)
	for len(s) > maxText {
		_, n := utf8.DecodeLastRuneInString(s)
		s = s[:len(s)-n]
	}
	return strings.TrimSpace(s)
}

// SizesText writes what was measured in the units of display, which of several
// counts, and that they differ by more than a standard allows.
func SizesText(bar specimen.Specimen, sys si.System) string {
	z := bar.Sizes()
	read := z.Text(sys)
	if len(z.Diameters) > 1 {
		read += ": " + bar.Diameter().Size(sys) + " counts"
	} else if len(z.Sections) > 1 {
		read += ": " + bar.SizeText(sys) + " counts"
	}
	if t := bar.Taper(); t > specimen.TaperAllowed {
		read += fmt.Sprintf("; they differ by %.1f %%, more than 1 %%: measure again", 100*t)
	}
	return read
}

// ParseExpect reads between what stresses a bar is expected to break: "40 ksi ..
// 50 ksi", "40 .. 50 ksi", or one stress. "to", "–" and "…" stand for "..".
func ParseExpect(text string) (low, high si.Stress, err error) {
	a, b := text, text
	for _, sep := range []string{"..", "…", "–", " to "} {
		if from, to, ok := strings.Cut(text, sep); ok {
			a, b = strings.TrimSpace(from), strings.TrimSpace(strings.TrimLeft(to, "."))
			break
		}
	}
	if high, err = si.ParseStress(b); err != nil {
		return 0, 0, err
	}
	if a != "" && strings.Trim(a, "+-.0123456789") == "" { // the unit behind the other is its own too
		a += " " + strings.TrimLeft(b, "+-.0123456789 ")
	}
	if low, err = si.ParseStress(a); err != nil {
		return 0, 0, err
	}
	if low == 0 && high == 0 {
		return 0, 0, errors.New("no bar breaks at nothing: leave it empty where it is not known")
	}
	return low, high, specimen.Specimen{ExpectLow: low, ExpectHigh: high}.Validate()
}

// ExpectText writes an expected strength in the units of display.
func ExpectText(low, high si.Stress, sys si.System) string {
	return between(low, high, func(s si.Stress) string { return s.Text(sys) })
}

func between(low, high si.Stress, text func(si.Stress) string) string {
	if low == high {
		return text(low)
	}
	return text(low) + " .. " + text(high)
}

// ParseTags reads free words of a melt, separated by commas or semicolons. What
// stands twice counts once.
func ParseTags(text string) ([]string, error) {
	var out []string
	for _, t := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' }) {
		if t = strings.Join(strings.Fields(t), " "); t != "" && !slices.Contains(out, t) {
			out = append(out, t)
		}
	}
	return out, specimen.Specimen{Tags: out}.Validate()
}

// ParseStock reads the name of the stock of a check bar; runs of blanks count as
// one, since bars are put on one chart by it.
func ParseStock(text string) (string, error) {
	name := strings.Join(strings.Fields(text), " ")
	return name, specimen.Specimen{Stock: name}.Validate()
}

// ParseSide reads where in a two-sided rig a bar stands: near or far. Nothing is
// nothing said.
func ParseSide(text string) (specimen.Side, error) {
	switch s := specimen.Side(strings.ToLower(strings.TrimSpace(text))); s {
	case "", specimen.Near, specimen.Far:
		return s, nil
	}
	return "", fmt.Errorf("%q is no side: near (the specimen's own place) or far (the far side's place)", text)
}

// ParseHold reads how long a proof is held: "60 s", "2 min", "1m30s".
func ParseHold(text string) (time.Duration, error) {
	t := strings.ReplaceAll(strings.ReplaceAll(text, "min", "m"), " ", "")
	d, err := time.ParseDuration(t)
	switch {
	case err != nil:
		return 0, fmt.Errorf(`%q is no time: write it like "60 s" or "2 min"`, text)
	case d < time.Millisecond || d > maxHold:
		return 0, fmt.Errorf("%s: it must be longer than nothing and at most %s", d, maxHold)
	}
	return d.Round(time.Millisecond), nil
}
