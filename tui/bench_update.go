package tui

import (
	"slices"
	"unicode"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/bench"
)

// armedMsg is the answer to arming.
type armedMsg struct {
	src Source
	err error
}

// leastReason is how many letters a reason to arm all the same must have.
const leastReason = 3

// Update takes one message.
func (m BenchScreen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if ticked, taken := beat(msg, &m.width, &m.height, &m.tickID, m.load); ticked {
		return m, m.tick()
	} else if taken {
		return m, nil
	}
	switch msg := msg.(type) {
	case listMsg:
		m.listed(msg)
	case armedMsg:
		m.mode = browsing
		if msg.err != nil {
			m.failed = msg.err.Error()
			m.load()
			return m, nil
		}
		return m, to(openPull{msg.src})
	case tea.KeyMsg:
		return m.pressed(msg)
	}
	return m, nil
}

// takesText says that keys are text.
func (m BenchScreen) takesText() bool { return m.mode == editing || m.mode == asking }

// swallows says that keys would fall on the pull.
func (m BenchScreen) swallows() bool { return m.mode == arming }

// to leads to another screen.
func to(where tea.Msg) tea.Cmd { return func() tea.Msg { return where } }

func (m BenchScreen) pressed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	if key.Matches(msg, m.keys.Abort) {
		return m, to(leaveAll{})
	}
	switch m.mode {
	case arming: // whatever is pressed would fall on the pull
		return m, nil
	case editing:
		return m.edited(msg)
	case asking:
		return m.asked(msg)
	case choosing:
		m.chosen(msg)
		return m, nil
	case leaving:
		if yes, answered := answer(msg); answered {
			m.mode = browsing
			if yes {
				return m, to(leaveAll{})
			}
		}
		return m, nil
	}
	m.note, m.failed = "", ""
	switch {
	case key.Matches(msg, m.keys.Arm):
		return m.arm("")
	case slices.Contains(m.keys.Arm.Keys(), msg.String()):
		m.note = m.missing(m.width - 4)
	case key.Matches(msg, m.keys.Overrule):
		m.mode, m.edit, m.short, m.why = asking, lineEdit{}, false, m.view
	case key.Matches(msg, m.keys.Section):
		step := benchSection(1)
		if msg.String() == "shift+tab" {
			step = sectionCount - 1
		}
		m.section = (m.section + step) % sectionCount
		if m.section == pointsSection {
			m.toOpen(0)
		}
		m.load()
	case key.Matches(msg, m.keys.Move):
		m.move(msg.String() == "down" || msg.String() == "j")
	case key.Matches(msg, m.keys.Confirm):
		if pt := m.marked(); pt != nil {
			m.desk.Confirm(pt.ID, !pt.Done)
			at := slices.IndexFunc(m.view.Points, func(o bench.Point) bool { return o.ID == pt.ID })
			m.load()
			if !pt.Done {
				m.toOpen(at + 1)
			}
		}
	case key.Matches(msg, m.keys.Edit):
		if f := m.focused(); f != nil {
			m.field, m.mode, m.edit = f.ID, editing, newLineEdit(f.Text)
		}
	case key.Matches(msg, m.keys.Choice):
		m.choice(msg.String() == "right")
	case key.Matches(msg, m.keys.Zero):
		m.note = "zero asked for: let nothing touch the rig"
		if err := m.desk.Zero(); err != nil {
			m.note = clean(err.Error())
		}
	case key.Matches(msg, m.keys.Ports):
		m.note = "looking for ports"
		return m, m.listOf(bench.FieldSource, m.desk.Ports)
	case key.Matches(msg, m.keys.Rigs):
		m.note = "looking for rig files"
		return m, m.listOf(bench.FieldRig, func() ([]string, error) { return m.desk.Rigs(), nil })
	case key.Matches(msg, m.keys.Shelf):
		return m, to(openShelf{})
	case key.Matches(msg, m.keys.Plan):
		return m, to(openPlan{})
	case key.Matches(msg, m.keys.Check):
		return m, to(openCheck{})
	case key.Matches(msg, m.keys.Help):
		return m, to(m.keys.help(m.wholeRows(), m.calibrateCommand()))
	case key.Matches(msg, m.keys.Quit):
		if loaded(m.view.Look) {
			m.mode = leaving
			return m, nil
		}
		return m, to(leaveAll{})
	}
	return m, nil
}

