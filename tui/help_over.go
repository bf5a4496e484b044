package tui

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// helpOver is help over the screen in front: what its keys do, and what stands
// where. The screen goes on below it.
type helpOver struct {
	title string
	rows  []helpRow
	from  int // first line shown
}

// watched screens have a line that must stay in sight under help.
type watchedScreen interface {
	mostUrgent(w int) (string, ink)
}

// keyRows are the keys that work now, with their words.
func keyRows(keys ...key.Binding) []helpRow {
	var rows []helpRow
	for _, k := range keys {
		if k.Enabled() {
			rows = append(rows, helpRow{k.Help().Key, k.Help().Desc})
		}
	}
	return rows
}

// lines are the rows wrapped into w cells.
func (h *helpOver) lines(w int) []helpRow {
	label := helpLabel
	for _, r := range h.rows {
		if r.text != "" {
			label = max(label, len([]rune(r.label))+2)
		}
	}
	var out []helpRow
	for _, r := range h.rows {
		if r.text == "" { // a blank line, or a heading
			out = append(out, r)
			continue
		}
		for i, l := range wrap(r.text, min(max(1, w-label), 90), 6) {
			name := r.label
			if i > 0 {
				name = ""
			}
			out = append(out, helpRow{name + strings.Repeat(" ", max(0, label-len([]rune(name)))), l})
		}
	}
	return out
}

// pressed takes a key and says whether the help is to close.
func (h *helpOver) pressed(msg tea.KeyMsg, w, height int) bool {
	page := max(1, height-4)
	switch msg.String() {
	case "down", "j":
		h.from++
	case "up", "k":
		h.from--
	case "pgdown", " ":
		h.from += page
	case "pgup":
		h.from -= page
	default:
		return true
	}
	h.from = max(0, min(h.from, len(h.lines(w-4))-page))
	return false
}

func (h *helpOver) view(t *theme, w, height int, below tea.Model) string {
	if w <= 0 || height <= 0 {
		return ""
	}
	var p plate
	p.reset(w, height)
	p.text(2, 0, w-4, h.title, strong)
	y := 1
	if s, ok := below.(watchedScreen); ok {
		if line, k := s.mostUrgent(w - 4); line != "" {
			if k >= cautionBar {
				p.band(y, k)
			}
			p.text(2, y, w-4, line, k)
			y++
		}
	}
	y++
	lines := h.lines(w - 4)
	from := max(0, min(h.from, len(lines)-1))
	bottom := height - 1
	for _, r := range lines[from:] {
		if y >= bottom {
			break
		}
		x := p.text(2, y, w-4, r.label, strong)
		p.text(x, y, w-2-x, r.text, plain)
		y++
	}
	foot := "any other key closes this"
	if len(lines) > bottom-3 {
		foot = "up and down for more; any other key closes this"
	}
	p.text(2, bottom, w-4, foot, faint)
	return p.frame(t)
}
