package tui

import (
	"strings"
	"unicode"

	"github.com/charmbracelet/x/ansi"
)

// clean makes a text from outside (a device, a file, a flag) safe to draw on
// one line. Control characters and escape sequences go, and so does everything
// that terminals do not agree about: bytes that are no UTF-8, direction
// overrides and other format characters, the joiners and selectors that change
// how wide an emoji is, and more than two marks on one letter. Runs of blanks
// become one.
func clean(s string) string {
	if isPlain(s) {
		return s
	}
	var b strings.Builder
	marks, blank := 0, true
	for _, r := range ansi.Strip(strings.ToValidUTF8(s, "")) {
		switch {
		case r == '\t' || r == '\n' || r == '\r' || unicode.IsSpace(r):
			if !blank {
				b.WriteByte(' ')
			}
			marks, blank = 0, true
			continue
		case unicode.IsControl(r), unicode.In(r, unicode.Cf, unicode.Co, unicode.Cs, unicode.Zl, unicode.Zp),
			r >= 0xfe00 && r <= 0xfe0f, r >= 0x1f3fb && r <= 0x1f3ff, r >= 0xe0000:
			continue
		case unicode.In(r, unicode.M):
			if marks++; marks > 2 || blank {
				continue
			}
		default:
			marks, blank = 0, false
		}
		b.WriteRune(r)
	}
	return strings.TrimRight(b.String(), " ")
}

// isPlain says that s is printable ASCII without runs of blanks at all, which
// is nearly every name there is.
func isPlain(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' || s[i] == ' ' && (i == 0 || i == len(s)-1 || s[i-1] == ' ') {
			return false
		}
	}
	return true
}

// cut shortens a text to w cells, with an ellipsis where something was lost.
func cut(s string, w int) string {
	if w <= 0 {
		return ""
	}
	if len(s) <= w { // never more cells than bytes
		return s
	}
	return ansi.Truncate(s, w, "…")
}

// cutMiddle leaves the begin and the end of a text in w cells: bars of one melt differ
// at their end.
func cutMiddle(s string, w int) string {
	wide := ansi.StringWidth(s)
	if wide <= w || w < 5 {
		return cut(s, w)
	}
	end := (w - 1) / 2
	tail := ansi.TruncateLeft(s, wide-end, "")
	if ansi.StringWidth(tail) > end { // a letter of two cells stood on the edge
		tail = ansi.TruncateLeft(s, wide-end+1, "")
	}
	return ansi.Truncate(s, w-1-end, "") + "…" + tail
}

// wrap breaks a text at blanks into at most n lines of w cells; the last is cut.
func wrap(s string, w, n int) []string {
	return wrapWords(strings.Fields(s), w, n)
}

// wrapWords breaks words as wrap does; a blank within one is no place to break.
func wrapWords(words []string, w, n int) []string {
	var out []string
	line := ""
	for _, word := range words {
		switch {
		case line == "":
			line = word
		case ansi.StringWidth(line)+1+ansi.StringWidth(word) <= w:
			line += " " + word
		case len(out) == n-1:
			line += " " + word
		default:
			out = append(out, cut(line, w))
			line = word
		}
	}
	if line != "" && n > 0 {
		out = append(out, cut(line, w))
	}
	return out
}

// unbound are what never stands alone behind a figure, and figured what does not before
// one.
const (
	unbound = " % ksi psi MPa kN N lbf in mm "
	figured = " ± p t k m n G F < "
)

// bound puts words together that are read as one, where that has room in w cells: a
// figure and its unit, a letter and what it is.
func bound(words []string, w int) []string {
	var out []string
	for _, word := range words {
		if n := len(out); n > 0 && ansi.StringWidth(out[n-1])+1+ansi.StringWidth(word) <= w && oneWith(out[n-1], word) {
			out[n-1] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}

// oneWith says that a word is read as one with what stands before it.
func oneWith(before, word string) bool {
	digit := func(c byte) bool { return c >= '0' && c <= '9' }
	if digit(before[len(before)-1]) && strings.Contains(unbound, " "+strings.TrimRight(word, ".,;:)")+" ") {
		return true
	}
	last := strings.TrimLeft(before[strings.LastIndexByte(before, ' ')+1:], "(")
	bare := strings.TrimLeft(word, "−-")
	return bare != "" && (digit(bare[0]) || bare == "<") && strings.Contains(figured, " "+last+" ")
}

// joinFit joins parts with three blanks as long as they fit into w cells; what
// does not fit is left out whole, the first is cut.
func joinFit(w int, parts ...string) string {
	line := ""
	for _, p := range parts {
		switch {
		case p == "":
		case line == "":
			line = cut(p, w)
		case ansi.StringWidth(line)+3+ansi.StringWidth(p) <= w:
			line += "   " + p
		}
	}
	return line
}

// troubleText is an error in w cells: whole where it fits, else with short
// paths, else its cause first.
func troubleText(s string, w int) string {
	s = clean(s)
	if ansi.StringWidth(s) <= w {
		return s
	}
	if s = shortPaths(s); ansi.StringWidth(s) <= w {
		return s
	}
	cause, doing := errorCause(s)
	return joinFit(w, cause, doing)
}

// errorCause takes an error apart into its cause and what was being done, such
// as "no space left on device" and "save to …: write samples.csv". Paths are
// short in both.
func errorCause(s string) (cause, doing string) {
	rest := shortPaths(clean(s))
	for {
		part, after, ok := cutColon(rest)
		if !ok || !isDoing(part) {
			break
		}
		if doing != "" {
			doing += ": "
		}
		doing, rest = doing+part, after
	}
	if doing != "" {
		doing = "(" + doing + ")"
	}
	return rest, doing
}

// isDoing says that a part of an error names an operation, not what went wrong.
func isDoing(part string) bool {
	verb, _, _ := strings.Cut(part, " ")
	switch verb {
	case "save", "write", "writing", "sync", "close", "open", "read", "mkdir", "rename", "link", "lock", "begin", "make":
		return true
	}
	return false
}

// cutColon cuts at the first colon and blank that are not in quotes.
func cutColon(s string) (before, after string, ok bool) {
	quoted := false
	for i := range len(s) {
		switch {
		case s[i] == '"':
			quoted = !quoted
		case s[i] == ':' && !quoted && strings.HasPrefix(s[i:], ": "):
			return s[:i], s[i+2:], true
		}
	}
	return s, "", false
}

// shortPaths leaves of every path, quoted or not, its last element.
func shortPaths(s string) string {
	var b strings.Builder
	for s != "" {
		end := strings.IndexByte(s, ' ')
		if s[0] == '"' {
			if i := strings.IndexByte(s[1:], '"'); i >= 0 {
				end = i + 2
			}
		}
		switch end {
		case -1:
			end = len(s)
		case 0:
			end = 1
		}
		word := s[:end]
		s = s[end:]
		quote := strings.TrimLeft(word, `"`)
		if i := strings.LastIndexByte(word, '/'); i > 0 && strings.HasPrefix(quote, "/") {
			word = word[:len(word)-len(quote)] + "…" + word[i:]
		}
		b.WriteString(word)
	}
	return b.String()
}
