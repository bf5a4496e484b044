package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/bench"
	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// inFront names the screen in front.
func inFront(a App) string {
	switch a.front.(type) {
	case BenchScreen:
		return "bench"
	case PullScreen:
		return "pull"
	case AfterScreen:
		return "after"
	case ShelfScreen:
		return "shelf"
	case standIn, ReplayScreen:
		return "replay"
	}
	return fmt.Sprintf("%T", a.front)
}

// standIn is a screen that keeps what it is told.
type standIn struct {
	got *[]tea.Msg
}

func (s standIn) Init() tea.Cmd { return nil }
func (s standIn) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	*s.got = append(*s.got, msg)
	return s, nil
}
func (s standIn) View() string { return "a replay" }

// tickNow gives the screen in front the tick it waits for.
func tickNow(t *testing.T, a App) (App, bool) {
	t.Helper()
	id := 0
	switch m := a.front.(type) {
	case PullScreen:
		id = m.tickID
	case BenchScreen:
		id = m.tickID
	case AfterScreen:
		id = m.tickID
	}
	next, cmd := a.Update(screenMsg{a.id, tickMsg{id, time.Now()}})
	return follow(t, next.(App), cmd, 0)
}

// TestASitting goes through a bar by keys: armed, pulled, closed, remarked, and
// the next one begun.
func TestASitting(t *testing.T) {
	d := endedDesk(pull.Tension, pull.Broken)
	f := at(1.5, 38e3)
	d.src = f
	a := app(d, 100, 30, termenv.Ascii)
	a, _ = drive(t, a, "a")
	if got := inFront(a); got != "pull" {
		t.Fatalf("armed, but %s is in front", got)
	}
	if !strings.Contains(a.View(), "drag hand") {
		t.Errorf("the new screen did not get its size at once:\n%s", a.View())
	}
	if a.ringing()() != Source(f) {
		t.Error("the bell does not ring for the pull")
	}
	f.mu.Lock()
	f.snap = broken().snap
	f.mu.Unlock()
	a, _ = tickNow(t, a)
	if !strings.Contains(a.View(), "q to the result") {
		t.Errorf("the way on is not offered:\n%s", a.View())
	}
	a, quit := drive(t, a, "q")
	if got := inFront(a); got != "after" || quit {
		t.Fatalf("q on a closed pull: %s in front, quit %v; want what came out", got, quit)
	}
	a, _ = drive(t, a, "m", "p", "o", "r", "e", "enter")
	if !slices.Contains(d.calls(), `remark "pore"`) || !strings.Contains(a.View(), "pore") {
		t.Errorf("the remark is not kept and shown: %v\n%s", d.calls(), a.View())
	}
	a, _ = drive(t, a, "n")
	if got := inFront(a); got != "bench" || !slices.Contains(d.calls(), "next bar") {
		t.Fatalf("n: %s in front after %v; want the bench for the next bar", got, d.calls())
	}
	if m := a.front.(BenchScreen); m.field != bench.FieldDiameters {
		t.Errorf("the bench begins at %q, want the diameters, since the number is there", m.field)
	}
	if _, ok := a.ringing()().(looking); !ok {
		t.Error("the bell does not ring for the look again")
	}
	if _, quit = drive(t, a, "q"); !quit {
		t.Error("q on the bench does not leave")
	}
}

