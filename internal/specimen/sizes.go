package specimen

import (
	"errors"
	"fmt"
	"strings"

	"draghand/internal/si"
)

// Sizes are what was measured across a bar, as a person writes it.
type Sizes struct {
	Shape     Shape
	Diameters []si.Length // of a round bar
	Sections  []Section   // of any other
	Limit     si.Length   // of error of each, ±; 0: not stated
}

// Set puts the sizes on the bar, in place of those it had.
func (s *Specimen) Set(z Sizes) {
	s.Shape, s.Diameters, s.Sections, s.SizeU = z.Shape, z.Diameters, z.Sections, z.Limit
}

// Sizes are the sizes of the bar.
func (s Specimen) Sizes() Sizes { return Sizes{s.Shape, s.Diameters, s.Sections, s.SizeU} }

// ParseSizes reads one or more measured sections: "12.51 mm, 12.49 mm" of a
// round bar, "6.02 x 3.01 mm" width and thickness of a rectangular one, "tube 12
// x 1.5 mm" outer diameter and wall. Several may share the unit behind the last
// of them. "± 0.01 mm" at the end is the micrometer's limit of error.
func ParseSizes(text string) (z Sizes, err error) {
	text, limit, stated := cutLimit(text)
	if stated {
		if z.Limit, err = si.ParseLength(limit); err != nil {
			return Sizes{}, err
		}
		if !(z.Limit > 0) {
			return Sizes{}, fmt.Errorf("± %s is no limit of error: leave it away where it is not known", limit)
		}
	}
	switch {
	case strings.HasPrefix(strings.ToLower(strings.TrimLeft(text, " ")), "tube"):
		z.Shape = Tube
	case strings.ContainsAny(text, "xX×"):
		z.Shape = Rectangular
	}
	if z.Shape == Round {
		z.Diameters, err = parseDiameters(text)
	} else {
		z.Sections, err = parseSections(text, z.Shape)
	}
	if err == nil && stated && len(z.Diameters)+len(z.Sections) == 0 {
		err = errors.New("a limit of error alone is no size: write the sizes before it")
	}
	if err == nil {
		var s Specimen
		s.Set(z)
		err = s.Validate()
	}
	if err != nil {
		return Sizes{}, err
	}
	return z, nil
}

// ParseDiameters reads one or more lengths, "12.51 mm, 12.49 mm" or "0.492 in;
// 0.493 in". Several numbers may share the unit behind the last of them: "12.51
// 12.49 mm". A comma between two digits is refused: it may be a decimal one, and
// 12,5 mm are not 12 mm and 5 mm.
func ParseDiameters(text string) ([]si.Length, error) {
	out, err := parseDiameters(text)
	if err != nil {
		return nil, err
	}
	return out, Specimen{Diameters: out}.Validate()
}

// cutLimit parts the limit of error from the sizes.
func cutLimit(text string) (sizes, limit string, stated bool) {
	for _, sign := range []string{"±", "+/-", "+-"} {
		if a, b, ok := strings.Cut(text, sign); ok {
			return strings.TrimRight(a, " ,;"), strings.TrimSpace(b), true
		}
	}
	return text, "", false
}

const sizeSigns = "+-.0123456789"

// decimalComma refuses a comma between two digits.
func decimalComma(text string) error {
	for i := 1; i+1 < len(text); i++ {
		if text[i] == ',' && digit(text[i-1]) && digit(text[i+1]) {
			return fmt.Errorf(`a comma within %q may mean decimals: write 12.5, and a blank behind a comma between two diameters`, text)
		}
	}
	return nil
}

