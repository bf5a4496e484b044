package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/bench"
)

// benchTime is the distance of two looks at the bench. Nothing there needs the
// pull screen's rate; an edge comes by itself.
const benchTime = time.Second / 15

// benchSection is one of the three parts of the bench that keys move in.
type benchSection uint8

const (
	setupSection benchSection = iota
	pointsSection
	rigSection
	sectionCount
)

// benchMode is what keys mean at the moment.
type benchMode uint8

const (
	browsing benchMode = iota
	editing            // a field; keys are text
	asking             // why to arm all the same; keys are text
	choosing           // one of a list for a field
	arming             // waiting for the desk
	leaving            // asked whether to leave a loaded rig
)

// BenchScreen is what stands on the bench before a pull: what the rig reads, what
// is set, what has been seen to, and whether the pull may be armed. What it draws
// depends on its fields alone.
type BenchScreen struct {
	desk  Desk
	keys  benchKeys
	theme *theme

	width, height int
	view          *bench.View

	section benchSection
	field   bench.FieldID // of the set-up; empty: the first
	point   bench.PointID
	rigFrom int // first line of the rig shown

	mode   benchMode
	why    *bench.View // that the reason to arm all the same is asked for
	edit   lineEdit
	list   chooser
	short  bool   // the reason typed is too short to be one
	failed string // why arming failed, until the next key
	note   string // until the next key

	tickID  int
	scratch *scratch
}

func newBenchScreen(desk Desk, t *theme) BenchScreen {
	m := BenchScreen{desk: desk, keys: newBenchKeys(), theme: t, scratch: &scratch{}}
	m.load()
	return m
}

// focusOn moves to a field.
func (m *BenchScreen) focusOn(id bench.FieldID) {
	if id != "" {
		m.section, m.field = setupSection, id
	}
}

// Init starts the tick.
func (m BenchScreen) Init() tea.Cmd { return m.tick() }

func (m BenchScreen) tick() tea.Cmd {
	id := m.tickID
	return tea.Tick(benchTime, func(at time.Time) tea.Msg { return tickMsg{id, at} })
}

// load takes the latest view, and enables the keys it allows.
func (m *BenchScreen) load() {
	m.view = m.desk.View()
	v := m.view
	open := v.Source == bench.SourceOpen
	m.keys.Arm.SetEnabled(len(v.Refusals) == 0)
	m.keys.Overrule.SetEnabled(len(v.Refusals) > 0 && !anyFinal(v.Refusals))
	m.keys.Zero.SetEnabled(open)
	m.keys.Check.SetEnabled(v.Check != "")
	m.keys.Edit.SetEnabled(m.section == setupSection && len(v.Fields) > 0)
	m.keys.Confirm.SetEnabled(m.section == pointsSection && len(v.Points) > 0)
	f := m.focused()
	m.keys.Choice.SetEnabled(m.section == setupSection && f != nil && len(f.Choices) > 0)
}

// focused is the field that keys are about; nil where there is none.
func (m *BenchScreen) focused() *bench.Field {
	for i := range m.view.Fields {
		if m.view.Fields[i].ID == m.field {
			return &m.view.Fields[i]
		}
	}
	if len(m.view.Fields) > 0 {
		return &m.view.Fields[0]
	}
	return nil
}

// marked is the point that keys are about; nil where there is none.
func (m *BenchScreen) marked() *bench.Point {
	for i := range m.view.Points {
		if m.view.Points[i].ID == m.point {
			return &m.view.Points[i]
		}
	}
	if len(m.view.Points) > 0 {
		return &m.view.Points[0]
	}
	return nil
}

// fieldOf is a field by its name; nil where the bench has none.
func fieldOf(v *bench.View, id bench.FieldID) *bench.Field {
	for i := range v.Fields {
		if v.Fields[i].ID == id {
			return &v.Fields[i]
		}
	}
	return nil
}

// anyFinal says that a refusal stands that no reason can overrule.
func anyFinal(rs []bench.Refusal) bool {
	for _, r := range rs {
		if r.Final {
			return true
		}
	}
	return false
}
