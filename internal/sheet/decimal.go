package sheet

// decimal settles the decimal sign by looking at every number of the table. It
// refuses what may as well be a sign between thousands.
func (r *reader) decimal() error {
	switch r.o.Decimal {
	case "", "point", "comma":
	default:
		return doubt("write point or comma", "the decimal sign %q is not known", r.o.Decimal)
	}
	const next = "write the numbers without signs between the thousands"
	var points, commas, surePoint, sureComma int // lines from 1 of the first
	for i := r.l.first; i <= r.l.last; i++ {
		if r.l.shapes[i] != dataLine {
			continue
		}
		c, ok := split(r.cells[:0], r.line(i), r.l.sep)
		r.cells = c
		if !ok {
			continue
		}
		for _, cell := range c {
			if cell == "" {
				continue
			}
			cell = plainMinus(cell)
			mark, ok := number(cell)
			if !ok {
				if classify(cell) == isGrouped {
					return bad(next, "line %d: %q has signs between its thousands", i+1, cutText(cell))
				}
				continue
			}
			if mark < 0 {
				continue
			}
			if cell[mark] == ',' {
				if commas == 0 {
					commas = i + 1
				}
				if sureComma == 0 && !maybeThousands(cell, mark) {
					sureComma = i + 1
				}
			} else {
				if points == 0 {
					points = i + 1
				}
				if surePoint == 0 && !maybeThousands(cell, mark) {
					surePoint = i + 1
				}
			}
		}
	}
	switch {
	case r.o.Decimal != "":
		r.comma = r.o.Decimal == "comma"
	case points > 0 && commas > 0:
		return doubt(next+", or write --decimal point or --decimal comma: rows with the other sign then count as bad", "lines %d and %d: both a point and a comma stand in numbers", points, commas)
	case commas > 0 && sureComma == 0:
		return doubt("write --decimal comma if it is a decimal sign", "line %d: the comma may be a decimal sign or stand between thousands", commas)
	case points > 0 && surePoint == 0 && r.l.sep != ',':
		return doubt("write --decimal point if it is a decimal sign", "line %d: the point may be a decimal sign or stand between thousands", points)
	default:
		r.comma = commas > 0
	}
	r.t.DecimalComma = r.comma
	return nil
}

// maybeThousands says that the sign at mark may stand between thousands: one to
// three digits before it, the first not 0, and exactly three after it.
func maybeThousands(s string, mark int) bool {
	i := 0
	if s[0] == '+' || s[0] == '-' {
		i = 1
	}
	return mark-i >= 1 && mark-i <= 3 && s[i] != '0' && len(s)-mark-1 == 3 && s[len(s)-1]-'0' <= 9 && s[len(s)-2]-'0' <= 9 && s[len(s)-3]-'0' <= 9
}

// clean gives the cell as strconv reads it; ok is false where it is no number
// with this table's decimal sign.
func (r *reader) clean(cell string) (string, bool) {
	cell = plainMinus(cell)
	mark, ok := number(cell)
	if !ok {
		return "", false
	}
	if mark < 0 {
		return cell, true
	}
	if (cell[mark] == ',') != r.comma {
		return "", false
	}
	if r.comma {
		return cell[:mark] + "." + cell[mark+1:], true
	}
	return cell, true
}
