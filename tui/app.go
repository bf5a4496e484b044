package tui

import (
	"context"
	"strings"
	"sync/atomic"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/si"
	"draghand/internal/watch"
)

// App is the one model of a sitting. It holds the desk and one screen in front,
// and moves between screens by the messages of desk.go. Keys and ticks reach the
// screen in front alone: what a screen asked for carries its number, and dies
// when that screen is no longer there.
type App struct {
	desk  Desk
	opts  Options
	theme *theme

	front  tea.Model
	id     int       // of the screen in front
	before tea.Model // what a replay was opened from; nil: the shelf
	player Player    // of the replay in front, to be closed when it goes
	help   *helpOver // over the screen in front; nil: none
	shelf  *shelfMemory

	width, height int
	late          keyQueue

	rings *atomic.Pointer[belled] // read by the bell's goroutine

	// Screens that are made elsewhere; nil: there is none, and the wish for one is
	// dropped.
	newShelf  func(desk Desk, theme *theme, units si.System) tea.Model
	newReplay func(p Player, theme *theme, units si.System) tea.Model
}

// belled is the source whose alarms ring.
type belled struct{ src Source }

// RunApp shows a sitting, the bench first, until the person leaves or the
// context ends. Its errors are those of Run. What still runs when it returns is
// the caller's to end.
func RunApp(ctx context.Context, desk Desk, opts Options) error {
	opts = opts.onTerminal()
	a := newApp(desk, opts)
	return show(ctx, a, a.ringing(), opts)
}

func newApp(desk Desk, opts Options) App {
	a := App{desk: desk, opts: opts, theme: newTheme(opts.Out, opts.NoColor), rings: &atomic.Pointer[belled]{}, shelf: &shelfMemory{}}
	a.newShelf = func(desk Desk, t *theme, units si.System) tea.Model { return newShelfScreen(desk, t, units, a.shelf) }
	a.newReplay = func(p Player, t *theme, units si.System) tea.Model {
		m := newReplayScreen(p, t, units, goBack{})
		m.pull.scratch.plate.ascii = opts.ASCII
		m.rig = func() *watch.Snapshot { return desk.View().Look }
		return m
	}
	a.rings.Store(&belled{looking{desk}})
	a.front = newBenchScreen(desk, a.theme)
	return a
}

// ringing gives the source whose alarms ring at the moment.
func (a App) ringing() func() Source {
	rings := a.rings
	return func() Source { return rings.Load().src }
}

// looking is the bench's look as a source that takes no commands.
type looking struct{ desk Desk }

func (l looking) Snapshot() *watch.Snapshot { return l.desk.View().Look }

// Trace gives nothing: no chart is drawn before a pull.
func (looking) Trace(*watch.Trace, time.Duration, time.Duration) {}

// Do does nothing: the desk takes what the bench asks.
func (looking) Do(watch.Command) {}

// Init starts the screen in front.
func (a App) Init() tea.Cmd { return of(a.id, a.front.Init()) }

// screenMsg is what a command of a screen gave.
type screenMsg struct {
	id  int
	msg tea.Msg
}

// of makes a command of the screen with this number. Only a batch of commands is
// taken apart: a sequence is the library's own and a screen must not ask for one.
func of(id int, cmd tea.Cmd) tea.Cmd {
	if cmd == nil {
		return nil
	}
	return func() tea.Msg {
		switch msg := cmd().(type) {
		case nil:
			return nil
		case tea.BatchMsg:
			all := make(tea.BatchMsg, len(msg))
			for i, c := range msg {
				all[i] = of(id, c)
			}
			return all
		default:
			return screenMsg{id, msg}
		}
	}
}

// Update takes one message.
func (a App) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		a.width, a.height = msg.Width, msg.Height
		return a.pass(msg)
	case tea.KeyMsg:
		m, held := hold(a, msg)
		if held {
			return m, nil
		}
		a = m.(App)
		if a.help == nil && takesText(a.front) { // a paste too
			return a.pass(msg)
		}
		return oneByOne(a, msg, func(m queuer, k tea.KeyMsg) (tea.Model, tea.Cmd) { return m.(App).key(k) })
	case restMsg:
		return msg.goOn(a)
	case screenMsg:
		if msg.id != a.id {
			return a.stale(msg.msg)
		}
		return a.told(msg.msg)
	}
	return a.pass(msg)
}

func (a App) queued() keyQueue { return a.late }

func (a App) queue(q keyQueue) queuer {
	a.late = q
	return a
}

// key takes one key.
func (a App) key(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	if a.help != nil {
		return a.helped(msg)
	}
	was, had := shownUnits(a.front)
	a, cmd := a.pass(msg)
	if now, ok := shownUnits(a.front); ok && had && now != was { // for the sitting, not for this screen alone
		a.desk.ShowIn(now)
	}
	return a, cmd
}

// shownUnits are the units of a screen on which a person may change them.
func shownUnits(m tea.Model) (u si.System, ok bool) {
	switch m := m.(type) {
	case PullScreen:
		return m.units, true
	case ReplayScreen:
		return m.pull.units, true
	case OverlayScreen:
		return m.units, true
	case CompareScreen:
		return m.units, true
	case ShelfScreen:
		return m.units, true
	}
	return 0, false
}

// pass hands a message to the screen in front.
func (a App) pass(msg tea.Msg) (App, tea.Cmd) {
	next, cmd := a.front.Update(msg)
	a.front = next
	return a, of(a.id, cmd)
}

// helped takes a key while help is open. Ctrl+c closes the help and still does
// what it does on the screen below.
func (a App) helped(msg tea.KeyMsg) (App, tea.Cmd) {
	if msg.Type == tea.KeyCtrlC {
		a.help = nil
		return a.pass(msg)
	}
	if a.help.pressed(msg, a.width, a.height) {
		a.help = nil
	}
	return a, nil
}

// View draws the screen in front, or the help over it.
func (a App) View() string {
	frame := ""
	if a.help != nil {
		frame = a.help.view(a.theme, a.width, a.height, a.front)
	} else {
		frame = a.front.View()
	}
	if !a.opts.ASCII {
		return frame
	}
	var b strings.Builder
	asciiText(&b, frame)
	return b.String()
}
