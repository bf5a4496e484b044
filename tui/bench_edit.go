package tui

import (
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"

	tea "github.com/charmbracelet/bubbletea"
)

// mostTyped is how many characters a line takes: names are short, and a paste
// gone wrong must not fill the memory.
const mostTyped = 400

// lineEdit is one line being typed. It moves and deletes by what a person sees
// as one character, and takes nothing that is not drawn.
type lineEdit struct {
	parts []string // one character each
	at    int      // the cursor stands before this one
	offer bool     // nobody has touched it: what is typed first takes its place
}

// offered is a line with a text to take as it is, to change, or to type another for.
func offered(text string) lineEdit {
	e := newLineEdit(text)
	e.offer = true
	return e
}

func newLineEdit(text string) lineEdit {
	var e lineEdit
	e.insert(text)
	return e
}

func (e *lineEdit) text() string {
	t := ""
	for _, p := range e.parts {
		t += p
	}
	return t
}

// before is how many bytes of the text stand before the cursor.
func (e *lineEdit) before() (n int) {
	for _, p := range e.parts[:e.at] {
		n += len(p)
	}
	return n
}

// insert puts text in at the cursor. Line ends and tabs of a paste become blanks.
func (e *lineEdit) insert(text string) {
	text = typed(text)
	var in []string
	for text != "" {
		cluster, _ := ansi.FirstGraphemeCluster(text, ansi.GraphemeWidth)
		if cluster == "" {
			break
		}
		text = text[len(cluster):]
		in = append(in, cluster)
	}
	in = in[:min(len(in), max(0, mostTyped-len(e.parts)))]
	e.parts = append(e.parts[:e.at:e.at], append(in, e.parts[e.at:]...)...)
	e.at += len(in)
	// A mark typed by itself joins the letter before it.
	if joined := split(e.text()); len(joined) != len(e.parts) {
		e.at -= len(e.parts) - len(joined)
		e.parts, e.at = joined, max(0, min(e.at, len(joined)))
	}
}

func split(s string) []string {
	var out []string
	for s != "" {
		cluster, _ := ansi.FirstGraphemeCluster(s, ansi.GraphemeWidth)
		if cluster == "" {
			break
		}
		out, s = append(out, cluster), s[len(cluster):]
	}
	return out
}

// typed is clean, but for the blanks at the ends: who types a blank means one.
func typed(s string) string {
	if s == "" {
		return ""
	}
	first, _ := utf8.DecodeRuneInString(s)
	last, _ := utf8.DecodeLastRuneInString(s)
	t := clean(s)
	if unicode.IsSpace(first) {
		t = " " + t
	}
	if t != " " && unicode.IsSpace(last) {
		t += " "
	}
	return t
}

// pressed takes a key and says whether it was one of a line's. Control keys the
// line has no use for are not taken.
func (e *lineEdit) pressed(msg tea.KeyMsg) bool {
	offer := e.offer
	e.offer = false
	switch msg.Type {
	case tea.KeyRunes, tea.KeySpace:
		if !msg.Alt {
			if offer {
				*e = lineEdit{}
			}
			e.insert(string(msg.Runes))
		}
	case tea.KeyLeft, tea.KeyCtrlB:
		e.at = max(0, e.at-1)
	case tea.KeyRight, tea.KeyCtrlF:
		e.at = min(len(e.parts), e.at+1)
	case tea.KeyHome, tea.KeyCtrlA:
		e.at = 0
	case tea.KeyEnd, tea.KeyCtrlE:
		e.at = len(e.parts)
	case tea.KeyBackspace:
		if e.at > 0 {
			e.parts = append(e.parts[:e.at-1:e.at-1], e.parts[e.at:]...)
			e.at--
		}
	case tea.KeyDelete, tea.KeyCtrlD:
		if e.at < len(e.parts) {
			e.parts = append(e.parts[:e.at:e.at], e.parts[e.at+1:]...)
		}
	case tea.KeyCtrlU:
		e.parts, e.at = append([]string(nil), e.parts[e.at:]...), 0
	case tea.KeyCtrlK:
		e.parts = e.parts[:e.at:e.at]
	case tea.KeyCtrlW:
		from := e.at
		for from > 0 && e.parts[from-1] == " " {
			from--
		}
		for from > 0 && e.parts[from-1] != " " {
			from--
		}
		e.parts, e.at = append(e.parts[:from:from], e.parts[e.at:]...), from
	default:
		return false
	}
	return true
}

// draw writes the line with its cursor into w cells; of a longer one, the part
// around the cursor.
func (e *lineEdit) draw(p *plate, x, y, w int) {
	from, used := e.at, 1
	for from > 0 {
		n := ansi.StringWidth(e.parts[from-1])
		if used+n > max(1, w-2) {
			break
		}
		used += n
		from--
	}
	end := x + w
	if from > 0 && w > 2 {
		x = p.text(x, y, 1, "…", faint)
	}
	for i := from; i <= len(e.parts) && x < end; i++ {
		if i == e.at {
			p.set(x, y, '▏', live)
			x++
		}
		if i < len(e.parts) {
			x = p.text(x, y, end-x, e.parts[i], strong)
		}
	}
}
