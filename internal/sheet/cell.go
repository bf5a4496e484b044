package sheet

import (
	"fmt"
	"strings"
)

// Separators as one byte: blanks stands for runs of blanks, none for a table of
// one column.
const (
	blanks = ' '
	none   = 0
)

var separators = []struct {
	name string
	sep  byte
}{{"tab", '\t'}, {";", ';'}, {",", ','}, {"space", blanks}, {"none", none}}

func separatorOf(name string) (byte, bool) {
	if name == "\t" || name == `\t` {
		return '\t', true
	}
	for _, s := range separators {
		if s.name == name {
			return s.sep, true
		}
	}
	return 0, false
}

func separatorName(sep byte) string {
	for _, s := range separators {
		if s.sep == sep {
			return s.name
		}
	}
	return "?"
}

// trim takes blanks off both ends, the no-break space among them.
func trim(s string) string {
	for s != "" {
		switch c := s[0]; {
		case c == ' ' || c == '\t':
			s = s[1:]
			continue
		case c == 0xC2 && strings.HasPrefix(s, "\u00a0"):
			s = s[2:]
			continue
		}
		switch c := s[len(s)-1]; {
		case c == ' ' || c == '\t':
			s = s[:len(s)-1]
			continue
		case c == 0xA0 && strings.HasSuffix(s, "\u00a0"):
			s = s[:len(s)-2]
			continue
		}
		return s
	}
	return s
}

// MaxColumns and maxLine bound a line: beyond them it is looked into no further.
// No instrument has as many channels.
const (
	MaxColumns = 1000
	maxLine    = 4 << 20 // bytes
)

// split cuts a line into its cells, trimmed and unquoted. A quoted cell may hold
// the separator and doubled quotes, but no line end; ok is false where a quote
// is not closed or text follows it, and where the line is beyond the bounds.
// dst is empty.
func split(dst []string, line string, sep byte) (cells []string, ok bool) {
	if len(line) > maxLine {
		return dst, false
	}
	if sep == blanks {
		cells = appendWords(dst, line)
		return cells, len(cells) <= MaxColumns
	}
	rest := line
	for {
		if len(dst) == MaxColumns {
			if strings.Trim(rest, " \t"+string(rune(sep))) == "" {
				return dst, true // as spreadsheets write columns that are empty
			}
			return append(dst, ""), false
		}
		if q := trim(rest); sep != none && q != "" && q[0] == '"' {
			cell, after, closed := unquote(strings.TrimLeft(rest, " \t\u00a0"))
			if !closed {
				return dst, false
			}
			after = leftTrim(after, sep)
			dst = append(dst, trim(cell))
			if after == "" {
				return dst, true
			}
			if after[0] != sep {
				return dst, false
			}
			rest = after[1:]
			continue
		}
		i := -1
		if sep != none {
			i = strings.IndexByte(rest, sep)
		}
		if i < 0 {
			return append(dst, trim(rest)), true
		}
		dst = append(dst, trim(rest[:i]))
		rest = rest[i+1:]
	}
}

// leftTrim takes blanks off the left, but no separator.
func leftTrim(s string, sep byte) string {
	for s != "" && (s[0] == ' ' || s[0] == '\t') && s[0] != sep {
		s = s[1:]
	}
	return s
}

// unquote reads a quoted cell at the beginning of s.
func unquote(s string) (cell, rest string, ok bool) {
	body := s[1:]
	i := strings.IndexByte(body, '"')
	if i >= 0 && (i+1 == len(body) || body[i+1] != '"') {
		return body[:i], body[i+1:], true // the common case, without a copy
	}
	var b strings.Builder
	for i := 0; i < len(body); i++ {
		if body[i] != '"' {
			b.WriteByte(body[i])
			continue
		}
		if i+1 < len(body) && body[i+1] == '"' {
			b.WriteByte('"')
			i++
			continue
		}
		return b.String(), body[i+1:], true
	}
	return "", "", false
}

// unsplit says why split gave up on a line.
func unsplit(line string, cells []string) string {
	switch {
	case len(line) > maxLine:
		return fmt.Sprintf("the line is longer than %d MiB", maxLine>>20)
	case len(cells) > MaxColumns:
		return fmt.Sprintf("the line has more than %d columns", MaxColumns)
	}
	return "a quote is not closed, or text follows it"
}

