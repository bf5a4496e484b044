package tui

import (
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/bench"
)

// afterMode is what keys mean at the moment.
type afterMode uint8

const (
	reading   afterMode = iota
	remarking           // keys are text
	waiting             // for the desk
	parting             // asked whether to leave a loaded rig
)

// AfterScreen is how the last pull came out, and the way on: a remark, another
// look, the next bar. What it draws depends on its fields alone.
type AfterScreen struct {
	desk  Desk
	keys  afterKeys
	theme *theme

	width, height int
	view          *bench.View
	ended         *bench.Ended // nil until the pull is closed
	from          int          // first line of the results shown

	mode   afterMode
	edit   lineEdit
	note   string // until the next key
	failed string // what went wrong, until the next key

	tickID  int
	scratch *scratch
}

// endedMsg is the answer to how the pull came out; nil: it is still closing.
type endedMsg struct{ ended *bench.Ended }

// keptMsg is the answer to a remark.
type keptMsg struct {
	text  string
	err   error
	ended *bench.Ended
}

// replayMsg is the answer to looking at the trace again.
type replayMsg struct {
	player Player
	err    error
}

// measureMsg is the answer to measuring the bar.
type measureMsg struct {
	of  Measuring
	err error
}

// nextMsg says that the bench is set for the next bar.
type nextMsg struct{}

func newAfterScreen(desk Desk, t *theme) AfterScreen {
	m := AfterScreen{desk: desk, keys: newAfterKeys(), theme: t, scratch: &scratch{}}
	m.load()
	return m
}

// Init asks how the pull came out, and starts the tick.
func (m AfterScreen) Init() tea.Cmd { return tea.Batch(m.ask(), m.tick()) }

func (m AfterScreen) tick() tea.Cmd {
	id := m.tickID
	return tea.Tick(benchTime, func(at time.Time) tea.Msg { return tickMsg{id, at} })
}

// ask asks outside Update, since closing waits for the disk.
func (m AfterScreen) ask() tea.Cmd {
	desk := m.desk
	return func() tea.Msg { return endedMsg{desk.Ended()} }
}

func (m *AfterScreen) load() {
	m.view = m.desk.View()
	known := m.ended != nil
	m.keys.Remark.SetEnabled(known)
	m.keys.Look.SetEnabled(known && m.ended.Record != "")
	m.keys.Finish.SetEnabled(known && m.ended.Record != "")
	m.keys.Next.SetEnabled(known)
	next := "next bar of this melt"
	if known && m.ended.NextID != "" {
		next = "next bar: " + cut(clean(m.ended.NextID), 16)
	}
	m.keys.Next.SetHelp("n", next)
}

// Update takes one message.
func (m AfterScreen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch ticked, taken := beat(msg, &m.width, &m.height, &m.tickID, m.load); {
	case ticked && m.ended == nil:
		return m, tea.Batch(m.ask(), m.tick())
	case ticked:
		return m, m.tick()
	case taken:
		return m, nil
	}
	switch msg := msg.(type) {
	case endedMsg:
		if msg.ended != nil {
			m.ended = msg.ended
		}
		m.load()
	case keptMsg:
		m.kept(msg)
	case replayMsg:
		m.mode, m.note = reading, ""
		if msg.err != nil {
			m.failed = "cannot look at it again: " + msg.err.Error()
			return m, nil
		}
		return m, to(openReplay{msg.player})
	case measureMsg:
		m.mode, m.note = reading, ""
		if msg.err != nil {
			m.failed = "nothing can be written into this record: " + msg.err.Error()
			return m, nil
		}
		return m, to(openMeasure{msg.of})
	case nextMsg:
		at := bench.FieldSpecimen
		if f := fieldOf(m.desk.View(), at); f != nil && f.Text != "" { // the number is there already
			at = bench.FieldDiameters
		}
		return m, to(openBench{at: at})
	case tea.KeyMsg:
		return m.pressed(msg)
	}
	return m, nil
}

// kept takes the answer to a remark; one that was not kept stays to be sent again.
func (m *AfterScreen) kept(msg keptMsg) {
	m.mode, m.note = reading, ""
	if msg.err != nil {
		m.mode = remarking
		m.failed = "the remark is NOT KEPT: " + msg.err.Error()
		return
	}
	m.note = "remark kept"
	if msg.ended != nil {
		m.ended = msg.ended
	}
}

// takesText says that keys are text.
func (m AfterScreen) takesText() bool { return m.mode == remarking }

// swallows says that the desk is asked and no key does anything.
func (m AfterScreen) swallows() bool { return m.mode == waiting }

func (m AfterScreen) pressed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	switch {
	case key.Matches(msg, m.keys.Abort):
		return m, to(leaveAll{})
	case m.mode == waiting:
		return m, nil
	case m.mode == parting:
		if yes, answered := answer(msg); answered {
			m.mode = reading
			if yes {
				return m, to(leaveAll{})
			}
		}
		return m, nil
	}
	m.failed, m.note = "", ""
	if m.mode == remarking {
		return m.typed(msg)
	}
	desk := m.desk
	switch {
	case key.Matches(msg, m.keys.Remark):
		m.mode, m.edit = remarking, lineEdit{}
	case key.Matches(msg, m.keys.Finish):
		record := m.ended.Record
		m.mode, m.note = waiting, "opening the record"
		return m, func() tea.Msg {
			of, err := desk.Measure(record)
			return measureMsg{of, err}
		}
	case key.Matches(msg, m.keys.Look):
		record := m.ended.Record
		m.mode, m.note = waiting, "opening the trace"
		return m, func() tea.Msg {
			player, err := desk.Replay(record, "")
			return replayMsg{player, err}
		}
	case key.Matches(msg, m.keys.Next):
		m.mode = waiting
		return m, func() tea.Msg {
			desk.NextBar()
			return nextMsg{}
		}
	case key.Matches(msg, m.keys.Move):
		m.move(msg.String())
	case key.Matches(msg, m.keys.Bench):
		return m, to(openBench{})
	case key.Matches(msg, m.keys.Shelf):
		return m, to(openShelf{})
	case key.Matches(msg, m.keys.Help):
		return m, to(m.keys.help())
	case key.Matches(msg, m.keys.Quit):
		if m.stillLoaded() != "" {
			m.mode = parting
			return m, nil
		}
		return m, to(leaveAll{})
	}
	return m, nil
}

// move moves through the results by a line or by as many as are in sight, and not
// past their end.
func (m *AfterScreen) move(by string) {
	if m.width < minWidth || m.height < minHeight || m.ended == nil {
		return
	}
	var p plate
	p.reset(m.width, m.height)
	all, seen := m.drawAfter(&p)
	step := 1
	if by == "pgup" || by == "pgdown" {
		step = max(1, seen-1)
	}
	if by == "up" || by == "k" || by == "pgup" {
		step = -step
	}
	m.from = max(0, min(m.from+step, all-seen))
}

// typed takes a key while a remark is typed.
func (m AfterScreen) typed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	switch {
	case key.Matches(msg, m.keys.Keep):
		text := clean(m.edit.text())
		if text == "" {
			m.mode = reading
			return m, nil
		}
		m.mode, m.note = waiting, "keeping the remark"
		desk := m.desk
		return m, func() tea.Msg {
			if err := desk.Remark(text); err != nil {
				return keptMsg{text: text, err: err}
			}
			return keptMsg{text: text, ended: desk.Ended()}
		}
	case key.Matches(msg, m.keys.Drop):
		m.mode = reading
	default:
		m.edit.pressed(msg)
	}
	return m, nil
}
