package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/record"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// shelfMode is what keys mean at the moment.
type shelfMode uint8

const (
	listing   shelfMode = iota
	filtering           // keys are text of the filter
	labelling           // keys are text of a label
	noting              // keys are text of a remark
	trashing            // asked whether to move records to the trash
)

// ShelfScreen is the list of pull records, with more of the one that is chosen.
// What it draws depends on its fields alone, and what it costs on what is in sight.
type ShelfScreen struct {
	desk   Desk
	keys   shelfKeys
	theme  *theme
	units  si.System
	zone   *time.Location // that times are shown in
	memory *shelfMemory

	width, height int
	listed        []shelf.Entry // as they were read, newest first; never changed in place
	all           []shelf.Entry // the same in the order they are sorted in
	read          bool          // all is what stood there at the last look
	reading       bool          // a look is under way
	shown         []int         // indices into all, of what the filter takes
	chosen, top   int           // indices into shown
	back          []string      // folders that came back from the trash, as long as the list has not been read since
	want          string        // folder of the record a person chose: it stays chosen where it is shown
	widest        shelfWidths

	mode    shelfMode
	edit    lineEdit // of the filter, or of a remark
	filter  shelfFilter
	order   shelfOrder
	marks   map[string]byte   // by folder: the letter of its group; never changed in place
	because map[string]string // by folder: what of the filter asked for a result when it was marked
	away    map[string]byte   // marks of records that are not there now; never changed in place
	foreign int               // how many of all are no pull records
	aside   int               // how many of those the filter takes
	unseen  int               // how many of marks the filter does not show
	target  record.Label      // as the record under the form has it
	form    labelForm
	onto    shelf.Entry // what a form, a remark or an action is about
	doomed  []string    // folders that are to go to the trash
	asked   string      // the question about them
	traces  shelfTraces
	sight   shelfSight
	tracing string // folder whose trace is being read; empty: none
	rested  string // folder that was chosen at the last tick

	opening string          // name of a record that is being opened
	busy    string          // what is being done to a record, in words; empty: nothing
	note    string          // until the next key
	failed  string          // why the shelf could not be read
	look    *watch.Snapshot // of the rig, which may be loaded meanwhile; nil: no source is open
	tickID  int

	looks     int // at the shelf that were asked for: what an older one found is dropped
	narrowing shelfNarrowing
	sorting   shelfSorting

	scratch *scratch
}

// shelfRead is the answer to a look at the shelf.
type shelfRead struct {
	number int // of the look
	all    []shelf.Entry
	widest shelfWidths // of all; zero: not looked at yet
	in     si.System   // that widest is of
	words  int         // bytes of the Words of all; 0: they have none
	err    error
}

// shelfWide says how wide the texts of the columns are in other units.
type shelfWide struct {
	number int // of the look at the list that it is of
	widest shelfWidths
	in     si.System
}

// shelfShown says that the screen came in front, for the first time or again.
type shelfShown struct{}

// shelfNotOpened says why a record was not opened for replay; shelfNotMeasured, why
// nothing can be written into it.
type (
	shelfNotOpened   struct{ err error }
	shelfNotMeasured struct{ err error }
)

// newShelfScreen is the shelf as it was left: its filter, its order, its marks and
// the record that was chosen. It is read anew behind what stood there.
func newShelfScreen(desk Desk, t *theme, u si.System, memory *shelfMemory) tea.Model {
	m := ShelfScreen{desk: desk, theme: t, zone: time.Local, order: shelfOrders[0], scratch: &scratch{}}
	if memory.left != nil {
		m = *memory.left
		m.mode, m.note, m.scratch = listing, "", &scratch{}
		m.narrowing.busy, m.sorting.busy = false, false // their answers may have gone elsewhere
	}
	m.keys, m.units, m.reading, m.memory = newShelfKeys(), u, true, memory
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
	desk, u, number := m.desk, m.units, m.looks
	return func() tea.Msg {
		all, err := desk.Shelf()
		return shelfRead{number, all, widthsOf(all, u), u, shelf.Fold(all), err}
	}
}

