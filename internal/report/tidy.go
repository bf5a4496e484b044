package report

import (
	"io"
	"strings"
	"unicode"
)

// Bounds on what is shown of a text from outside, and of a list of them. A
// record of ours keeps far below; one that somebody made by hand may not.
const (
	mostText = 1200 // characters
	mostRows = 200
)

// tidy is a text from outside as one line: no control character, nothing that
// turns the direction of writing, valid UTF-8, and cut where it has no end. What
// it holds beyond that is text, and the template escapes it.
func tidy(s string) string {
	if len(s) > 8*mostText {
		s = s[:8*mostText]
	}
	n := 0
	out := strings.Map(func(r rune) rune {
		n++
		switch {
		case n > mostText:
			return -1
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case hidden(r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
	if n > mostText {
		out += " …"
	}
	return strings.TrimSpace(out)
}

// hidden says that a character shows nothing and steers what does: controls, and
// the marks that turn or hide writing.
func hidden(r rune) bool {
	return unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Co, unicode.Zl, unicode.Zp)
}

// tidied are texts as tidy gives them, empty ones left out, at most mostRows.
func tidied(in []string) []string {
	var out []string
	for i, s := range in {
		if i == mostRows {
			return append(out, "… and more that are not shown")
		}
		if s = tidy(s); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// plainWriter takes out of a finished page what no page of ours holds: control
// characters but the line feed, and the marks that turn writing. tidy has done so
// for every text that is known to come from outside; this is for the one that
// somebody forgets.
type plainWriter struct{ strings.Builder }

func (w *plainWriter) writeTo(out io.Writer) error {
	text := strings.Map(func(r rune) rune {
		if r != '\n' && hidden(r) {
			return -1
		}
		return r
	}, w.String())
	_, err := io.WriteString(out, text)
	return err
}