// arm hands over to the desk, outside Update: it waits for the disk.
func (m BenchScreen) arm(reason string) (tea.Model, tea.Cmd) {
	m.mode = arming
	desk, shown := m.desk, m.why
	return m, func() tea.Msg {
		src, err := desk.Arm(reason, shown)
		return armedMsg{src, err}
	}
}

// move goes up or down within the section, and stops at its ends.
func (m *BenchScreen) move(down bool) {
	step := -1
	if down {
		step = 1
	}
	switch m.section {
	case setupSection:
		if f := m.focused(); f != nil {
			at := slices.IndexFunc(m.view.Fields, func(o bench.Field) bool { return o.ID == f.ID })
			m.field = m.view.Fields[max(0, min(at+step, len(m.view.Fields)-1))].ID
		}
	case pointsSection:
		if pt := m.marked(); pt != nil {
			at := slices.IndexFunc(m.view.Points, func(o bench.Point) bool { return o.ID == pt.ID })
			m.point = m.view.Points[max(0, min(at+step, len(m.view.Points)-1))].ID
		}
	case rigSection:
		m.rigFrom = max(0, min(m.rigFrom+step, len(m.rigLines())-1))
	}
	m.load()
}

// toOpen moves to the first point from an index on that is not seen to; where
// there is none, it stays.
func (m *BenchScreen) toOpen(from int) {
	for _, pt := range m.view.Points[min(from, len(m.view.Points)):] {
		if !pt.Done {
			m.point = pt.ID
			return
		}
	}
}

// choice takes the next or the last of what a field may be.
func (m *BenchScreen) choice(next bool) {
	f := m.focused()
	if f == nil || len(f.Choices) == 0 {
		return
	}
	now := f.Text
	if now == "" { // what holds where nothing is written
		now = f.Read
	}
	at, n := slices.Index(f.Choices, now), len(f.Choices)
	switch {
	case next:
		at = (at + 1) % n
	case at < 0:
		at = n - 1
	default:
		at = (at + n - 1) % n
	}
	m.set(f.ID, f.Choices[at])
}

// set hands a text over; what is wrong with it stands in the field.
func (m *BenchScreen) set(id bench.FieldID, text string) (taken bool) {
	err := m.desk.Set(id, text)
	m.load()
	if f := fieldOf(m.view, id); err != nil && (f == nil || f.Fault == "") {
		m.note = clean(err.Error())
	}
	return err == nil
}

// edited takes a key while a field is being changed.
func (m BenchScreen) edited(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	switch {
	case key.Matches(msg, m.keys.Keep):
		m.mode = browsing
		if m.set(m.field, m.edit.text()) {
			m.onward()
		}
		m.load()
	case key.Matches(msg, m.keys.Drop):
		m.mode = browsing
	default:
		m.edit.pressed(msg)
	}
	return m, nil
}

// onward moves from a field that was just filled in to the next empty one below.
func (m *BenchScreen) onward() {
	below := false
	for i := range m.view.Fields {
		f := &m.view.Fields[i]
		if below && f.Text == "" {
			m.field = f.ID
			return
		}
		below = below || f.ID == m.field
	}
}

// asked takes a key while the reason to arm all the same is typed.
func (m BenchScreen) asked(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	switch {
	case key.Matches(msg, m.keys.Keep):
		reason := clean(m.edit.text())
		if m.short = letters(reason) < leastReason; m.short {
			return m, nil
		}
		return m.arm(reason)
	case key.Matches(msg, m.keys.Drop):
		m.mode = browsing
	default:
		m.short = false
		m.edit.pressed(msg)
	}
	return m, nil
}

func letters(s string) (n int) {
	for _, r := range s {
		if unicode.IsLetter(r) {
			n++
		}
	}
	return n
}
