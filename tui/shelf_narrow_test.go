package tui

import (
	"fmt"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/shelf"
)

// longShelf is a shelf whose texts are so long that many terms take longer than a key
// may, with the first of two answers.
func longShelf() (ShelfScreen, []shelf.Entry) {
	all := entriesOf(400)
	for i := range all {
		all[i].Specimen.Alloy = strings.Repeat("Ünïcödé ", 1000) + fmt.Sprint(i%2)
	}
	m := shelfScreen(&shelfDesk{all: all}, 120, 40, termenv.Ascii)
	return shelfSend(m, shelfRead{all: all, words: shelf.Fold(all)}), all
}

// manyTerms are terms of a filter that every record of longShelf meets.
var manyTerms = strings.Repeat("ünïcödé ", 20)

// paste puts a text into the filter in one key, and gives the answer that is under way.
func paste(m ShelfScreen, text string) (ShelfScreen, tea.Msg) {
	next, cmd := m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(text), Paste: true})
	if cmd == nil {
		return next.(ShelfScreen), nil
	}
	return next.(ShelfScreen), cmd()
}

// A filter that takes long is answered outside Update. Until then the screen says so,
// shows what it had, and neither compares nor marks all of it.
func TestShelfNarrowsBehind(t *testing.T) {
	m, all := longShelf()
	m = shelfKeysOf(m, "/")
	m, answer := paste(m, manyTerms+"-alloy:é0")
	if answer != nil && len(m.shown) != len(all) {
		t.Fatalf("%d are shown before there is an answer", len(m.shown))
	}
	if answer == nil || !strings.Contains(m.View(), "filtering …") {
		t.Fatalf("it is not behind: %v\n%s", answer, m.View())
	}
	behind := shelfKeysOf(m, "enter")
	if behind.keys.Compare.Enabled() || behind.keys.MarkAll.Enabled() {
		t.Error("what is shown can be compared or marked, and is not what the filter takes")
	}
	m = shelfSend(m, answer)
	if want := len(all); len(m.shown) != want || m.narrowing.behind || strings.Contains(m.View(), "filtering …") {
		t.Fatalf("%d of %d are shown:\n%s", len(m.shown), want, m.View())
	}
	if m = shelfKeysOf(m, "enter"); !m.keys.Compare.Enabled() || !m.keys.MarkAll.Enabled() {
		t.Error("nothing can be compared or marked afterwards")
	}
}

// An answer to a filter that was changed since is dropped, and one is under way at most.
func TestShelfNarrowsToTheLast(t *testing.T) {
	m, all := longShelf()
	m = shelfKeysOf(m, "/")
	m, first := paste(m, manyTerms+`-alloy:" 0"`)
	m, second := paste(m, ` -alloy:" 1"`)
	if first == nil || second != nil {
		t.Fatalf("%v is under way, and %v", first, second)
	}
	next, cmd := m.Update(first)
	if m = next.(ShelfScreen); len(m.shown) != len(all) || cmd == nil || !m.narrowing.behind {
		t.Fatalf("%d are shown by an answer of before; asked again: %v", len(m.shown), cmd != nil)
	}
	if m = shelfSend(m, cmd()); len(m.shown) != 0 || m.narrowing.behind {
		t.Fatalf("%d are shown, and none has both", len(m.shown))
	}
	// A quick filter is there at once, and an answer of before does not undo it.
	m, slow := paste(shelfKeysOf(m, "esc", "/"), manyTerms+`-alloy:" 0"`)
	m = shelfKeysOf(m, "esc")
	if m = shelfSend(m, slow); len(m.shown) != len(all) || m.filter.text != "" || m.narrowing.behind {
		t.Errorf("%d are shown without a filter", len(m.shown))
	}
}

// A list in another order, read anew or come back to is not shown by what was taken of
// the one before.
func TestShelfNarrowsAnotherList(t *testing.T) {
	m, all := longShelf()
	m = shelfKeysOf(m, "/")
	m, answer := paste(m, manyTerms+`-alloy:" 0"`)
	m = shelfKeysOf(shelfSend(m, answer), "enter")
	if len(m.shown) != len(all)/2 {
		t.Fatalf("%d are shown", len(m.shown))
	}
	few := all[:len(all)/2]
	for name, c := range map[string]struct {
		msg  tea.Msg
		want int
	}{
		"another order": {keyOf("S"), len(all) / 2},
		"read anew":     {shelfRead{all: few, words: shelf.Fold(all)}, len(few) / 2},
	} {
		next, cmd := m.Update(c.msg)
		now := next.(ShelfScreen)
		if len(now.shown) != 0 || cmd == nil || !strings.Contains(now.View(), "filtering …") {
			t.Errorf("%s: %d are shown at once:\n%s", name, len(now.shown), now.View())
			continue
		}
		// The screen was left meanwhile: whoever is there now asks again.
		back := newShelfScreen(now.desk, now.theme, now.units, now.memory).(ShelfScreen)
		next, again := back.Update(shelfShown{})
		back = next.(ShelfScreen)
		if again == nil {
			t.Fatalf("%s: nobody asks again", name)
		}
		for _, got := range []ShelfScreen{shelfSend(now, cmd()), shelfSend(back, again())} {
			if len(got.shown) != c.want || got.narrowing.behind {
				t.Errorf("%s: %d are shown, want %d", name, len(got.shown), c.want)
			}
			for _, i := range got.shown {
				if strings.HasSuffix(got.all[i].Specimen.Alloy, "0") {
					t.Errorf("%s: shown is %q", name, got.all[i].Name)
				}
			}
		}
	}
}
