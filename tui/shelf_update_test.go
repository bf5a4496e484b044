package tui

import (
	"errors"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/pull"
	"draghand/internal/shelf"
)

func TestShelfMoves(t *testing.T) {
	m := shelfStates()["many"](80, 24, termenv.Ascii)
	rows := m.rows()
	for _, step := range []struct {
		key  string
		want int
	}{
		{"down", 5001},
		{"j", 5002},
		{"up", 5001},
		{"k", 5000},
		{"pgdown", 5000 + rows - 1},
		{"pgdown", 5000 + 2*(rows-1)},
		{"pgup", 5000 + rows - 1},
		{"end", 9999},
		{"down", 9999},
		{"pgdown", 9999},
		{"home", 0},
		{"up", 0},
		{"pgup", 0},
		{"G", 9999},
		{"g", 0},
	} {
		m, _ = shelfKey(m, step.key)
		if m.chosen != step.want {
			t.Errorf("%s: %d is chosen, want %d", step.key, m.chosen, step.want)
		}
		if m.chosen < m.top || m.chosen >= m.top+rows || m.top < 0 || m.top > len(m.all)-rows {
			t.Errorf("%s: %d is out of sight of %d to %d", step.key, m.chosen, m.top, m.top+rows)
		}
		if !strings.Contains(m.View(), "▸ ") {
			t.Errorf("%s: no mark:\n%s", step.key, m.View())
		}
	}
	// A smaller and a larger terminal keep it in sight.
	m, _ = shelfKey(m, "end")
	for _, h := range []int{24, 60, 30} {
		m = shelfSend(m, tea.WindowSizeMsg{Width: 80, Height: h})
		if !strings.Contains(m.View(), "▸ ") || m.chosen != 9999 {
			t.Errorf("at %d lines %d is chosen:\n%s", h, m.chosen, m.View())
		}
	}
}

// The first look begins with Init and outside Update; a second keeps the record
// that was chosen, wherever it stands then.
func TestShelfReads(t *testing.T) {
	d := &shelfDesk{all: entriesOf(3)}
	m := shelfScreen(d, 80, 24, termenv.Ascii)
	batch, ok := m.Init()().(tea.BatchMsg) // the tick among them
	if !ok {
		t.Fatal("Init gives no batch")
	}
	for _, cmd := range batch {
		m = shelfSend(m, cmd())
	}
	if len(m.all) != 3 || m.reading || m.chosen != 0 {
		t.Fatalf("%d records, reading %v, %d chosen", len(m.all), m.reading, m.chosen)
	}
	m, _ = shelfKey(m, "down")
	name := m.entry().Name
	d.all = append([]shelf.Entry{entryOf(-1)}, d.all...)
	next, cmd := m.Update(keyOf("r"))
	m = next.(ShelfScreen)
	if !m.reading || m.keys.Again.Enabled() {
		t.Error("a look under way does not show")
	}
	m = shelfSend(m, cmd())
	if m.entry().Name != name || m.chosen != 2 || !m.keys.Again.Enabled() {
		t.Errorf("%s is chosen, want %s", m.entry().Name, name)
	}
	// A look that fails leaves the list and says so.
	d.err = errors.New("read the shelf: gone")
	m, msg := shelfKey(m, "r")
	m = shelfSend(m, msg)
	if len(m.all) != 4 || !strings.Contains(m.View(), "not read again") || !strings.Contains(m.View(), "? help") {
		t.Errorf("%d records:\n%s", len(m.all), m.View())
	}
	// One that finds less keeps to what there is.
	d.err, d.all = nil, nil
	m, msg = shelfKey(m, "r")
	m = shelfSend(m, msg)
	if m.entry() != nil || m.keys.Open.Enabled() || !strings.Contains(m.View(), "no pull records yet") {
		t.Errorf("an empty shelf:\n%s", m.View())
	}
	m, _ = shelfKey(m, "enter") // does nothing
	_ = m.View()
}

