package tui

import (
	"context"
	"slices"
	"sync/atomic"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/compare"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// CompareScreen sets pulls beside each other, a group at a time: what strength to
// count on, and what speaks for it and against. What it draws depends on its fields
// alone.
type CompareScreen struct {
	desk  Desk
	keys  compareKeys
	theme *theme
	units si.System
	zone  *time.Location // that dates are shown in

	width, height int

	dirs   []string          // of the records that were chosen on the shelf
	groups map[string]string // by folder: the group a person marked it into
	pulls  []compare.Pull    // reckoned anew; nil before
	failed string            // why they could not be

	ctx      context.Context // of the reckoning
	cancel   context.CancelFunc
	counting *atomic.Int64 // records done, written by whoever reckons
	done     int           // of them, at the last look

	by      compare.By
	options compare.Options
	tags    []string // what is grouped by where it is by tags
	seq     int      // of what is asked: raised by each change
	running bool     // a comparison is under way
	known   bool     // there is one
	c       compare.Comparison

	chosen  int // index into c.Groups
	part    comparePart
	from    int // first line of the words shown
	bar     int // index into the bars of the group
	plot    comparePlot
	typing  compareTyping
	edit    lineEdit
	fault   string // of what was typed
	opening string
	keeping bool
	note    string // until the next key
	noteInk ink
	look    *watch.Snapshot
	tickID  int

	scratch *scratch
}

// comparePart is what the lower part shows where there is room for one alone.
type comparePart uint8

const (
	compareWords comparePart = iota
	compareBars
	comparePlots
	comparePartCount
)

// comparePlot is how the bars are drawn.
type comparePlot uint8

const (
	plotDots comparePlot = iota
	plotNormal
	plotWeibull
	comparePlotCount
)

// compareTyping is what keys are text for.
type compareTyping uint8

const (
	typingNothing compareTyping = iota
	typingBound
	typingMinimum
)

// What the commands of the screen give.
type (
	compareReckoned struct {
		pulls  []compare.Pull
		behind []compare.Behind // what was not taken, with what was read of it
		err    error
	}
	compareMade struct {
		seq int
		c   compare.Comparison
	}
	compareKept struct {
		file string
		err  error
	}
)

func newCompareScreen(desk Desk, t *theme, msg openCompare) CompareScreen {
	m := CompareScreen{
		desk: desk, keys: newCompareKeys(), theme: t, zone: time.Local, groups: msg.groups,
		by: msg.by, tags: msg.by.Tags, options: compare.NewOptions(), counting: &atomic.Int64{}, scratch: &scratch{},
	}
	m.options.Chosen = msg.chosen
	for i := range msg.of {
		m.dirs = append(m.dirs, msg.of[i].Dir)
	}
	if m.by.Field == "" {
		m.by.Field = compare.ByMelt
	}
	m.ctx, m.cancel = context.WithCancel(context.Background())
	m.see()
	m.enable()
	return m
}

// Init recomputes the records, the first time.
func (m CompareScreen) Init() tea.Cmd {
	shown := func() tea.Msg { return shelfShown{} }
	if m.pulls == nil && m.failed == "" {
		return tea.Batch(m.reckon(), m.tick(), shown)
	}
	return tea.Batch(m.tick(), shown)
}

func (m CompareScreen) tick() tea.Cmd {
	id := m.tickID
	return tea.Tick(benchTime, func(at time.Time) tea.Msg { return tickMsg{id, at} })
}

// reckon recomputes the records outside Update, until the context of the screen ends.
func (m CompareScreen) reckon() tea.Cmd {
	desk, ctx, dirs, groups, counting := m.desk, m.ctx, m.dirs, m.groups, m.counting
	behind := slices.Clone(m.options.Chosen.Behind)
	return func() tea.Msg {
		pulls, err := desk.Reckon(ctx, dirs, func(n int) {
			for old := counting.Load(); int64(n) > old; old = counting.Load() { // the calls may overtake each other
				if counting.CompareAndSwap(old, int64(n)) {
					break
				}
			}
		})
		if err != nil {
			return compareReckoned{err: err}
		}
		pulls = slices.Clone(pulls)
		for i := range pulls { // they are in the order asked for
			if i < len(dirs) {
				pulls[i].Marked = groups[dirs[i]]
			}
		}
		printed(desk, behind)
		return compareReckoned{pulls: pulls, behind: behind}
	}
}

// printed finds out what was read of the pulls that were not taken: a copy of one that
// was is none of them.
func printed(desk Desk, behind []compare.Behind) {
	var dirs []string
	for i := range behind {
		if behind[i].Dir != "" {
			dirs = append(dirs, behind[i].Dir)
		}
	}
	if len(dirs) == 0 {
		return
	}
	prints := desk.Prints(dirs)
	for i := range behind {
		if behind[i].Dir != "" && len(prints) > 0 {
			behind[i].Read, prints = prints[0], prints[1:]
		}
	}
}

// compare sets the pulls beside each other outside Update: of many it takes longer
// than a frame.
func (m CompareScreen) compare() tea.Cmd {
	seq, pulls, by, options := m.seq, m.pulls, m.by, m.options
	return func() tea.Msg { return compareMade{seq, compare.Of(pulls, by, options)} }
}

// again asks for a new comparison; what is under way is let come first.
func (m *CompareScreen) again() tea.Cmd {
	m.seq++
	if m.running || m.pulls == nil {
		return nil
	}
	m.running = true
	return m.compare()
}

// made takes a comparison; the group that was chosen stays so.
func (m *CompareScreen) made(msg compareMade) tea.Cmd {
	m.running = false
	if msg.seq != m.seq {
		m.running = true
		return m.compare()
	}
	name := ""
	if g := m.group(); g != nil {
		name = g.Name
	}
	same := m.known && m.c.By.Field == msg.c.By.Field
	m.c, m.known = msg.c, true
	at := -1
	if same {
		at = slices.IndexFunc(m.c.Groups, func(g compare.Group) bool { return g.Name == name })
	}
	if at < 0 {
		at = max(0, slices.IndexFunc(m.c.Groups, func(g compare.Group) bool { return len(g.Pulls) > 0 }))
	}
	if at != m.chosen || !same {
		m.choose(at)
	}
	return nil
}

// keep writes the report outside Update.
func (m CompareScreen) keep() tea.Cmd {
	desk, c := m.desk, m.c
	return func() tea.Msg {
		file, err := desk.KeepComparison(&c)
		return compareKept{file, err}
	}
}

// see takes what the rig reads, the units of the sitting, and how far the reckoning is.
func (m *CompareScreen) see() {
	v := m.desk.View()
	m.look, m.units = v.Look, v.Units
	m.done = int(m.counting.Load())
}

// group is the one that is chosen; nil where there is none.
func (m *CompareScreen) group() *compare.Group {
	if m.chosen < 0 || m.chosen >= len(m.c.Groups) {
		return nil
	}
	return &m.c.Groups[m.chosen]
}

// choose takes another group, its words from the top.
func (m *CompareScreen) choose(to int) {
	m.chosen = max(0, min(to, len(m.c.Groups)-1))
	m.from, m.bar = 0, 0
}

// bars is how many pulls the group has, those that do not count included.
func (m *CompareScreen) bars() int {
	g := m.group()
	if g == nil {
		return 0
	}
	return len(g.Pulls) + len(g.Censored) + len(g.Left) + len(m.c.Outside)
}

// barAt is the i-th of them: those that count first, then those that bore at least so
// much, then those left out, at last those that are in no group.
func (m *CompareScreen) barAt(i int) *compare.Pull {
	g := m.group()
	for _, of := range [][]compare.Pull{g.Pulls, g.Censored, g.Left, m.c.Outside} {
		if i < len(of) {
			return &of[i]
		}
		i -= len(of)
	}
	return nil
}
