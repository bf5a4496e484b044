package tui

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/shelf"
)

// Update takes one message. It never waits.
func (m ShelfScreen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
		m.place(m.chosen)
	case tickMsg:
		if msg.id == m.tickID {
			m.see()
			m.place(m.chosen)
			cmd = tea.Batch(m.tick(), m.rest())
		}
	case EdgeMsg:
		m.see()
		m.place(m.chosen)
	case shelfShown:
		m.opening, m.busy, m.tracing = "", "", ""
		if told := m.memory.told; told != "" {
			m.note, m.memory.told = told, ""
			m.traces = nil // of before it
		}
		m.see()
	case shelfRead:
		cmd = m.take(msg)
	case shelfWide:
		if msg.in == m.units && msg.number == m.looks {
			m.widest = msg.widest
		}
	case shelfNotOpened:
		m.opening, m.note = "", "cannot be shown again: "+msg.err.Error()
	case shelfNotMeasured:
		m.opening, m.note = "", "nothing can be written into this record: "+msg.err.Error()
	case shelfDone:
		cmd = m.done(msg)
	case shelfTraced:
		m.traced(msg)
	case shelfNarrowed:
		m.narrowed(msg)
	case shelfSorted:
		m.sorted(msg)
	case tea.KeyMsg:
		cmd = m.key(msg)
		m.place(m.chosen) // the filter may have come or gone
	}
	cmd = tea.Batch(cmd, m.sortBehind(), m.narrowBehind())
	m.enable()
	left := m
	m.memory.left = &left
	return m, cmd
}

// takesText says that keys are text.
func (m ShelfScreen) takesText() bool {
	return m.mode == filtering || m.mode == labelling || m.mode == noting
}

// see takes what the rig reads, and the units that the person has chosen meanwhile.
func (m *ShelfScreen) see() {
	v := m.desk.View()
	m.look, m.units = v.Look, v.Units
}

// take puts what a look found in place of what stood there; the record that was
// chosen stays so. An older look is dropped: it may not know what was done since.
func (m *ShelfScreen) take(r shelfRead) tea.Cmd {
	if r.number != m.looks {
		return nil
	}
	m.reading = false
	if r.err != nil {
		m.failed = r.err.Error()
		return nil
	}
	m.listed, m.failed, m.widest, m.narrowing.words = r.all, "", r.widest, r.words
	if m.widest == (shelfWidths{}) {
		m.widest = widthsOf(r.all, m.units)
	}
	m.foreign = foreignIn(r.all)
	m.returned()
	m.pruneMarks()
	if !m.read && m.want == "" {
		m.chosen = 0
	}
	m.read = true
	m.sort(m.order)
	if m.want == "" {
		m.settle()
	}
	if r.in != m.units {
		return m.widen()
	}
	return nil
}

// foreignIn is how many of a list are no pull records.
func foreignIn(all []shelf.Entry) (n int) {
	for i := range all {
		if all[i].Condition == shelf.Foreign {
			n++
		}
	}
	return n
}

// page is how far a page goes.
func (m *ShelfScreen) page() int { return max(1, m.rows()-1) }

func (m *ShelfScreen) key(msg tea.KeyMsg) tea.Cmd {
	k := &m.keys
	if key.Matches(msg, k.Abort) {
		return to(leaveAll{})
	}
	m.note = ""
	switch {
	case m.mode == trashing:
		yes, answered := answer(msg)
		if answered {
			m.mode = listing
		}
		if yes {
			return m.trash()
		}
		return nil
	case m.busy != "" && m.mode != listing: // it is being kept
		return nil
	case m.mode == filtering:
		m.filterKey(msg)
		return nil
	case m.mode == labelling:
		return m.labelKey(msg)
	case m.mode == noting:
		return m.remarkKey(msg)
	}
	return m.listKey(msg)
}

// listKey takes a key of the list.
func (m *ShelfScreen) listKey(msg tea.KeyMsg) tea.Cmd {
	k := &m.keys
	m.settle()
	switch {
	case key.Matches(msg, k.All):
		m.setFilter("")
	case key.Matches(msg, k.Back):
		return to(openBench{})
	case key.Matches(msg, k.Help):
		return to(k.help())
	case key.Matches(msg, k.Up):
		m.move(m.chosen - 1)
	case key.Matches(msg, k.Down):
		m.move(m.chosen + 1)
	case key.Matches(msg, k.PageUp):
		m.move(m.chosen - m.page())
	case key.Matches(msg, k.PageDown):
		m.move(m.chosen + m.page())
	case key.Matches(msg, k.First):
		m.move(0)
	case key.Matches(msg, k.Last):
		m.move(len(m.shown) - 1)
	case key.Matches(msg, k.More):
		m.scroll(true)
	case key.Matches(msg, k.Less):
		m.scroll(false)
	case key.Matches(msg, k.Filter):
		m.mode, m.edit = filtering, newLineEdit(m.filter.text)
	case key.Matches(msg, k.Order):
		m.sort(m.order.next())
	case key.Matches(msg, k.Reverse):
		o := m.order
		o.reverse = !o.reverse
		m.sort(o)
	case key.Matches(msg, k.Mark), key.Matches(msg, k.Groups):
		m.mark(groupOf(msg.String()))
	case key.Matches(msg, k.MarkAll):
		m.markAll()
	case key.Matches(msg, k.Unmark):
		m.unmark()
	case key.Matches(msg, k.Overlay):
		return m.wish(func(m *ShelfScreen) tea.Msg { return m.toOverlay() })
	case key.Matches(msg, k.Compare):
		return m.wish(func(m *ShelfScreen) tea.Msg { return m.toCompare() })
	case key.Matches(msg, k.Units):
		m.units = 1 - m.units
		return m.widen()
	case key.Matches(msg, k.Again):
		m.traces = nil
		return m.lookAgain()
	default:
		return m.recordKey(msg)
	}
	return nil
}

// recordKey takes a key that does something to records.
func (m *ShelfScreen) recordKey(msg tea.KeyMsg) tea.Cmd {
	k := &m.keys
	switch {
	case key.Matches(msg, k.Open):
		e := *m.entry()
		m.opening = e.Name
		return replayOf(m.desk, e.Dir)
	case key.Matches(msg, k.Finish):
		return m.measure()
	case key.Matches(msg, k.Label):
		m.onto = *m.entry()
		m.target = labelOf(&m.onto)
		m.mode, m.form = labelling, newLabelForm(m.target)
	case key.Matches(msg, k.Remark):
		m.onto = *m.entry()
		m.mode, m.edit = noting, lineEdit{}
	case key.Matches(msg, k.Recover):
		return m.recoverIt()
	case key.Matches(msg, k.Trash):
		m.askTrash()
	case key.Matches(msg, k.Undo):
		return m.untrash()
	case msg.Type == tea.KeyEnter && m.entry() != nil && m.opening == "" && m.busy == "":
		m.note = notShown(*m.entry()) // who presses it all the same is told
	}
	return nil
}

// notShown says why a record has nothing to be looked at again; empty where it
// has.
func notShown(e shelf.Entry) string {
	switch {
	case e.Condition == shelf.Writing:
		return "a program writes to it now: wait for the pull to end, then read the shelf again"
	case !e.Readable():
		return "cannot be shown again: " + e.Reason
	case e.ByEye:
		return "no trace: a dial gauge was read by eye, once; there is nothing to show again"
	}
	return ""
}
