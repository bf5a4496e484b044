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
	maxText      = 500 // bytes of any field
	maxName      = 64  // of a bar, melt or alloy: it goes into file names and onto a line
	maxDiameters = 32
	maxHold      = 24 * time.Hour
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

// ParseDiameters reads one or more lengths, "12.51 mm, 12.49 mm" or "0.492 in;
// 0.493 in". Several numbers may share the unit behind the last of them: "12.51
// 12.49 mm". A comma between two digits is refused: it may be a decimal one, and
// 12,5 mm are not 12 mm and 5 mm.
func ParseDiameters(text string) ([]si.Length, error) {
	const next = `write each with its unit, "12.51 mm, 12.49 mm", or the unit behind the last`
	for i := 1; i+1 < len(text); i++ {
		if text[i] == ',' && digit(text[i-1]) && digit(text[i+1]) {
			return nil, fmt.Errorf(`a comma within %q may mean decimals: write 12.5, and a blank behind a comma between two diameters`, text)
		}
	}
	var out []si.Length
	var numbers []string // that wait for their unit
	for rest := skip(text); rest != ""; {
		n := 0
		for n < len(rest) && strings.IndexByte("+-.0123456789", rest[n]) >= 0 {
			n++
		}
		if n > 0 {
			numbers = append(numbers, rest[:n])
			if len(out)+len(numbers) > maxDiameters {
				return nil, fmt.Errorf("more than %d diameters", maxDiameters)
			}
			rest = strings.TrimLeft(rest[n:], " ")
			if rest == "" || strings.IndexByte(",;+-.0123456789", rest[0]) >= 0 {
				rest = skip(rest)
				continue
			}
		}
		n = strings.IndexAny(rest, " ,;+-.0123456789")
		if n < 0 {
			n = len(rest)
		}
		unit := rest[:n]
		if len(numbers) == 0 {
			return nil, fmt.Errorf("%q stands without a number: %s", unit, next)
		}
		for _, number := range numbers {
			d, err := si.ParseLength(number + " " + unit)
			if err != nil {
				return nil, err
			}
			out = append(out, d)
		}
		numbers, rest = nil, skip(rest[n:])
	}
	if len(numbers) > 0 {
		return nil, fmt.Errorf("no unit behind %q: %s", numbers[len(numbers)-1], next)
	}
	return out, specimen.Specimen{Diameters: out}.Validate()
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// skip passes over what stands between two lengths.
func skip(s string) string { return strings.TrimLeft(s, " ,;") }

// DiametersText writes diameters in the units of display.
func DiametersText(ds []si.Length, sys si.System) string {
	return joined(ds, func(d si.Length) string { return d.Text(sys) })
}

// joined writes lengths as ParseDiameters reads them.
func joined(ds []si.Length, text func(si.Length) string) string {
	var parts []string
	for _, d := range ds {
		parts = append(parts, text(d))
	}
	return strings.Join(parts, ", ")
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