// TestLeavingAPull: in a sitting a pull that is left leads to what came out of
// it, and never past a stop that nobody has acknowledged.
func TestLeavingAPull(t *testing.T) {
	tests := []struct {
		name, state string // source: issue 4, and the keys of issue 2
		keys        []string
		closedAs    string // the state once the pull has closed; empty: it goes on
		then        []string
		want        string
		commands    []watch.Command
		quit        bool
	}{
		{"q while slack ends and waits", "zeroed", []string{"q"}, "", nil, "pull", []watch.Command{watch.EndPull}, false},
		{"then what came out", "zeroed", []string{"q"}, "crush-let-off", nil, "after", []watch.Command{watch.EndPull}, false},
		{"q asks under load", "loading", []string{"q"}, "", nil, "pull", nil, false},
		{"no is no", "loading", []string{"q", "n"}, "broken-saved", nil, "pull", nil, false},
		{"yes ends and waits", "loading", []string{"q", "y"}, "", nil, "pull", []watch.Command{watch.EndPull}, false},
		{"yes, and it closed", "loading", []string{"q", "y"}, "broken-saved", nil, "after", []watch.Command{watch.EndPull}, false},
		{"a stop keeps the screen", "loading", []string{"q", "y"}, "stop-closed", nil, "pull", []watch.Command{watch.EndPull}, false},
		{"q does not pass a stop", "stop-closed", []string{"q", "q"}, "", nil, "pull", nil, false},
		{"acknowledged, it does", "stop-closed", []string{"a", "q"}, "", nil, "after", nil, false},
		{"blindness keeps it too", "blind-closed", []string{"q"}, "", nil, "pull", nil, false},
		{"it broke and stays", "loading", nil, "broken-saved", nil, "pull", nil, false},
		{"ctrl+c ends at once", "loading", []string{"ctrl+c"}, "", nil, "pull", []watch.Command{watch.EndPull}, true},
		{"ctrl+c once closed", "broken-saved", []string{"ctrl+c"}, "", nil, "pull", nil, true},
	}
	for _, tt := range tests {
		d := endedDesk(pull.Tension, pull.Broken)
		f := states[tt.state]()
		d.src = f
		a, _ := drive(t, app(d, 100, 30, termenv.Ascii), "a")
		a, quit := drive(t, a, tt.keys...)
		if tt.closedAs != "" {
			f.mu.Lock()
			f.snap = states[tt.closedAs]().snap
			f.mu.Unlock()
			a, _ = tickNow(t, a)
		}
		if got := inFront(a); got != tt.want || quit != tt.quit || !slices.Equal(f.commands(), tt.commands) {
			t.Errorf("%s: %s in front, quit %v, commands %v; want %s, %v, %v", tt.name, got, quit, f.commands(), tt.want, tt.quit, tt.commands)
		}
	}
}

// TestPullClosesByItself: the countdown leads on in a sitting, not out.
func TestPullClosesByItself(t *testing.T) {
	d := endedDesk(pull.Tension, pull.Broken)
	d.src = broken()
	a := app(d, 100, 30, termenv.Ascii)
	a.opts.CloseAfter = time.Nanosecond
	a, _ = drive(t, a, "a")
	a, quit := tickNow(t, a)
	a, again := tickNow(t, a)
	if got := inFront(a); got != "after" || quit || again {
		t.Errorf("%s in front, quit %v; want what came out", got, quit || again)
	}
}

// TestStaleMessagesDie: what a screen asked for reaches nobody once another is in
// front, and what it opened is closed.
func TestStaleMessagesDie(t *testing.T) {
	d := readyDesk()
	a := app(d, 100, 30, termenv.Ascii)
	old := a.id
	a, _ = drive(t, a, "l")
	if inFront(a) != "shelf" {
		t.Fatalf("l: %s in front", inFront(a))
	}
	frame := a.View()
	for _, msg := range []tea.Msg{tickMsg{0, time.Now()}, listMsg{bench.FieldSource, []string{"x"}, nil}, openAfter{}, leaveAll{}, tea.QuitMsg{}} {
		next, cmd := a.Update(screenMsg{old, msg})
		if cmd != nil || inFront(next.(App)) != "shelf" || next.View() != frame {
			t.Errorf("%T of a screen that is gone still does something", msg)
		}
	}
	p := &fakePlayer{fake: broken()}
	_, cmd := a.Update(screenMsg{old, openReplay{p}})
	follow(t, a, cmd, 0)
	if p.closed != 1 {
		t.Errorf("a replay nobody shows is closed %d times, want once", p.closed)
	}
}

