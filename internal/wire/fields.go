package wire

import (
	"unicode"
	"unicode/utf8"
)

// columns decodes the fields of a line into l.
func (d *Decoder) columns(body []byte, l *Line) bool {
	if d.xor {
		var ok bool
		if body, ok = payload(trim(body)); !ok {
			return false
		}
		body = d.trim(body)
	}
	for k, col := range d.cols {
		field := body
		if i := d.fieldEnd(body); k < len(d.cols)-1 {
			if i < 0 {
				return false
			}
			field, body = body[:i], body[i+1:]
			if d.sep == blanks {
				body = trim(body)
			}
		} else if i >= 0 {
			return false // a field too many: another layout, or a lost line end
		}
		field = d.trim(field)
		switch col {
		case colTime:
			dev, ok := parseTicks(field, d.tick)
			if !ok {
				return false
			}
			l.Dev, l.DevText, l.HasDev = dev, field, true
		case colRaw:
			raw, ok := ParseNumber(field)
			if !ok {
				return false
			}
			l.Raw, l.RawText = raw, field
		}
	}
	return true
}

// fieldEnd finds the separator after the first field, or -1.
func (d *Decoder) fieldEnd(b []byte) int {
	for i, c := range b {
		if c == d.sep || d.sep == blanks && c == '\t' {
			return i
		}
	}
	return -1
}

// payload checks the XOR checksum of "$payload*HH" as in NMEA 0183 and gives
// what is between. HH is two hexadecimal digits of either case.
func payload(b []byte) ([]byte, bool) {
	n := len(b)
	if n < 4 || b[0] != '$' || b[n-3] != '*' {
		return nil, false
	}
	hi, ok1 := hexDigit(b[n-2])
	lo, ok2 := hexDigit(b[n-1])
	var sum byte
	for _, c := range b[1 : n-3] {
		sum ^= c
	}
	return b[1 : n-3], ok1 && ok2 && sum == hi<<4|lo
}

func hexDigit(c byte) (byte, bool) {
	switch {
	case isDigit(c):
		return c - '0', true
	case c|0x20 >= 'a' && c|0x20 <= 'f':
		return c | 0x20 - 'a' + 10, true
	}
	return 0, false
}

// trim takes blanks and tabs off both ends, but leaves tabs that separate
// columns.
func (d *Decoder) trim(b []byte) []byte {
	if d.sep != '\t' {
		return trim(b)
	}
	for len(b) > 0 && b[0] == ' ' {
		b = b[1:]
	}
	for len(b) > 0 && b[len(b)-1] == ' ' {
		b = b[:len(b)-1]
	}
	return b
}

// trim takes blanks and tabs off both ends.
func trim(b []byte) []byte {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\t') {
		b = b[1:]
	}
	for len(b) > 0 && (b[len(b)-1] == ' ' || b[len(b)-1] == '\t') {
		b = b[:len(b)-1]
	}
	return b
}

// printable says that a person could have written the line: UTF-8 without
// control characters.
func printable(b []byte) bool {
	for len(b) > 0 {
		r, n := utf8.DecodeRune(b)
		if r == utf8.RuneError && n <= 1 || r != '\t' && !unicode.IsPrint(r) {
			return false
		}
		b = b[n:]
	}
	return true
}
