package picture

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
)

// filler stands in the second cell of a wide character while it is in the
// emulator, which thinks every character one cell wide.
const filler = '\U0010FFFD'

// tidy is a filter in front of the emulator. It mends what that gets wrong
// (vt10x at the version of go.mod, each seen in a test):
//
//   - wide characters take two cells, combining marks and variation selectors none
//   - a character whose bytes arrive apart is kept whole
//   - colours 38;2;0;0;b would be taken for palette entry b
//   - dim is unknown to it: sent as blink, which a picture has no use for
//   - empty parameters, colon parameters, underline colours (58)
//   - of the texts within OSC, DCS and the like only window titles pass; questions
//     about the colours are answered here, with the theme's
//   - CSI with a private mark it mistakes for a plain one (CSI > … m, CSI < u)
//     and parameters that are no numbers are dropped
type tidy struct {
	out   io.Writer
	state tidyState
	held  []byte    // bytes of a character not yet whole
	csi   []byte    // parameters of the sequence being read
	osc   []byte    // text of the OSC being read
	is    rune      // what kind of text: ']' for OSC
	ask   io.Writer // takes answers; nil: none are given
	theme Theme
	buf   bytes.Buffer
}

type tidyState uint8

const (
	plain      tidyState = iota
	escape               // after ESC
	sequence             // after CSI
	text                 // within OSC, DCS, APC, PM, SOS
	textEscape           // after ESC within text
	charset              // after ESC ( and the like
)

// maxSequence bounds what one CSI may hold; the emulator's own bound is the
// same. maxText bounds what is kept of an OSC.
const (
	maxSequence = 256
	maxText     = 1024
)

func (t *tidy) Write(p []byte) (int, error) {
	in := p
	if len(t.held) > 0 {
		in = append(t.held, p...)
		t.held = nil
	}
	t.buf.Reset()
	for len(in) > 0 {
		if !utf8.FullRune(in) {
			t.held = append([]byte(nil), in...)
			break
		}
		r, n := utf8.DecodeRune(in)
		t.rune(r)
		in = in[n:]
	}
	if _, err := t.out.Write(t.buf.Bytes()); err != nil {
		return 0, err
	}
	return len(p), nil
}

func (t *tidy) rune(r rune) {
	switch t.state {
	case plain:
		if r == 0x1b {
			t.state = escape
			return
		}
		t.plain(r)
	case escape:
		t.escape(r)
	case sequence:
		switch {
		case r >= 0x40 && r <= 0x7e:
			t.buf.WriteString(rewrite(string(t.csi), byte(r)))
			t.state = plain
		case r == 0x1b:
			t.state = escape
		case r >= 0x80 || len(t.csi) >= maxSequence:
			t.state = plain // no sequence after all
		case r >= 0x20:
			t.csi = append(t.csi, byte(r))
		default:
			t.buf.WriteRune(r) // a control within a sequence acts at once
		}
	case text:
		switch {
		case r == 0x1b:
			t.state = textEscape
		case r == 0x07:
			t.told()
		case len(t.osc) < maxText && r >= ' ':
			t.osc = utf8.AppendRune(t.osc, r)
		}
	case textEscape:
		if r == '\\' {
			t.told()
		} else {
			t.escape(r) // the text was given up for another sequence
		}
	case charset:
		t.buf.WriteRune(r)
		t.state = plain
	}
}

func (t *tidy) plain(r rune) {
	if r < 0x300 || r == filler {
		if r != filler {
			t.buf.WriteRune(r)
		}
		return
	}
	switch ansi.StringWidth(string(r)) {
	case 0: // a mark on the character before: not drawn
	case 2:
		t.buf.WriteRune(r)
		t.buf.WriteRune(filler)
	default:
		t.buf.WriteRune(r)
	}
}

func (t *tidy) escape(r rune) {
	t.state = plain
	switch r {
	case '[':
		t.state, t.csi = sequence, t.csi[:0]
		return
	case ']', 'P', '_', '^', 'X':
		t.state, t.is, t.osc = text, r, t.osc[:0]
		return
	case '(', ')', '*', '+', '#':
		t.state = charset
	case 0x1b:
		t.state = escape
		return
	}
	t.buf.WriteByte(0x1b)
	t.buf.WriteRune(r)
}

// told acts on a text that has come to its end.
func (t *tidy) told() {
	t.state = plain
	if t.is != ']' {
		return
	}
	number, rest, _ := strings.Cut(string(t.osc), ";")
	switch {
	case number == "0" || number == "2":
		t.buf.WriteString("\x1b]2;" + rest + "\a")
	case rest == "?" && t.ask != nil && (number == "10" || number == "11"):
		c := t.theme.FG
		if number == "11" {
			c = t.theme.BG
		}
		// The emulator answers the same way: a program that has gone is no error.
		fmt.Fprintf(t.ask, "\x1b]%s;rgb:%02x%02x/%02x%02x/%02x%02x\x1b\\", number, c.R, c.R, c.G, c.G, c.B, c.B)
	}
}

// rewrite gives a CSI in the form the emulator understands, or nothing.
func rewrite(params string, final byte) string {
	private := strings.HasPrefix(params, "?")
	if private && strings.IndexByte("hlJK", final) < 0 {
		return ""
	}
	if strings.Trim(strings.TrimPrefix(params, "?"), "0123456789;:") != "" {
		return "" // another private mark, or an intermediate: nothing it knows
	}
	if final == 'm' {
		return "\x1b[" + strings.Join(attributes(params), ";") + "m"
	}
	if strings.Contains(params, ";") {
		parts := strings.Split(params, ";")
		for i, p := range parts {
			if p == "" {
				parts[i] = "0"
			}
		}
		params = strings.Join(parts, ";")
	}
	return "\x1b[" + params + string(final)
}

// attributes rewrites the parameters of SGR.
func attributes(params string) []string {
	var out []string
	in := strings.Split(params, ";")
	for i := 0; i < len(in); i++ {
		p := in[i]
		if main, sub, ok := strings.Cut(p, ":"); ok { // 4:3, 38:2::r:g:b, 38:5:n
			if p = main; main == "4" && sub == "0" {
				p = "24"
			} else if colour := strings.Split(sub, ":"); main != "4" && len(colour) > 1 {
				if len(colour) == 5 { // with a colour space, which nobody uses
					colour = append(colour[:1:1], colour[2:]...)
				}
				in = append(append(in[:i:i], append([]string{main}, colour...)...), in[i+1:]...)
			}
		}
		switch p {
		case "":
			out = append(out, "0")
		case "2":
			out = append(out, "5")
		case "5", "6": // blink: a picture stands still
		case "22":
			out = append(out, "22", "25")
		case "38", "48", "58":
			n := 2
			if i+1 < len(in) && in[i+1] == "2" {
				n = 4
			}
			if i+n >= len(in) || p == "58" { // cut short, or not drawn
				i += n
				continue
			}
			c := append([]string{p}, in[i+1:i+1+n]...)
			i += n
			if n == 4 && zero(c[2]) && zero(c[3]) {
				c[3] = "1"
			}
			out = append(out, c...)
		default:
			out = append(out, p)
		}
	}
	if len(out) == 0 {
		out = []string{"99"} // no effect: an empty list would reset everything
	}
	return out
}

func zero(s string) bool { return strings.Trim(s, "0") == "" }
