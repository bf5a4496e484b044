package wire

import (
	"math"
	"math/bits"
	"strconv"
	"time"
)

func isDigit(c byte) bool { return c-'0' <= 9 }

// eightDigits reads eight digits at once, the first of them in the lowest byte:
// neighbours are joined to pairs, pairs to fours, fours to eight.
func eightDigits(v uint64) (uint64, bool) {
	const each = 0x0101010101010101
	d := v - '0'*each
	// A byte that is no digit is above 9 after the subtraction, and then it or
	// its sum with 0x76 has the top bit; a borrow comes from such a byte only.
	if (d|(d+0x76*each))&(0x80*each) != 0 {
		return 0, false
	}
	d = d*10 + d>>8 // the pairs are in bytes 0, 2, 4, 6
	const pairs = 0x000000ff000000ff
	d = (d&pairs*(100+1000000<<32) + d>>16&pairs*(1+10000<<32)) >> 32
	return d, true
}

// pow10 holds the powers of ten that a float64 holds exactly.
var pow10 = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// maxExact is the number of decimal digits that a float64 surely holds exactly.
const maxExact = 15

// parseNumber reads a decimal number of at most MaxField bytes: optional sign,
// digits with an optional point, optional exponent. The result is correctly
// rounded: a mantissa of up to 15 digits and a power of ten up to 22 are both
// exact, so one multiplication or division rounds once (W. D. Clinger, How to
// read floating point numbers accurately, 1990; from memory). Everything else
// goes to strconv. Hexadecimal, underscores and words are refused, and so is
// what a float64 cannot hold.
func parseNumber(b []byte) (float64, bool) {
	i, neg := 0, false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		neg = b[0] == '-'
		i = 1
	}
	var mant uint64
	digits, exp, point := 0, 0, false
	for ; i < len(b); i++ {
		c := b[i]
		if d := c - '0'; d <= 9 {
			digits++
			if digits <= maxExact {
				mant = mant*10 + uint64(d)
			}
			if point {
				exp--
			}
			continue
		}
		if c == '.' && !point {
			point = true
			continue
		}
		break
	}
	if digits == 0 {
		return 0, false
	}
	if i < len(b) {
		e, ok := parseExponent(b[i:])
		if !ok {
			return 0, false
		}
		exp += e
	}
	if digits > maxExact || exp > 22 || exp < -22 {
		v, err := strconv.ParseFloat(string(b), 64)
		return v, err == nil
	}
	v := float64(mant)
	if exp >= 0 {
		v *= pow10[exp]
	} else {
		v /= pow10[-exp]
	}
	if neg {
		v = -v
	}
	return v, true
}

// parseExponent reads "e5", "E-12". What is beyond any use is held at a bound
// that strconv then judges.
func parseExponent(b []byte) (int, bool) {
	if b[0]|0x20 != 'e' {
		return 0, false
	}
	b = b[1:]
	neg := false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		neg = b[0] == '-'
		b = b[1:]
	}
	if len(b) == 0 {
		return 0, false
	}
	e := 0
	for _, c := range b {
		if !isDigit(c) {
			return 0, false
		}
		if e < 10000 {
			e = e*10 + int(c-'0')
		}
	}
	if neg {
		e = -e
	}
	return e, true
}

// isFaultWord says that the board itself calls the reading none: "nan" and
// "inf" as C prints them, with any sign, and "ovf" as some boards print a number
// beyond their print routine (from memory). Such a line is a reading without a
// value: the engine must see the fault at once, not a line too few.
func isFaultWord(b []byte) bool {
	if len(b) == 4 && (b[0] == '-' || b[0] == '+') {
		b = b[1:]
	}
	if len(b) != 3 {
		return false
	}
	switch string([]byte{b[0] | 0x20, b[1] | 0x20, b[2] | 0x20}) {
	case "nan", "inf", "ovf":
		return true
	}
	return false
}

// ParseNumber reads the raw column, as Decoder does and as the record is read
// back: a decimal number with an optional sign, point and exponent, or one of
// the words nan, inf and ovf in any case and with any sign, whose value is NaN.
// Anything else, more than MaxField bytes, or a number too large for a float64
// is refused. It allocates nothing for a number of up to 15 digits.
func ParseNumber(b []byte) (float64, bool) {
	if len(b) > MaxField {
		return 0, false
	}
	if v, ok := parseNumber(b); ok {
		return v, true
	}
	return math.NaN(), isFaultWord(b)
}

// parseTicks reads the time column: digits with an optional decimal part, no
// sign, no exponent. The result is ticks times tick, cut to the nanosecond
// below. What is beyond 292 years is refused.
func parseTicks(b []byte, tick time.Duration) (time.Duration, bool) {
	if len(b) == 0 || len(b) > MaxField {
		return 0, false
	}
	var whole uint64
	i := 0
	for ; i < len(b) && isDigit(b[i]); i++ {
		if whole > math.MaxInt64/10-1 {
			return 0, false
		}
		whole = whole*10 + uint64(b[i]-'0')
	}
	hi, ns := bits.Mul64(whole, uint64(tick))
	if hi != 0 || ns > math.MaxInt64-uint64(tick) {
		return 0, false
	}
	if i == len(b) {
		return time.Duration(ns), true
	}
	if b[i] != '.' {
		return 0, false
	}
	frac, scale := uint64(0), uint64(1)
	digits := i // bytes that are digits, before and after the point
	for _, c := range b[i+1:] {
		if !isDigit(c) {
			return 0, false
		}
		digits++
		// Eighteen decimals of a tick are far below a nanosecond.
		if scale < 1e18 {
			frac = frac*10 + uint64(c-'0')
			scale *= 10
		}
	}
	if digits == 0 {
		return 0, false
	}
	// frac < scale, so the quotient is below tick and fits.
	hi, lo := bits.Mul64(frac, uint64(tick))
	q, _ := bits.Div64(hi, lo, scale)
	return time.Duration(ns + q), true
}
