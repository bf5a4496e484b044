package sheet

import (
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// maxText bounds a text: beyond it offsets and times would still be right, but
// nobody writes a pull that large.
const maxText = 1 << 30

// decode makes a text of bytes and names its encoding. What is no UTF-8 is
// Latin-1: any bytes are, so the result is only as right as the column names
// look, and it is said.
func decode(data []byte) (text, encoding string, err error) {
	const next = "save it as text (CSV) from the program that made it"
	switch {
	case len(data) > maxText:
		return "", "", bad("cut it into parts", "the file is larger than %d bytes", maxText)
	case len(data) >= 2 && (data[0] == 0xFF && data[1] == 0xFE || data[0] == 0xFE && data[1] == 0xFF):
		text, ok := fromUTF16(data)
		if !ok {
			return "", "", bad(next, "the file begins like UTF-16 and has an odd number of bytes")
		}
		return text, "UTF-16", nil
	case strings.HasPrefix(string(data[:min(3, len(data))]), "\xEF\xBB\xBF"):
		data, encoding = data[3:], "UTF-8 with a byte order mark"
	}
	ascii, zero := true, false
	for _, c := range data {
		ascii = ascii && c < utf8.RuneSelf
		zero = zero || c == 0
	}
	switch {
	case zero:
		return "", "", noTable(next, "the file is no text: it holds zero bytes")
	case ascii && encoding == "":
		return string(data), "ASCII", nil
	case ascii || utf8.Valid(data):
		if encoding == "" {
			encoding = "UTF-8"
		}
		return string(data), encoding, nil
	case encoding != "":
		return "", "", bad(next, "the file begins with the mark of UTF-8 and is not UTF-8")
	}
	var b strings.Builder
	b.Grow(len(data) + len(data)/8)
	for _, c := range data {
		b.WriteRune(rune(c))
	}
	return b.String(), "Latin-1", nil
}

func fromUTF16(data []byte) (text string, ok bool) {
	if len(data)%2 != 0 {
		return "", false
	}
	big := data[0] == 0xFE
	units := make([]uint16, 0, len(data)/2-1)
	for i := 2; i < len(data); i += 2 {
		lo, hi := data[i], data[i+1]
		if big {
			lo, hi = hi, lo
		}
		units = append(units, uint16(hi)<<8|uint16(lo))
	}
	return string(utf16.Decode(units)), true
}

// span is a line in the text, without its end.
type span struct{ from, to int }

// lines cuts the text at LF, CR LF and CR. A text that ends with a line end has
// no empty line after it.
func lines(text string) (out []span, end string) {
	out = make([]span, 0, strings.Count(text, "\n")+1)
	from := 0
	for from < len(text) {
		i := strings.IndexAny(text[from:], "\r\n")
		if i < 0 {
			out = append(out, span{from, len(text)})
			break
		}
		i += from
		out = append(out, span{from, i})
		kind := "LF"
		if text[i] == '\r' {
			kind = "CR"
			if i+1 < len(text) && text[i+1] == '\n' {
				kind = "CR LF"
				i++
			}
		}
		if end == "" {
			end = kind
		}
		from = i + 1
	}
	return out, end
}