// TestReplayAndBack: a replay is opened from where the person was, rings no bell,
// and is closed as it goes; they come back to what they left.
func TestReplayAndBack(t *testing.T) {
	d := endedDesk(pull.Tension, pull.Broken)
	p := &fakePlayer{fake: states["stop"]()}
	d.player = p
	var got []tea.Msg
	a := afterApp(d, 100, 30, termenv.Ascii)
	a.newReplay = func(Player, *theme, si.System) tea.Model { return standIn{&got} }
	a, _ = drive(t, a, "m", "p", "o", "r", "e", "enter", "v")
	if inFront(a) != "replay" || !slices.Contains(d.calls(), "replay "+d.ended.Record+" ") {
		t.Fatalf("v: %s in front after %v", inFront(a), d.calls())
	}
	if len(got) != 1 || got[0] != (tea.WindowSizeMsg{Width: 100, Height: 30}) {
		t.Errorf("the replay was told %v, want its size", got)
	}
	if src := a.ringing()(); src == Source(p) || ringing(src) { // but for the rig itself: TestReplayTellsOfTheRig
		t.Error("a bell rings for a replay")
	}
	a, _ = drive(t, a, "x")
	if len(got) != 2 {
		t.Errorf("a key does not reach the screen in front: %v", got)
	}
	a, cmd := a.told(goBack{})
	a, _ = follow(t, a, cmd, 0)
	if inFront(a) != "after" || !strings.Contains(a.View(), "pore") || p.closed != 1 {
		t.Errorf("back: %s in front, closed %d times:\n%s", inFront(a), p.closed, a.View())
	}

	d.playErr = errors.New("the record is damaged at line 7")
	a, _ = drive(t, a, "v")
	if inFront(a) != "after" || !strings.Contains(a.View(), "damaged at line 7") {
		t.Errorf("a replay that cannot be opened: %s in front:\n%s", inFront(a), a.View())
	}
	// Without a screen for it, it is closed at once.
	a.newReplay = nil
	_, cmd = a.told(openReplay{p})
	follow(t, a, cmd, 0)
	if p.closed != 2 {
		t.Errorf("closed %d times in all, want twice", p.closed)
	}
}

// TestHelpOver: help takes the keys, the screen below goes on, ctrl+c still
// leaves, and what is urgent stays in sight.
func TestHelpOver(t *testing.T) {
	d := readyDesk()
	a, _ := drive(t, app(d, 80, 24, termenv.Ascii), "?")
	first := a.View()
	a, _ = drive(t, a, "down", "pgdown", " ", "down")
	if a.help == nil || a.View() == first {
		t.Errorf("help does not move:\n%s", a.View())
	}
	if len(d.calls()) > 0 {
		t.Errorf("keys went through help to the bench: %v", d.calls())
	}
	d.mu.Lock()
	d.view.Look = states["stop"]().snap
	d.mu.Unlock()
	a, _ = tickNow(t, a)
	if !strings.Contains(a.View(), "■ STOP") || !strings.Contains(a.View(), "link bar at 102 %") {
		t.Errorf("help hides a stop:\n%s", a.View())
	}
	b, quit := drive(t, a, "q")
	if b.help != nil || quit {
		t.Error("q does not just close help")
	}
	if _, quit = drive(t, a, "ctrl+c"); !quit {
		t.Error("ctrl+c under help does not leave")
	}
}

// TestASCIIAlone: a terminal that shows ASCII alone gets nothing else, on any
// screen.
func TestASCIIAlone(t *testing.T) {
	d := endedDesk(pull.Tension, pull.Broken)
	for _, keys := range [][]string{nil, {"?"}, {"tab"}, {"l"}} {
		a := app(d, 120, 40, termenv.Ascii)
		a.opts.ASCII = true
		a, _ = drive(t, a, keys...)
		checkASCII(t, a)
	}
	a := afterApp(d, 120, 40, termenv.Ascii)
	a.opts.ASCII = true
	checkASCII(t, a)
}

func checkASCII(t *testing.T, a App) {
	t.Helper()
	if frame := a.View(); strings.IndexFunc(frame, func(r rune) bool { return r > '~' }) >= 0 || strings.Contains(frame, "?????") {
		t.Errorf("not ASCII, or without a likeness:\n%s", frame)
	}
}
