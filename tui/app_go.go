package tui

import tea "github.com/charmbracelet/bubbletea"

// told takes what a command of the screen in front gave: a way to another
// screen, or a message of its own.
func (a App) told(msg tea.Msg) (App, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.QuitMsg, leaveAll:
		return a, tea.Quit
	case openHelp:
		a.help = &helpOver{title: msg.title, rows: msg.rows}
		return a, nil
	case closeHelp:
		a.help = nil
		return a, nil
	case openBench:
		b := newBenchScreen(a.desk, a.theme)
		b.focusOn(msg.at)
		return a.show(b, looking{a.desk})
	case openPull:
		opts := a.opts
		opts.Units = a.desk.View().Units
		m := NewPullScreen(msg.src, opts)
		m.sitting, m.theme = true, a.theme
		m.keys.Quit.SetHelp("q", "end it, go to the result")
		m.load()
		return a.show(m, msg.src)
	case openAfter:
		return a.show(newAfterScreen(a.desk, a.theme), looking{a.desk})
	case openMeasure:
		var back tea.Msg = openAfter{}
		if _, ok := a.front.(AfterScreen); !ok {
			back = openShelf{}
		}
		return a.show(newMeasureScreen(a.desk, msg.of, a.theme, back), looking{a.desk})
	case measureKept:
		if _, ok := msg.back.(openShelf); ok { // the screen after a pull shows it at large
			a.shelf.told = msg.said
		}
		return a.told(msg.back)
	case openPlan:
		return a.show(newPlanScreen(a.desk, a.theme), looking{a.desk})
	case openCheck:
		return a.show(newCheckScreen(a.desk, a.theme), looking{a.desk})
	case openCompare:
		return a.show(newCompareScreen(a.desk, a.theme, msg), looking{a.desk})
	case openShelf:
		if a.newShelf == nil {
			return a, nil
		}
		return a.show(a.newShelf(a.desk, a.theme, a.desk.View().Units), looking{a.desk})
	case openOverlay:
		m := newOverlayScreen(a.desk, msg.of, a.theme, a.desk.View().Units)
		m.ascii = a.opts.ASCII
		return a.show(m, looking{a.desk})
	case openReplay:
		if a.newReplay == nil {
			return a, shut(msg.player)
		}
		before := a.front
		next, cmd := a.show(a.newReplay(msg.player, a.theme, a.desk.View().Units), looking{a.desk})
		next.before, next.player = before, msg.player
		return next, cmd
	case goBack:
		if a.before == nil {
			return a.told(openShelf{})
		}
		return a.show(a.before, looking{a.desk})
	}
	return a.pass(msg)
}

// show puts a screen in front: it gets the size at once and starts ticking, and
// what the one before it asked for is stale from here on. The bell rings for
// src: for the look too while a saved pull is in front.
func (a App) show(screen tea.Model, src Source) (App, tea.Cmd) {
	gone := shut(a.player)
	a.front, a.before, a.player, a.help = screen, nil, nil, nil
	a.id++
	a.rings.Store(&belled{src})
	start := of(a.id, screen.Init())
	if a.width <= 0 {
		return a, tea.Batch(gone, start)
	}
	a, sized := a.pass(tea.WindowSizeMsg{Width: a.width, Height: a.height})
	return a, tea.Batch(gone, start, sized)
}

// stale sees to what a screen asked for that is no longer in front: a replay
// that nobody is going to show is closed. A pull that was armed meanwhile cannot
// be stale: the bench stays in front until it has its answer.
func (a App) stale(msg tea.Msg) (App, tea.Cmd) {
	switch r := msg.(type) {
	case openReplay:
		return a, shut(r.player)
	case shelfDone: // what went to the trash can be taken back later
		return a.tellLate(r)
	case compareKept:
		said, _ := r.told()
		return a.tellLate(shelfDone{note: said})
	}
	return a, nil
}

// tellLate tells on the shelf what came of something after its screen was left: at once
// where the shelf is in front, else when it is.
func (a App) tellLate(done shelfDone) (App, tea.Cmd) {
	if s, ok := a.front.(ShelfScreen); ok && s.busy == "" {
		return a.pass(done)
	}
	a.shelf.late(done)
	return a, nil
}

// shut closes a replay outside Update.
func shut(p Player) tea.Cmd {
	if p == nil {
		return nil
	}
	return func() tea.Msg {
		p.Close()
		return nil
	}
}
