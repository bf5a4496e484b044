package bench

import (
	"slices"
	"strconv"
	"strings"
)

// nextID is the specimen number after id: its last digits counted up, with as
// many zeros before them as there were; where it ends in no digit, or is empty,
// the first number that is free. None of taken.
func nextID(id string, taken []string) string {
	stem := strings.TrimRight(id, "0123456789")
	digits := id[len(stem):]
	if digits == "" {
		if stem = id; stem != "" {
			stem = cut(stem, maxName-8) + "-"
			digits = "1"
		} else {
			digits = "0"
		}
	}
	for range len(taken) + 1 {
		digits = countUp(digits)
		if len(stem)+len(digits) > maxName { // nobody counts so far
			stem, digits = "", "1"
		}
		if !slices.Contains(taken, stem+digits) {
			break
		}
	}
	return stem + digits
}

// countUp is a decimal number plus one, of any length.
func countUp(digits string) string {
	b := []byte(digits)
	for i := len(b) - 1; i >= 0; i-- {
		if b[i] < '9' {
			b[i]++
			return string(b)
		}
		b[i] = '0'
	}
	return "1" + string(b)
}

// cut is at most n bytes of s, in whole characters.
func cut(s string, n int) string {
	if len(s) <= n {
		return s
	}
	for n > 0 && s[n]&0xc0 == 0x80 {
		n--
	}
	return s[:n]
}

// many is a number with its thing.
func many(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}
