package sheet

import (
	"strings"
)

// shape is what a line looks like under a separator.
type shape uint8

const (
	blankLine shape = iota
	dataLine        // mostly numbers, two at least (one in a table of one column)
	nameLine        // words and no number
	otherLine
)

// shapeOf looks at a line's cells. width leaves empty cells at the end out.
func shapeOf(cells []string, sep byte) (s shape, width int) {
	numbers, words, texts, filled := 0, 0, 0, 0
	for i, c := range cells {
		switch classify(c) {
		case isEmpty:
			continue
		case isNumber, isMoment, isGrouped:
			numbers++
		case isWord:
			words++
		default:
			texts++
		}
		filled++
		width = i + 1
	}
	least := 2
	if sep == none || filled == 1 {
		least = 1
	}
	switch {
	case filled == 0:
		return blankLine, 0
	case numbers+words >= least && numbers >= 1 && 2*(numbers+words) > texts && (filled > 1 || sep == none || len(cells) > 1):
		return dataLine, width
	case numbers == 0 && texts > 0:
		return nameLine, width
	}
	return otherLine, width
}

// findSeparator tries every separator on lines from the top and the middle and
// takes the one under which most of them are rows of numbers.
func findSeparator(text string, all []span, skip int) (sep byte, err error) {
	sample := all[skip:]
	if n := len(sample); n > 1000 {
		sample = append(append([]span{}, sample[:500]...), sample[n/2:n/2+500]...)
	}
	best, alone := 0, 0
	var cells []string
	for _, s := range separators {
		// Rows of one width: a preamble cut at blanks has numbers in it too.
		widths := map[int]int{}
		rows := 0
		for _, l := range sample {
			c, ok := split(cells[:0], text[l.from:l.to], s.sep)
			cells = c
			if !ok || s.sep != none && len(c) < 2 {
				continue
			}
			if shape, _ := shapeOf(c, s.sep); shape == dataLine {
				widths[len(c)]++
				rows = max(rows, widths[len(c)])
			}
		}
		if s.sep == none {
			alone = rows
		}
		if rows > best {
			best, sep = rows, s.sep
		}
	}
	if best == 0 {
		if err := beyond(text, all, skip); err != nil {
			return 0, err
		}
		return 0, noTable("see that it is a table with a row of numbers a line, and name the separator with --separator if it is unusual", "no rows of numbers were found")
	}
	// "12,5" is one number with a decimal comma or two whole ones: where every
	// row allows both, the header decides, and without one nobody can.
	if sep == ',' && alone >= best {
		width := 0
		for _, l := range sample {
			c, ok := split(cells[:0], text[l.from:l.to], ',')
			cells = c
			if shape, w := shapeOf(c, ','); ok && shape == dataLine {
				break
			} else if shape == nameLine {
				width = w
			}
		}
		switch width {
		case 0:
			return 0, doubt("write --separator , or --separator none", "a comma in this file may part two columns or be a decimal sign")
		case 1:
			return none, nil
		}
	}
	return sep, nil
}

// beyond refuses the first line from skip on that is longer, or has more columns
// under one of the separators, than is read. It looks at so many lines only.
func beyond(text string, all []span, skip int, seps ...byte) error {
	const most = 1000
	if len(seps) == 0 {
		for _, s := range separators {
			seps = append(seps, s.sep)
		}
	}
	var cells []string
	for i := skip; i < min(len(all), skip+most); i++ {
		line := text[all[i].from:all[i].to]
		for _, s := range seps {
			c, ok := split(cells[:0], line, s)
			cells = c
			if !ok && (len(line) > maxLine || len(c) > MaxColumns) {
				return bad("see that it is a table with a reading a line, and write the columns that matter to a file of their own", "line %d: %s", i+1, unsplit(line, c))
			}
		}
	}
	return nil
}

// layout is where the table stands in the text.
type layout struct {
	sep          byte
	shapes       []shape
	names, units int // index of a line; −1: none
	first, last  int // the table's first and last line after the header
	width        int // cells of the header, or of most rows
	second       int // line at which another table begins; −1: none
	headerCells  []string
	unitCells    []string
}