func parseDiameters(text string) ([]si.Length, error) {
	const next = `write each with its unit, "12.51 mm, 12.49 mm", or the unit behind the last`
	if err := decimalComma(text); err != nil {
		return nil, err
	}
	var out []si.Length
	var numbers []string // that wait for their unit
	for rest := skip(text); rest != ""; {
		n := 0
		for n < len(rest) && strings.IndexByte(sizeSigns, rest[n]) >= 0 {
			n++
		}
		if n > 0 {
			numbers = append(numbers, rest[:n])
			if len(out)+len(numbers) > mostSize {
				return nil, fmt.Errorf("more than %d diameters", mostSize)
			}
			rest = strings.TrimLeft(rest[n:], " ")
			if rest == "" || strings.IndexByte(",;"+sizeSigns, rest[0]) >= 0 {
				rest = skip(rest)
				continue
			}
		}
		n = strings.IndexAny(rest, " ,;"+sizeSigns)
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
	return out, nil
}

// parseSections reads pairs of sizes.
func parseSections(text string, shape Shape) ([]Section, error) {
	const next = `write "6.02 x 3.01 mm" for width and thickness, "tube 12 x 1.5 mm" for outer diameter and wall`
	if err := decimalComma(text); err != nil {
		return nil, err
	}
	var out []Section
	var waiting [][2]string // pairs without their unit yet
	for _, piece := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' }) {
		piece = strings.TrimSpace(piece)
		if len(piece) >= len("tube") && strings.EqualFold(piece[:len("tube")], "tube") {
			if shape != Tube {
				return nil, fmt.Errorf("one bar has one shape: %s", next)
			}
			piece = strings.TrimSpace(piece[len("tube"):])
		}
		if piece == "" {
			continue
		}
		parts := strings.FieldsFunc(piece, func(r rune) bool { return r == 'x' || r == 'X' || r == '×' })
		if len(parts) != 2 {
			return nil, fmt.Errorf("%q is not two sizes: %s", piece, next)
		}
		a, b := strings.TrimSpace(parts[0]), strings.TrimSpace(parts[1])
		waiting = append(waiting, [2]string{a, b})
		if len(out)+len(waiting) > mostSize {
			return nil, fmt.Errorf("more than %d sections", mostSize)
		}
		unit := strings.TrimLeft(b, sizeSigns+" ")
		if unit == "" {
			continue
		}
		for _, w := range waiting {
			c, err := section(w[0], w[1], unit, shape)
			if err != nil {
				return nil, err
			}
			out = append(out, c)
		}
		waiting = nil
	}
	switch {
	case len(waiting) > 0:
		return nil, fmt.Errorf("no unit behind %q: %s", waiting[len(waiting)-1][1], next)
	case len(out) == 0:
		return nil, fmt.Errorf("no sizes: %s", next)
	}
	return out, nil
}

// section reads one pair; a number without a unit has the one given.
func section(a, b, unit string, shape Shape) (c Section, err error) {
	read := func(text string) si.Length {
		if strings.Trim(text, sizeSigns) == "" {
			text += " " + unit
		}
		v, e := si.ParseLength(text)
		if err == nil {
			err = e
		}
		return v
	}
	first, second := read(a), read(b)
	if shape == Tube {
		return Section{Outer: first, Wall: second}, err
	}
	return Section{Width: first, Thickness: second}, err
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// skip passes over what stands between two lengths.
func skip(s string) string { return strings.TrimLeft(s, " ,;") }

// Text writes the sizes as ParseSizes reads them, in the units of display.
func (z Sizes) Text(sys si.System) string {
	var parts []string
	for _, d := range z.Diameters {
		parts = append(parts, d.Size(sys))
	}
	for _, c := range z.Sections {
		parts = append(parts, c.Text(z.Shape, sys))
	}
	return z.behind(strings.Join(parts, ", "), LimitText(z.Limit, sys))
}

// String is exact: ParseSizes gives the same back to the bit.
func (z Sizes) String() string {
	var parts []string
	for _, d := range z.Diameters {
		parts = append(parts, d.String())
	}
	for _, c := range z.Sections {
		if z.Shape == Tube {
			parts = append(parts, "tube "+c.Outer.String()+" x "+c.Wall.String())
		} else {
			parts = append(parts, c.Width.String()+" x "+c.Thickness.String())
		}
	}
	return z.behind(strings.Join(parts, ", "), z.Limit.String())
}

// behind puts the limit of error behind the sizes.
func (z Sizes) behind(sizes, limit string) string {
	if z.Limit > 0 {
		return sizes + " ± " + limit
	}
	return sizes
}

// LimitText is a limit of error of a size, with a decimal more than a size has.
func LimitText(l si.Length, sys si.System) string {
	v := l.In(sys)
	v.Decimals++
	return v.String()
}
