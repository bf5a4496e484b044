package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// ShelfScreen is the list of pull records, with more of the one that is chosen.
// What it draws depends on its fields alone.
type ShelfScreen struct {
	desk  Desk
	keys  shelfKeys
	theme *theme
	units si.System
	zone  *time.Location // that times are shown in

	width, height int
	all           []shelf.Entry
	read          bool // all is what stood there at the last look
	reading       bool // a look is under way
	chosen, top   int  // indices into all
	opening       string
	note          string          // until the next key
	failed        string          // why the shelf could not be read
	look          *watch.Snapshot // of the rig, which may be loaded meanwhile; nil: no source is open
	tickID        int

	scratch *scratch
}

// shelfRead is the answer to a look at the shelf.
type shelfRead struct {
	all []shelf.Entry
	err error
}

// shelfShown says that the screen came in front, for the first time or again.
type shelfShown struct{}

// shelfNotOpened says why a record was not opened for replay.
type shelfNotOpened struct{ err error }

func newShelfScreen(desk Desk, t *theme, u si.System) tea.Model {
	m := ShelfScreen{desk: desk, keys: newShelfKeys(), theme: t, units: u, zone: time.Local, reading: true, scratch: &scratch{}}
	m.look = desk.View().Look
	m.enable()
	return m
}

// Init looks at the shelf.
func (m ShelfScreen) Init() tea.Cmd {
	return tea.Batch(m.readShelf(), m.tick(), func() tea.Msg { return shelfShown{} })
}

func (m ShelfScreen) tick() tea.Cmd {
	id := m.tickID
	return tea.Tick(benchTime, func(at time.Time) tea.Msg { return tickMsg{id, at} })
}

// readShelf reads the shelf outside Update: a disk may take its time.
func (m ShelfScreen) readShelf() tea.Cmd {
	desk := m.desk
	return func() tea.Msg {
		all, err := desk.Shelf()
		return shelfRead{all, err}
	}
}

// open opens the replay of a record outside Update. What comes of it goes to who
// shows replays; should nobody want it any more, it is closed there.
func (m ShelfScreen) open(e shelf.Entry) tea.Cmd {
	desk := m.desk
	return func() tea.Msg {
		p, err := desk.Replay(e.Dir, "")
		if err != nil {
			return shelfNotOpened{err}
		}
		return openReplay{p}
	}
}

// entry is the record that is chosen; nil where there is none.
func (m *ShelfScreen) entry() *shelf.Entry {
	if m.chosen < 0 || m.chosen >= len(m.all) {
		return nil
	}
	return &m.all[m.chosen]
}

// enable lets the keys answer that would do something now.
func (m *ShelfScreen) enable() {
	up, down := m.chosen > 0, m.chosen < len(m.all)-1
	m.keys.Up.SetEnabled(up)
	m.keys.PageUp.SetEnabled(up)
	m.keys.First.SetEnabled(up)
	m.keys.Down.SetEnabled(down)
	m.keys.PageDown.SetEnabled(down)
	m.keys.Last.SetEnabled(down)
	m.keys.Open.SetEnabled(m.entry() != nil && m.opening == "")
	m.keys.Again.SetEnabled(!m.reading)
}

// move chooses another record and keeps it in sight.
func (m *ShelfScreen) move(to int) {
	m.chosen = max(0, min(to, len(m.all)-1))
	rows := m.rows()
	m.top = max(0, min(m.top, len(m.all)-rows), m.chosen-rows+1)
	m.top = min(m.top, m.chosen)
}