// findTable finds the longest run of rows, the header above it and where the
// table ends.
func findTable(text string, all []span, skip int, sep byte) (layout, error) {
	l := layout{sep: sep, names: -1, units: -1, second: -1, shapes: make([]shape, len(all))}
	widths := make([]int32, len(all))
	var cells []string
	bestFrom, bestLen, from, length := -1, 0, -1, 0
	for i := skip; i < len(all); i++ {
		c, ok := split(cells[:0], text[all[i].from:all[i].to], sep)
		cells = c
		s, w := shapeOf(c, sep)
		if !ok {
			s = otherLine
		}
		l.shapes[i], widths[i] = s, int32(w)
		switch s {
		case dataLine:
			if length == 0 {
				from = i
			}
			length++
			if length > bestLen {
				bestFrom, bestLen = from, length
			}
		case blankLine: // blank lines do not end a run
		default:
			length = 0
		}
	}
	if bestLen == 0 {
		if err := beyond(text, all, skip, sep); err != nil {
			return l, err
		}
		return l, noTable("see that it is a table with a row of numbers a line, or name its separator with --separator", "no rows of numbers were found")
	}
	counts := map[int32]int{}
	for i, n := bestFrom, 0; n < bestLen; i++ {
		if l.shapes[i] == dataLine {
			counts[widths[i]]++
			n++
		}
	}
	most := int32(0)
	for w, n := range counts {
		if n > counts[most] || n == counts[most] && w > most {
			most = w
		}
	}
	l.width = int(most)

	l.first = l.header(text, all, skip, bestFrom, widths)
	if l.names < 0 && l.units < 0 { // the names may stand in a line not looked into
		if err := beyond(text, all[:bestFrom], skip, sep); err != nil {
			return l, err
		}
	}
	l.last = l.first
	for i := l.first; i < len(all); i++ {
		switch {
		case l.shapes[i] == dataLine:
			l.last = i
		case i > bestFrom && l.secondTable(text, all, i, widths):
			l.second = i
			return l, nil
		}
	}
	return l, nil
}

// header finds the lines of names and units above the longest run, and gives
// the first line below them.
func (l *layout) header(text string, all []span, skip, run int, widths []int32) (first int) {
	for i := run - 1; i >= skip; i-- {
		if l.shapes[i] != nameLine || 2*l.filled(text, all[i]) < l.width {
			continue
		}
		// A line of words with a row directly above it is a remark amid rows.
		if i > skip && l.shapes[i-1] == dataLine && int(widths[i-1]) == l.width {
			continue
		}
		l.names = i
		first = i + 1
		if above := i - 1; above >= skip && l.shapes[above] == nameLine && 2*l.filled(text, all[above]) >= l.width {
			switch {
			case l.unitsOnly(text, all[i]):
				l.names, l.units = above, i
			case l.unitsOnly(text, all[above]):
				l.units = above
			}
		} else if l.unitsOnly(text, all[i]) {
			l.names, l.units = -1, i
		}
		break
	}
	if l.names < 0 && l.units < 0 {
		for i := skip; i < run; i++ {
			if l.shapes[i] == dataLine && int(widths[i]) == l.width {
				return i
			}
		}
		return run
	}
	if l.names >= 0 {
		l.headerCells = l.cells(text, all[l.names])
	}
	if l.units >= 0 {
		l.unitCells = l.cells(text, all[l.units])
	}
	return first
}

// cells cuts a header line. Where blanks part the columns, names may hold
// single blanks and units in brackets stand apart: the cut that gives as many
// cells as the rows have is taken.
func (l *layout) cells(text string, s span) []string {
	line := text[s.from:s.to]
	c, _ := split(nil, line, l.sep)
	if l.sep == blanks && len(c) != l.width {
		var wide []string
		for _, part := range strings.FieldsFunc(strings.ReplaceAll(line, "  ", "\t"), func(r rune) bool { return r == '\t' }) {
			if p := trim(part); p != "" {
				wide = append(wide, p)
			}
		}
		if len(wide) == l.width {
			return wide
		}
		var joined []string
		for _, w := range c {
			if len(joined) > 0 && (w[0] == '(' || w[0] == '[') {
				joined[len(joined)-1] += " " + w
				continue
			}
			joined = append(joined, w)
		}
		if len(joined) == l.width {
			return joined
		}
	}
	for len(c) > 0 && c[len(c)-1] == "" && len(c) > l.width {
		c = c[:len(c)-1]
	}
	return c
}

func (l *layout) filled(text string, s span) int {
	c, _ := split(nil, text[s.from:s.to], l.sep)
	n := 0
	for _, v := range c {
		if v != "" {
			n++
		}
	}
	return n
}

// unitsOnly says that every filled cell of the line is a unit, or a stroke where
// a column has none.
func (l *layout) unitsOnly(text string, s span) bool {
	c, _ := split(nil, text[s.from:s.to], l.sep)
	units := 0
	for _, v := range c {
		if v == "" || noValue(v) {
			continue
		}
		if _, k := readUnit(v); k != noKind {
			units++
			continue
		}
		if v[0] == '[' && v[len(v)-1] == ']' || v[0] == '(' && v[len(v)-1] == ')' {
			continue // some unit not of our tables
		}
		return false
	}
	return units > 0
}

// secondTable says that at line i, after the longest run began, another header
// and another table begin.
func (l *layout) secondTable(text string, all []span, i int, widths []int32) bool {
	if l.shapes[i] != nameLine || int(widths[i]) < 2 || l.filled(text, all[i]) < 2 {
		return false
	}
	if l.names >= 0 && text[all[i].from:all[i].to] == text[all[l.names].from:all[l.names].to] {
		return false // the same header again, as on a new page
	}
	if l.units >= 0 && text[all[i].from:all[i].to] == text[all[l.units].from:all[l.units].to] {
		return false
	}
	for j := i + 1; j < len(all) && j < i+4; j++ {
		switch l.shapes[j] {
		case dataLine:
			return int(widths[j]) >= 2 && l.filled(text, all[i]) == int(widths[i])
		case otherLine:
			return false
		}
	}
	return false
}
