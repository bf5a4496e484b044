package tui

import (
	"context"
	"slices"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/compare"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// burst hands over keys as the library reads them from one burst, all before
// anything that one of them leads to was run: letters in one piece, blanks and
// named keys by themselves.
func burst(m tea.Model, keys ...string) (tea.Model, tea.Cmd) {
	var cmds []tea.Cmd
	for _, k := range keys {
		next, cmd := m.Update(keyNamed(k))
		m, cmds = next, append(cmds, cmd)
	}
	return m, tea.Batch(cmds...)
}

// reckonedDesk is a desk with records on its shelf that can be compared.
type reckonedDesk struct{ *fakeDesk }

func (reckonedDesk) Shelf() ([]shelf.Entry, error) { return entriesOf(3), nil }

func (reckonedDesk) Reckon(_ context.Context, _ []string, _ func(int)) ([]compare.Pull, error) {
	return comparePulls("M1", "C90500", 300, 310, 320), nil
}

// TestKeysBehindARest: what follows letters that wait comes after them, whichever
// way the library cut the burst.
func TestKeysBehindARest(t *testing.T) {
	for _, keys := range [][]string{
		{"cm45", " ", "ksi", "enter"},
		{"cccm45", " ", "ksi", "enter"},
		{"cm45", " ", "k", "s", "i", "enter", "p", "u"},
	} {
		a := app(reckonedDesk{readyDesk()}, 120, 40, termenv.Ascii)
		a, _ = drive(t, a, "l", "c")
		next, cmd := burst(a, keys...)
		a, _ = follow(t, next.(App), cmd, 0)
		m, ok := a.front.(CompareScreen)
		if !ok {
			t.Fatalf("%q: %T in front", keys, a.front)
		}
		want := si.Stress(45 * 6.894757293168361e6)
		if got := m.c.Options.Minimum; m.takesText() || got < want-1 || got > want+1 {
			t.Errorf("%q: minimum %v, typing %v", keys, got, m.takesText())
		}
		if a.late.waiting || len(a.late.keys) > 0 {
			t.Errorf("%q: still waiting: %+v", keys, a.late)
		}
	}
}

// TestKeysBehindARestOfAPull is the same for the screen of a pull that runs alone.
func TestKeysBehindARestOfAPull(t *testing.T) {
	f := states["warning"]()
	var m tea.Model = screen(f, 80, 24, termenv.Ascii)
	m, cmd := burst(m, "ae", "enter", "n", "u")
	if got := m.(PullScreen).late; !got.waiting || len(got.keys) != 3 {
		t.Fatalf("waiting: %+v", got)
	}
	m, _ = runAll(t, m, cmd)
	p := m.(PullScreen)
	if want := []watch.Command{watch.AckAlarms}; p.units != si.Metric || p.ask != noQuestion || p.late.waiting || !slices.Equal(f.commands(), want) {
		t.Errorf("%v, asked %v, in %v", f.commands(), p.ask, p.units)
	}
	// Whoever leaves at once does not wait, and what waited falls on nothing.
	f = states["warning"]()
	m, cmd = burst(screen(f, 80, 24, termenv.Ascii), "aey", "ctrl+c")
	m, quit := runAll(t, m, cmd)
	if got := f.commands(); !quit || !slices.Contains(got, watch.EndPull) || len(got) != 2 || m.(PullScreen).ask != noQuestion {
		t.Errorf("after ctrl+c: %v, quit %v", got, quit)
	}
}

// runAll runs what a command leads to.
func runAll(t *testing.T, m tea.Model, cmd tea.Cmd) (tea.Model, bool) {
	t.Helper()
	quit := false
	for todo, i := []tea.Cmd{cmd}, 0; len(todo) > 0; i++ {
		if i > 100 {
			t.Fatal("it never ends")
		}
		c := todo[0]
		todo = todo[1:]
		if c == nil {
			continue
		}
		switch msg := c().(type) {
		case nil:
		case tea.QuitMsg:
			quit = true
		case tea.BatchMsg:
			todo = append(todo, msg...)
		default:
			next, more := m.Update(msg)
			m, todo = next, append(todo, more)
		}
	}
	return m, quit
}
