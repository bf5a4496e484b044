package tui

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/record"
)

// labelForm are the three lines of a label, one of them being typed.
type labelForm struct {
	lines [3]lineEdit // melt, number of the bar, tags
	at    int
}

// labelNames are the lines of the form.
func labelNames() [3]string { return [3]string{"melt", "bar", "tags"} }

func newLabelForm(l record.Label) labelForm {
	return labelForm{lines: [3]lineEdit{newLineEdit(clean(l.Melt)), newLineEdit(clean(l.ID)), newLineEdit(clean(strings.Join(l.Tags, ", ")))}}
}

// label is what the form says; the error says what is missing.
func (f *labelForm) label() (record.Label, error) {
	l := record.Label{Melt: clean(f.lines[0].text()), ID: clean(f.lines[1].text())}
	for _, t := range strings.Split(f.lines[2].text(), ",") {
		if t = clean(t); t != "" && !slices.Contains(l.Tags, t) {
			l.Tags = append(l.Tags, t)
		}
	}
	if l.Melt == "" && l.ID == "" {
		return l, errNoName
	}
	return l, nil
}

func sameLabel(a, b record.Label) bool {
	return a.ID == b.ID && a.Melt == b.Melt && slices.Equal(a.Tags, b.Tags)
}

// labelKey takes a key while a label is typed.
func (m *ShelfScreen) labelKey(msg tea.KeyMsg) tea.Cmd {
	f, n := &m.form, len(m.form.lines)
	switch k := &m.keys; {
	case key.Matches(msg, k.Keep):
		return m.keepLabel()
	case key.Matches(msg, k.Drop):
		m.mode = listing
	case msg.Type == tea.KeyTab || msg.Type == tea.KeyDown:
		f.at = (f.at + 1) % n
	case msg.Type == tea.KeyShiftTab || msg.Type == tea.KeyUp:
		f.at = (f.at + n - 1) % n
	default:
		f.lines[f.at].pressed(msg)
	}
	return nil
}

// drawForm draws the label's lines into h lines of w cells.
func (m *ShelfScreen) drawForm(p *plate, x, y, w, h int) {
	end := y + h
	rule(p, x, y, w, "label of "+barName(&m.onto))
	for i, name := range labelNames() {
		if y++; y >= end {
			return
		}
		p.text(x, y, 8, name, faint)
		if i == m.form.at {
			p.text(x+7, y, 1, "▸", strong)
			m.form.lines[i].draw(p, x+9, y, w-9)
			continue
		}
		p.text(x+9, y, w-9, m.form.lines[i].text(), plain)
	}
	for _, l := range wrap("commas part the tags, which serve as groups later. The folder keeps its name, and what the label was stays in the record as a remark", w, max(0, end-y-1)) {
		y++
		p.text(x, y, w, l, faint)
	}
}

// rule is a heading with a line behind it.
func rule(p *plate, x, y, w int, text string) {
	at := p.text(x, y, w, text, faint) + 1
	p.text(at, y, x+w-at, strings.Repeat("╌", max(0, x+w-at)), faint)
}
