package sheet

import (
	"math"
	"math/big"
	"math/bits"
	"strings"
	"time"
)

// elapsed reads a decimal number (point as sign) of units of time, rounded to
// the nearest nanosecond, halves away from zero: digit by digit, since a float64
// of seconds loses the nanoseconds after a hundred days. What is beyond 290
// years is refused.
func elapsed(s string, unit time.Duration) (time.Duration, bool) {
	i, neg := 0, false
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		neg = s[i] == '-'
		i++
	}
	var mant uint64
	kept, exp, point, cut := 0, 0, false, false
	for ; i < len(s); i++ {
		c := s[i]
		if d := c - '0'; d <= 9 {
			if kept < 19 { // nineteen digits always fit
				mant = mant*10 + uint64(d)
				if mant > 0 {
					kept++
				}
				if point {
					exp--
				}
			} else {
				cut = cut || d != 0
				if !point {
					exp++
				}
			}
			continue
		}
		if c == '.' && !point {
			point = true
			continue
		}
		break
	}
	if i < len(s) {
		if s[i]|0x20 != 'e' {
			return 0, false
		}
		e, minus := 0, false
		i++
		if i < len(s) && (s[i] == '+' || s[i] == '-') {
			minus = s[i] == '-'
			i++
		}
		for ; i < len(s); i++ {
			e = min(e*10+int(s[i]-'0'), 100000)
		}
		if minus {
			e = -e
		}
		exp += e
	}
	if cut && exp > -80 && exp < 20 { // beyond these it is nothing or too much, whatever the rest is
		return elapsedInFractions(s, unit)
	}
	hi, lo := bits.Mul64(mant, uint64(unit))
	for ; exp > 0 && (hi != 0 || lo != 0); exp-- {
		if hi != 0 {
			return 0, false
		}
		hi, lo = bits.Mul64(lo, 10)
	}
	round := uint64(0)
	if hi == 0 && lo == 0 {
		exp = 0
	}
	for ; exp < 0; exp++ {
		// 128 bits by ten; the last digit taken off decides the rounding.
		var q, r uint64
		q, r = hi/10, hi%10
		hi = q
		lo, r = bits.Div64(r, lo, 10)
		round = 0
		if r >= 5 {
			round = 1
		}
		if hi == 0 && lo == 0 && exp < -1 {
			round = 0
			break
		}
	}
	lo += round
	if hi != 0 || lo >= math.MaxInt64 {
		return 0, false
	}
	d := time.Duration(lo)
	if neg {
		d = -d
	}
	return d, true
}

// elapsedInFractions is elapsed for a number of more digits than the quick way
// holds: of hours the twentieth digit can still be a nanosecond. s is one that
// elapsed has read to its end.
func elapsedInFractions(s string, unit time.Duration) (time.Duration, bool) {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		return 0, false
	}
	r.Mul(r, new(big.Rat).SetInt64(int64(unit)))
	half := big.NewRat(1, 2)
	if r.Sign() < 0 {
		half.Neg(half)
	}
	r.Add(r, half)
	n := new(big.Int).Quo(r.Num(), r.Denom())
	if !n.IsInt64() || n.CmpAbs(big.NewInt(math.MaxInt64)) >= 0 {
		return 0, false
	}
	return time.Duration(n.Int64()), true
}

// moment reads a time of day hh:mm:ss with a fraction, or a date before it:
// 2026-11-25 14:03:22.5, 2026-11-25T14:03:22Z, 25.11.2026 14:03:22,5. Dates
// with slashes, and times without seconds, can be read in two ways and are
// refused, and so are AM and PM. A date counts from 1970, a time of day from midnight.
func moment(s string) (at time.Duration, dated bool, why string) {
	if endsInHalf(s) {
		return 0, false, halfDays
	}
	clock := s
	if i := strings.IndexAny(s, "T "); i >= 0 {
		day, ok := date(s[:i])
		if !ok {
			if strings.Contains(s[:i], "/") {
				return 0, false, "a date with slashes can be read in two ways"
			}
			return 0, false, "no date that can be read (2026-11-25 or 25.11.2026)"
		}
		at, dated, clock = day, true, strings.TrimSuffix(trim(s[i+1:]), "Z")
	}
	p := strings.Split(clock, ":")
	if len(p) != 3 {
		return 0, false, "no time of day that can be read (hh:mm:ss with a fraction)"
	}
	h, ok1 := twoDigits(p[0], 23)
	m, ok2 := twoDigits(p[1], 59)
	sec := strings.Replace(p[2], ",", ".", 1)
	whole, _, _ := strings.Cut(sec, ".")
	_, ok3 := twoDigits(whole, 60)
	mark, ok4 := number(sec)
	if !ok1 || !ok2 || !ok3 || !ok4 || mark < 0 && len(sec) != len(whole) || strings.ContainsAny(sec, "eE") {
		return 0, false, "no time of day that can be read (hh:mm:ss with a fraction)"
	}
	d, ok := elapsed(sec, time.Second)
	if !ok {
		return 0, false, "no time of day that can be read (hh:mm:ss with a fraction)"
	}
	return at + time.Duration(h)*time.Hour + time.Duration(m)*time.Minute + d, dated, ""
}

// halfDays is what moment says of AM and PM.
const halfDays = "AM and PM are not read (hh:mm:ss of 24 hours)"

// endsInHalf says that a time ends in AM or PM, in whatever case and with points.
func endsInHalf(s string) bool {
	s = strings.TrimRight(s, ". ")
	if s == "" || s[len(s)-1]|0x20 != 'm' {
		return false
	}
	s = strings.TrimRight(s[:len(s)-1], ". ")
	return s != "" && (s[len(s)-1]|0x20 == 'a' || s[len(s)-1]|0x20 == 'p')
}

func twoDigits(s string, most int) (int, bool) {
	if len(s) < 1 || len(s) > 2 {
		return 0, false
	}
	v := 0
	for _, c := range []byte(s) {
		if c-'0' > 9 {
			return 0, false
		}
		v = v*10 + int(c-'0')
	}
	return v, v <= most
}

func date(s string) (time.Duration, bool) {
	for _, layout := range []string{"2006-01-02", "02.01.2006", "2.1.2006"} {
		if t, err := time.Parse(layout, s); err == nil && t.Year() >= 1900 && t.Year() <= 2200 {
			return time.Duration(t.Unix()) * time.Second, true
		}
	}
	return 0, false
}