func TestShelfOpens(t *testing.T) {
	p := &shelfPlayer{fake: at(10, 1)}
	d := &shelfDesk{all: entriesOf(3), player: p}
	m := shelfSend(shelfScreen(d, 80, 24, termenv.Ascii), shelfRead{all: d.all})
	next, cmd := m.Update(keyOf("enter"))
	m = next.(ShelfScreen)
	if len(d.asked) != 0 {
		t.Fatal("a replay is opened within Update")
	}
	if !strings.Contains(m.View(), "opening "+m.entry().Name) {
		t.Errorf("it does not say so:\n%s", m.View())
	}
	if _, again := m.Update(keyOf("enter")); again != nil {
		t.Error("it is opened twice")
	}
	if got, ok := cmd().(openReplay); !ok || got.player != Player(p) {
		t.Errorf("%v", got)
	}
	if len(d.asked) != 1 || d.asked[0] != d.all[0].Dir {
		t.Errorf("asked of %v", d.asked)
	}
	// Back in front of it nothing is being opened any more.
	if m = shelfSend(m, shelfShown{}); strings.Contains(m.View(), "opening") {
		t.Errorf("still opening:\n%s", m.View())
	}
	d.noPlay = errors.New("it has no readings")
	m, msg := shelfKey(m, "enter")
	m = shelfSend(m, msg)
	if !strings.Contains(m.View(), "it has no readings") || !m.keys.Open.Enabled() {
		t.Errorf("why not:\n%s", m.View())
	}
	if m, _ = shelfKey(m, "down"); strings.Contains(m.View(), "it has no readings") {
		t.Error("the note outlives a key")
	}
}

// What has nothing to show says so, and no replay is asked of it.
func TestShelfOpensNothing(t *testing.T) {
	for i, want := range map[int]string{
		0: "a program writes to it now", 2: "its end is missing; put it back from a copy", 3: "newer draghand", 4: "no trace", 10: "no pull record",
	} {
		d := &shelfDesk{all: mixedEntries()}
		m := shelfSend(shelfScreen(d, 200, 60, termenv.Ascii), shelfRead{all: d.all})
		m.move(i)
		m, msg := shelfKey(m, "enter")
		if msg != nil || len(d.asked) != 0 || m.opening != "" || !strings.Contains(m.note, want) {
			t.Errorf("record %d: %q, asked %v", i, m.note, d.asked)
		}
	}
}

// The rig stays in sight: a tick looks at it and asks for the next, a stale one
// dies; an alarm takes a line from the list, and the chosen record stays in sight.
func TestShelfWatchesTheRig(t *testing.T) {
	d := &shelfDesk{all: entriesOf(40)}
	m := shelfSend(shelfScreen(d, 80, 24, termenv.Ascii), shelfRead{all: d.all})
	m.move(m.rows() - 1)
	d.look = at(39.9, 48.9e3).raise(pull.Stop, nil).snap
	if next, cmd := m.Update(tickMsg{id: m.tickID + 1}); cmd != nil || strings.Contains(next.View(), "STOP") {
		t.Error("a stale tick lives")
	}
	next, cmd := m.Update(tickMsg{id: m.tickID})
	if cmd == nil || !strings.Contains(next.View(), "STOP") || !strings.Contains(next.View(), "▸ ") {
		t.Errorf("the tick does not tell:\n%s", next.View())
	}
	d.look = nil
	if next, _ = next.Update(EdgeMsg{}); strings.Contains(next.View(), "STOP") {
		t.Error("an edge does not tell")
	}
}

func TestShelfLeads(t *testing.T) {
	m := shelfStates()["some"](80, 24, termenv.Ascii)
	for name, want := range map[string]tea.Msg{"b": openBench{}, "esc": openBench{}, "ctrl+c": leaveAll{}} {
		if _, got := shelfKey(m, name); got != want {
			t.Errorf("%s leads to %T, want %T", name, got, want)
		}
	}
	_, got := shelfKey(m, "?")
	h, ok := got.(openHelp)
	if !ok {
		t.Fatalf("%T", got)
	}
	var text []string
	for _, r := range h.rows {
		text = append(text, r.label+" "+r.text)
	}
	for _, word := range []string{"enter look at the pull again", "home the newest", "b back to the bench", "damaged", "unfinished", "foreign", "newer"} {
		if !strings.Contains(strings.Join(text, "\n"), word) {
			t.Errorf("help does not explain %q", word)
		}
	}
	// A key that does nothing now is not in it.
	_, got = shelfKey(shelfStates()["empty"](80, 24, termenv.Ascii), "?")
	for _, r := range got.(openHelp).rows {
		if r.label == "enter" || r.label == "down" {
			t.Errorf("help of an empty shelf offers %q", r.label)
		}
	}
}
