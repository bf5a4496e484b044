package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/bench"
)

// measureMode is what keys mean at the moment.
type measureMode uint8

const (
	measuring      measureMode = iota
	writing                    // keys are text
	keeping                    // the record is being written
	measureLeaving             // asked whether to go without keeping
)

// MeasureScreen takes what is measured on the bar after its pull. What it draws
// depends on its fields alone.
type MeasureScreen struct {
	desk  Desk
	of    Measuring
	keys  measureKeys
	theme *theme
	back  tea.Msg // where it leads

	width, height int
	view          *bench.View
	fields        []bench.Field
	missing       []string
	at            int // the marked field

	mode   measureMode
	edit   lineEdit
	note   string // until the next key
	failed string // what went wrong, until the next key

	tickID  int
	scratch *scratch
}

// measuredMsg is the answer to keeping what was measured.
type measuredMsg struct{ err error }

// measureKept says what came of what was measured, and where it leads now.
type measureKept struct {
	said string
	back tea.Msg
}

func newMeasureScreen(desk Desk, of Measuring, t *theme, back tea.Msg) MeasureScreen {
	m := MeasureScreen{desk: desk, of: of, keys: newMeasureKeys(), theme: t, back: back, scratch: &scratch{}}
	m.load()
	return m
}

// Init starts the tick: the rig may be loaded meanwhile.
func (m MeasureScreen) Init() tea.Cmd { return m.tick() }

func (m MeasureScreen) tick() tea.Cmd {
	id := m.tickID
	return tea.Tick(benchTime, func(at time.Time) tea.Msg { return tickMsg{id, at} })
}

// load takes the latest view, and the fields as they stand. While the record is
// written they stay as they were.
func (m *MeasureScreen) load() {
	m.view = m.desk.View()
	if m.mode != keeping {
		m.fields = m.fields[:0:0]
		for _, f := range m.of.Fields() {
			m.fields = append(m.fields, bench.Field{
				ID: bench.FieldID(f.ID), Label: f.Label, Text: f.Text, Read: f.Read, Fault: f.Fault, Hint: f.Hint, Choices: f.Choices,
			})
		}
		m.missing = m.of.Missing()
		m.keys.Save.SetEnabled(m.of.Changed())
	}
	m.at = max(0, min(m.at, len(m.fields)-1))
	f := m.field()
	m.keys.Choice.SetEnabled(f != nil && len(f.Choices) > 0)
	m.keys.Edit.SetEnabled(f != nil)
}

// field is the marked one; nil where there is none.
func (m *MeasureScreen) field() *bench.Field {
	if m.at < 0 || m.at >= len(m.fields) {
		return nil
	}
	return &m.fields[m.at]
}

// faults is how many fields cannot be used as they are written.
func (m *MeasureScreen) faults() (n int) {
	for i := range m.fields {
		if m.fields[i].Fault != "" {
			n++
		}
	}
	return n
}