// lookAgain reads the shelf anew; what a look under way finds is too old then.
func (m *ShelfScreen) lookAgain() tea.Cmd {
	m.reading = true
	m.looks++
	return m.readShelf()
}

// widen finds the widths of the columns anew, outside Update: there may be many records.
func (m ShelfScreen) widen() tea.Cmd {
	all, u, number := m.listed, m.units, m.looks
	return func() tea.Msg { return shelfWide{number, widthsOf(all, u), u} }
}

// entry is the record that is chosen; nil where there is none.
func (m *ShelfScreen) entry() *shelf.Entry {
	if m.chosen < 0 || m.chosen >= len(m.shown) {
		return nil
	}
	return &m.all[m.shown[m.chosen]]
}

// enable lets the keys answer that would do something now.
func (m *ShelfScreen) enable() {
	k, e := &m.keys, m.entry()
	up, down := m.chosen > 0, m.chosen < len(m.shown)-1
	k.Up.SetEnabled(up)
	k.PageUp.SetEnabled(up)
	k.First.SetEnabled(up)
	k.Down.SetEnabled(down)
	k.PageDown.SetEnabled(down)
	k.Last.SetEnabled(down)
	first, last := "the first", "the last"
	if m.order == shelfOrders[0] {
		first, last = "the newest", "the oldest"
	}
	k.First.SetHelp("home", first)
	k.Last.SetHelp("end", last)
	free := m.opening == "" && m.busy == ""
	k.Open.SetEnabled(e != nil && free && notShown(*e) == "")
	k.Again.SetEnabled(!m.reading)
	k.Filter.SetEnabled(len(m.all) > 0)
	k.Order.SetEnabled(len(m.all) > 1)
	k.Reverse.SetEnabled(len(m.all) > 1)
	k.Mark.SetEnabled(e != nil)
	k.Groups.SetEnabled(e != nil)
	k.MarkAll.SetEnabled(e != nil && !m.narrowing.behind)
	k.Unmark.SetEnabled(len(m.marks) > 0)
	k.Overlay.SetEnabled(len(m.marks) > 0 || e != nil && noTraceOf(e) == "")
	k.Compare.SetEnabled(len(m.marks) > 0 || e != nil && !m.narrowing.behind)
	k.Finish.SetEnabled(e != nil && free && labelled(e))
	k.Label.SetEnabled(e != nil && free && labelled(e))
	k.Remark.SetEnabled(e != nil && free && labelled(e))
	k.Recover.SetEnabled(e != nil && free && e.Condition == shelf.Unfinished)
	k.Trash.SetEnabled(free && (e != nil || len(m.marks) > 0))
	k.Undo.SetEnabled(free && len(m.memory.trashed) > 0)
	from, seen, lines := m.sightOf()
	k.More.SetEnabled(seen > 0 && from+seen < lines)
	k.Less.SetEnabled(seen > 0 && from > 0)
	k.All.SetEnabled(m.filter.text != "" && m.mode == listing)
}

// move chooses another record, which a person asked for.
func (m *ShelfScreen) move(to int) {
	m.place(to)
	m.want = ""
	m.settle()
}

// settle takes the record that is chosen now for the one that a person chose: where a
// filter hides that, a key that moves the list must not move the choice to a third.
func (m *ShelfScreen) settle() {
	if e := m.entry(); e != nil {
		m.want = e.Dir
	}
}

// place chooses a record by its place and keeps it in sight.
func (m *ShelfScreen) place(at int) {
	m.chosen = max(0, min(at, len(m.shown)-1))
	rows := m.rows()
	m.top = max(0, min(m.top, len(m.shown)-rows), m.chosen-rows+1)
	m.top = min(m.top, m.chosen)
	if e := m.entry(); e == nil || e.Dir != m.sight.dir {
		m.sight = shelfSight{}
	}
}