// appendWords cuts a line at runs of blanks, into one word more than allowed at
// most.
func appendWords(dst []string, line string) []string {
	from := -1
	for i := 0; i < len(line) && len(dst) <= MaxColumns; i++ {
		if line[i] == ' ' || line[i] == '\t' {
			if from >= 0 {
				dst = append(dst, line[from:i])
			}
			from = -1
		} else if from < 0 {
			from = i
		}
	}
	if from >= 0 && len(dst) <= MaxColumns {
		dst = append(dst, line[from:])
	}
	return dst
}

// class is what a cell looks like.
type class uint8

const (
	isText    class = iota
	isEmpty         //
	isNumber        // digits with at most one decimal sign
	isWord          // the table says that there is no value: nan, n/a, ---
	isGrouped       // a number with a sign between thousands, or with both signs
	isMoment        // a time of day or a date
)

// number says whether the cell is a number and where its decimal sign stands:
// −1 none. The sign may be a point or a comma.
func number(s string) (mark int, ok bool) {
	i, digits := 0, 0
	mark = -1
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	for ; i < len(s); i++ {
		c := s[i]
		if c-'0' <= 9 {
			digits++
			continue
		}
		if (c == '.' || c == ',') && mark < 0 {
			mark = i
			continue
		}
		break
	}
	if digits == 0 {
		return -1, false
	}
	if i == len(s) {
		return mark, true
	}
	if s[i]|0x20 != 'e' {
		return -1, false
	}
	i++
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	if i == len(s) {
		return -1, false
	}
	for ; i < len(s); i++ {
		if s[i]-'0' > 9 {
			return -1, false
		}
	}
	return mark, true
}

// plainMinus gives the cell with the typographic minus made a hyphen.
func plainMinus(s string) string {
	if strings.HasPrefix(s, "\u2212") {
		return "-" + s[len("\u2212"):]
	}
	return s
}

func classify(s string) class {
	if s == "" {
		return isEmpty
	}
	s = plainMinus(s)
	if _, ok := number(s); ok {
		return isNumber
	}
	switch c := s[0]; {
	case c-'0' <= 9 || c == '+' || c == '-' || c == '.' || c == ',':
		if grouped(s) {
			return isGrouped
		}
		if c-'0' <= 9 && momentLike(s) {
			return isMoment
		}
	}
	if noValue(s) {
		return isWord
	}
	return isText
}

// noValue says that a cell stands for a missing value.
func noValue(s string) bool {
	if len(s) > 5 {
		return false
	}
	switch strings.ToLower(s) {
	case "nan", "-nan", "+nan", "inf", "-inf", "+inf", "ovf", "n/a", "#n/a", "na", "null", "-", "--", "---":
		return true
	}
	return false
}

// grouped says that a cell is a number with signs between its thousands:
// 1,234.5 or 1.234,5 or 1 234,5 or 1'234.5 or 1.234.567.
func grouped(s string) bool {
	if s[0] == '+' || s[0] == '-' {
		s = s[1:]
	}
	signs, digits, first := 0, 0, -1
	sinceSign := 0
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c-'0' <= 9:
			digits++
			sinceSign++
		case c == '.' || c == ',' || c == ' ' || c == '\'':
			if first < 0 {
				first = i
			} else if sinceSign != 3 {
				return false
			}
			signs++
			sinceSign = 0
		case c == 0xC2 && i+1 < len(s) && s[i+1] == 0xA0: // no-break space
			if first < 0 {
				first = i
			} else if sinceSign != 3 {
				return false
			}
			signs++
			sinceSign = 0
			i++
		default:
			return false
		}
	}
	if digits == 0 || first < 1 || first > 3 {
		return false
	}
	if signs == 1 { // one point or comma alone is a decimal sign and no group
		return s[first] != '.' && s[first] != ',' && sinceSign == 3
	}
	return true
}

// momentLike says that a cell has the outer form of a time of day or a date,
// whether or not it can be read as one.
func momentLike(s string) bool {
	marks := 0
	for _, c := range []byte(s) {
		switch {
		case c-'0' <= 9 || c == '.' || c == ',' || c == ' ':
		case c == ':' || c == '-' || c == '/':
			marks++
		case c == 'T' || c == 'Z' || c == 'A' || c == 'P' || c == 'M' || c == 'a' || c == 'p' || c == 'm' || c == '+':
		default:
			return false
		}
	}
	return marks >= 2 || strings.Count(s, ".") >= 2
}
