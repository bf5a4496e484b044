package tui

import (
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/bench"
	"draghand/internal/control"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// CheckScreen is the chart of the check bars, a stock at a time. What it draws
// depends on its fields alone.
type CheckScreen struct {
	desk  Desk
	keys  checkKeys
	theme *theme
	units si.System
	zone  *time.Location // that dates are shown in
	now   time.Time      // of the last look, that bars are so long past

	width, height int
	stocks        []shelf.Stock // those of the rig on the bench first
	read          bool          // stocks is what stood there at the last look
	reading       bool          // a look is under way
	chosen        int           // index into stocks
	bar           int           // index into the chart's points
	opening       string
	note          string // until the next key
	failed        string // why the shelf could not be read
	rig           string // that is on the bench
	of            string // the stock that the field of the bench names
	far           bool   // the side of the bar on the bench
	look          *watch.Snapshot
	tickID        int

	scratch *scratch
}

func newCheckScreen(desk Desk, t *theme) CheckScreen {
	m := CheckScreen{desk: desk, keys: newCheckKeys(), theme: t, zone: time.Local, reading: true, scratch: &scratch{}}
	m.see()
	m.enable()
	return m
}

// Init looks at the shelf.
func (m CheckScreen) Init() tea.Cmd {
	return tea.Batch(m.readShelf(), m.tick(), func() tea.Msg { return shelfShown{} })
}

func (m CheckScreen) tick() tea.Cmd {
	id := m.tickID
	return tea.Tick(benchTime, func(at time.Time) tea.Msg { return tickMsg{id, at} })
}

// checkRead is the answer to a look at the shelf.
type checkRead struct {
	stocks []shelf.Stock
	at     time.Time
	err    error
}

// readShelf reads the shelf outside Update: a disk may take its time.
func (m CheckScreen) readShelf() tea.Cmd {
	desk := m.desk
	return func() tea.Msg {
		all, err := desk.Shelf()
		return checkRead{shelf.Stocks(all), time.Now(), err}
	}
}

// see takes what the rig reads, and what else may have changed on the bench.
func (m *CheckScreen) see() {
	v := m.desk.View()
	m.look, m.units, m.rig = v.Look, v.Units, ""
	if v.Rig != nil {
		m.rig = v.Rig.Name
	}
	m.of, m.far = "", false
	if f := fieldOf(v, bench.FieldStock); f != nil && f.Fault == "" {
		m.of = strings.Join(strings.Fields(f.Text), " ")
	}
	if f := fieldOf(v, bench.FieldSide); f != nil {
		m.far = f.Text == string(specimen.Far)
	}
}

// take puts what a look found in place of what stood there; the stock that was
// chosen stays so.
func (m *CheckScreen) take(r checkRead) {
	m.reading = false
	if r.err != nil {
		m.failed = r.err.Error()
		return
	}
	title, rig := "", ""
	if s := m.stock(); s != nil {
		title, rig = s.Title(), s.Rig
	}
	m.stocks, m.now, m.read, m.failed = slices.Clone(r.stocks), r.at, true, ""
	slices.SortStableFunc(m.stocks, func(a, b shelf.Stock) int { return elsewhere(&a, m.rig) - elsewhere(&b, m.rig) })
	at := slices.IndexFunc(m.stocks, func(s shelf.Stock) bool { return s.Title() == title && s.Rig == rig })
	if at < 0 {
		at = m.first()
	}
	m.choose(at)
}

// first is the stock that is shown first: that of the bar on the bench, else one of
// its rig that is out of control, else the one with the newest bar.
func (m *CheckScreen) first() int {
	here := func(s shelf.Stock) bool { return m.rig == "" || s.Rig == m.rig }
	for _, is := range []func(s shelf.Stock) bool{
		func(s shelf.Stock) bool { return m.of != "" && s.Name == m.of && s.Far == m.far && here(s) },
		func(s shelf.Stock) bool { return m.of != "" && s.Name == m.of && here(s) },
		func(s shelf.Stock) bool { return s.Warns() && here(s) },
	} {
		if at := slices.IndexFunc(m.stocks, is); at >= 0 {
			return at
		}
	}
	return 0
}

// elsewhere is 1 for bars of another rig than the one named.
func elsewhere(s *shelf.Stock, rig string) int {
	if s.Rig == rig {
		return 0
	}
	return 1
}

// choose takes another stock, and of it the newest bar.
func (m *CheckScreen) choose(to int) {
	m.chosen = max(0, min(to, len(m.stocks)-1))
	m.bar = 0
	if s := m.stock(); s != nil {
		m.bar = max(0, len(s.Chart.Points)-1)
	}
}

// stock is the one that is chosen; nil where there is none.
func (m *CheckScreen) stock() *shelf.Stock {
	if m.chosen < 0 || m.chosen >= len(m.stocks) {
		return nil
	}
	return &m.stocks[m.chosen]
}

// point is the bar that is chosen; nil where there is none.
func (m *CheckScreen) point() *control.Judged {
	s := m.stock()
	if s == nil || m.bar < 0 || m.bar >= len(s.Chart.Points) {
		return nil
	}
	return &s.Chart.Points[m.bar]
}

// enable lets the keys answer that would do something now.
func (m *CheckScreen) enable() {
	last := 0
	if s := m.stock(); s != nil {
		last = len(s.Chart.Points) - 1
	}
	m.keys.Up.SetEnabled(m.chosen > 0)
	m.keys.Down.SetEnabled(m.chosen < len(m.stocks)-1)
	m.keys.Earlier.SetEnabled(m.bar > 0)
	m.keys.Later.SetEnabled(m.bar < last)
	m.keys.Newest.SetEnabled(m.bar < last)
	m.keys.Open.SetEnabled(m.point() != nil && m.opening == "")
	m.keys.Again.SetEnabled(!m.reading)
}
