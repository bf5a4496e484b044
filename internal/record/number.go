package record

import "strconv"

// tens are the powers of ten that a float64 holds exactly.
var tens = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15,
}

// parseNumber reads a decimal number as strconv.ParseFloat does, correctly
// rounded. Up to 15 digits the mantissa and the power of ten are exact, so one
// division rounds once and rounds right; anything else goes to strconv. What is
// too large for a float64 is infinite, as strconv has it.
func parseNumber(b []byte) (float64, bool) {
	i, neg := 0, false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		neg = b[0] == '-'
		i = 1
	}
	if len(b) > i+16 { // 15 digits and a point
		return parseSlow(b)
	}
	var mant uint64
	digits, frac := 0, -1
	for ; i < len(b); i++ {
		c := b[i]
		if d := c - '0'; d <= 9 {
			mant = mant*10 + uint64(d)
			digits++
			continue
		}
		if c != '.' || frac >= 0 {
			return parseSlow(b)
		}
		frac = digits
	}
	if digits == 0 || digits > 15 {
		return parseSlow(b)
	}
	v := float64(mant)
	if frac >= 0 {
		v /= tens[digits-frac]
	}
	if neg {
		v = -v
	}
	return v, true
}

// parseSlow is the general case. Only a number out of range is let through
// with an error: it is ±Inf, a faulty reading, and no unreadable one.
func parseSlow(b []byte) (float64, bool) {
	v, err := strconv.ParseFloat(string(b), 64)
	if err == nil {
		return v, true
	}
	if ne, ok := err.(*strconv.NumError); ok && ne.Err == strconv.ErrRange {
		return v, true
	}
	return 0, false
}
