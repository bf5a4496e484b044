package record

import (
	"bytes"
	"strconv"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/wire"
)

// header is the first line of samples.csv.
const header = "t_us,dev_t,raw,note"

// Bounds on what one line carries, in bytes before escaping.
const (
	MaxField    = wire.MaxField // dev_t and raw
	MaxEvidence = 64            // the text of a mark, the note of a reading
)

// maxLine bounds a line: 16 digits of time, and fields that escaping makes at
// most four times as long, come to less than 500.
const maxLine = 1024

// marks are the words of the marks in the note column.
var marks = [...]struct {
	mark pull.Mark
	word string
}{
	{pull.Bad, "bad"},
	{pull.Lost, "lost"},
	{pull.Back, "back"},
	{pull.Silent, "silent"},
	{pull.Reset, "reset"},
	{pull.TakeZero, "zero"},
	{pull.Ack, "ack"},
	{pull.End, "end"},
}

// word is the note word of a mark, "" for none of the marks.
func word(m pull.Mark) string {
	for _, w := range marks {
		if w.mark == m {
			return w.word
		}
	}
	return ""
}

// appendLine adds one line of samples.csv with its line end. raw must be a
// number, or empty where the line is a mark.
func appendLine[D, N string | []byte](dst []byte, us int64, dev D, raw []byte, note N) []byte {
	dst = strconv.AppendInt(dst, us, 10)
	dst = append(dst, ',')
	dst = appendField(dst, dev)
	dst = append(dst, ',')
	dst = append(dst, raw...)
	dst = append(dst, ',')
	dst = appendField(dst, note)
	return append(dst, '\n')
}

// appendNote adds the note of a mark, before escaping: the word, for bad lines
// "=" and how many, and the evidence, which takes the rest.
func appendNote(dst []byte, m pull.Mark, count int, text string) []byte {
	dst = append(dst, word(m)...)
	if m == pull.Bad {
		dst = append(dst, '=')
		dst = strconv.AppendInt(dst, int64(count), 10)
	}
	if text != "" {
		dst = append(dst, " text="...)
		dst = append(dst, text...)
	}
	return dst
}

// parseNote is the way back; ok is false for anything appendNote would not
// have written.
func parseNote(note []byte) (m pull.Mark, count int, text []byte, ok bool) {
	w, rest, hasRest := bytes.Cut(note, []byte{' '})
	if hasRest {
		text, ok = bytes.CutPrefix(rest, []byte("text="))
		if !ok || len(text) == 0 {
			return 0, 0, nil, false
		}
	}
	w, number, hasNumber := bytes.Cut(w, []byte{'='})
	for _, k := range marks {
		if k.word == string(w) {
			m = k.mark
		}
	}
	if m == pull.NoMark || hasNumber != (m == pull.Bad) {
		return 0, 0, nil, false
	}
	if hasNumber {
		n, err := strconv.ParseInt(string(number), 10, 32)
		if err != nil || n < 1 || number[0] == '+' || number[0] == '0' {
			return 0, 0, nil, false
		}
		count = int(n)
	}
	return m, count, text, true
}

// plain says of each byte whether it stands for itself in a field: printable
// ASCII but the backslash of our escapes and the two characters CSV quotes for.
var plain = func() (p [256]bool) {
	for c := ' '; c <= '~'; c++ {
		p[c] = c != '\\' && c != '"' && c != ','
	}
	return p
}()

// appendField adds one CSV field. Outside printable ASCII a byte becomes \xhh,
// a backslash becomes two: no line end and no control character ever stands in
// the file. Then RFC 4180: a field with a comma or a quote is quoted, its
// quotes doubled.
func appendField[S string | []byte](dst []byte, s S) []byte {
	i := 0
	for i < len(s) && plain[s[i]] {
		i++
	}
	if i == len(s) {
		return append(dst, s...)
	}
	quoted := false
	for _, c := range []byte(s[i:]) {
		quoted = quoted || c == ',' || c == '"'
	}
	if quoted {
		dst = append(dst, '"')
	}
	const hex = "0123456789abcdef"
	for i := range len(s) {
		switch c := s[i]; {
		case plain[c] || c == ',':
			dst = append(dst, c)
		case c == '"':
			dst = append(dst, '"', '"')
		case c == '\\':
			dst = append(dst, '\\', '\\')
		default:
			dst = append(dst, '\\', 'x', hex[c>>4], hex[c&15])
		}
	}
	if quoted {
		dst = append(dst, '"')
	}
	return dst
}

// cutField takes the first field off a line. It returns the field as it
// stands, what follows its comma, and whether there was a comma. bad names
// what is wrong with the quoting.
func cutField(line []byte) (field, rest []byte, more bool, bad string) {
	if len(line) == 0 || line[0] != '"' {
		field, rest, more = bytes.Cut(line, []byte{','})
		return field, rest, more, ""
	}
	for i := 1; i < len(line); i++ {
		if line[i] != '"' {
			continue
		}
		if i+1 < len(line) && line[i+1] == '"' {
			i++
			continue
		}
		field, rest = line[:i+1], line[i+1:]
		if len(rest) == 0 {
			return field, nil, false, ""
		}
		if rest[0] != ',' {
			return nil, nil, false, "text after a closing quote"
		}
		return field, rest[1:], true, ""
	}
	return nil, nil, false, "a quote is not closed"
}

// decodeField undoes appendField onto dst, and refuses whatever appendField
// would have written otherwise.
func decodeField(dst, field []byte) (out []byte, bad string) {
	body := field
	quoted := len(field) > 0 && field[0] == '"'
	if quoted {
		body = field[1 : len(field)-1]
	}
	needed := false
	for i := 0; i < len(body); i++ {
		switch c := body[i]; {
		case plain[c]:
			dst = append(dst, c)
		case c == ',':
			needed = true
			dst = append(dst, c)
		case c == '"':
			if !quoted {
				return nil, "a quote inside an unquoted field"
			}
			needed = true
			dst = append(dst, c)
			i++ // cutField saw that it is doubled
		case c == '\\' && i+1 < len(body) && body[i+1] == '\\':
			dst = append(dst, c)
			i++
		case c == '\\' && i+3 < len(body) && body[i+1] == 'x':
			hi, lo := strings.IndexByte("0123456789abcdef", body[i+2]), strings.IndexByte("0123456789abcdef", body[i+3])
			if hi < 0 || lo < 0 {
				return nil, "an escape that is none"
			}
			b := byte(hi<<4 | lo)
			if b >= ' ' && b <= '~' {
				return nil, "an escape that is not needed"
			}
			dst = append(dst, b)
			i += 3
		case c == '\\':
			return nil, "an escape that is none"
		default:
			return nil, "a byte that is no printable ASCII"
		}
	}
	if quoted && !needed {
		return nil, "a field quoted without need"
	}
	return dst, ""
}
