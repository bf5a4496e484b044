package tui

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"

	"draghand/internal/shelf"
)

// toldRows are the rows of the chosen record that a frame shows, by their labels.
func toldRows(m ShelfScreen) (out []string) {
	lines := strings.Split(ansi.Strip(m.View()), "\n")
	from := slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, "chosen   ") })
	for _, r := range m.moreRows(m.entry()) {
		if slices.ContainsFunc(lines[from+1:], func(l string) bool {
			return strings.HasPrefix(strings.TrimLeft(l[min(len(l), max(0, strings.Index(l, r.label))):], " "), r.label+" ")
		}) {
			out = append(out, r.label)
		}
	}
	return out
}

// What of the chosen record has no room is counted at its head, with the key that shows
// it; with that each row comes into sight at any size, and enter still looks again.
func TestShelfMoreInSight(t *testing.T) {
	many := finishedEntries()[2]
	many.Specimen.Tags = []string{"wet-sand", "annealed"}
	long := many
	long.Name = many.Name + strings.Repeat("-long-name", 12)
	for name, all := range map[string][]shelf.Entry{"some": entriesOf(5), "many": {many}, "long": {long}, "unfinished": mixedEntries()[1:2]} {
		for _, s := range []struct{ w, h int }{{80, 24}, {80, 30}, {100, 24}, {120, 40}, {180, 24}, {200, 60}} {
			at := fmt.Sprintf("%s at %d×%d", name, s.w, s.h)
			m := shelfSend(shelfScreen(&shelfDesk{all: all}, s.w, s.h, termenv.Ascii), shelfRead{all: all})
			var want []string
			for _, r := range m.moreRows(m.entry()) {
				want = append(want, r.label)
			}
			told := toldRows(m)
			whole := len(told) == len(want)
			if says := strings.Contains(m.View(), " more below: right"); says == whole || m.keys.More.Enabled() == whole {
				t.Errorf("%s: %d of %d rows, more is said: %v\n%s", at, len(told), len(want), says, m.View())
			}
			for n := 0; m.keys.More.Enabled(); n++ {
				if n > len(want)*4 {
					t.Fatalf("%s: right does not come to an end\n%s", at, m.View())
				}
				m = shelfKeysOf(m, "right")
				told = append(told, toldRows(m)...)
				if !strings.Contains(m.View(), " above") || !m.keys.Less.Enabled() {
					t.Errorf("%s: nothing is said of what is above\n%s", at, m.View())
				}
			}
			for _, label := range want {
				if !slices.Contains(told, label) {
					t.Errorf("%s: %s is never in sight\n%s", at, label, m.View())
				}
			}
			before := m.entry().Dir
			for range len(want) * 4 {
				m = shelfKeysOf(m, "left")
			}
			if strings.Contains(m.View(), " above") || m.entry().Dir != before {
				t.Errorf("%s: left does not lead back\n%s", at, m.View())
			}
		}
	}
}

// Another record begins at its first row, and the same one too once it was left; keys of
// another mode are text.
func TestShelfMoreBegins(t *testing.T) {
	m := shelfKeysOf(shelfOf(&shelfDesk{all: entriesOf(5)}), "right")
	if !strings.Contains(m.View(), "more above: left") || slices.Contains(toldRows(m), "bar") || !slices.Contains(toldRows(m), "source") {
		t.Fatalf("right shows no more:\n%s", m.View())
	}
	if down := shelfKeysOf(m, "down"); !slices.Contains(toldRows(down), "bar") || !strings.Contains(down.View(), "more below: right") {
		t.Errorf("the next record does not begin at its first row:\n%s", down.View())
	}
	if back := shelfKeysOf(m, "down", "up"); !slices.Contains(toldRows(back), "bar") {
		t.Errorf("it does not begin anew:\n%s", back.View())
	}
	if typed := shelfKeysOf(shelfOf(&shelfDesk{all: entriesOf(5)}), "/", "m", "right"); strings.Contains(typed.View(), "more above") || strings.Contains(typed.View(), "below: right") || !strings.Contains(typed.View(), " more below") {
		t.Errorf("while a filter is typed:\n%s", typed.View())
	}
	_, msg := shelfKey(m, "enter")
	if _, ok := msg.(shelfNotOpened); ok || msg == nil {
		t.Errorf("enter looks no more again: %v", msg)
	}
}

// The key that opens the record stands beside what is out of sight, of a longer name too.
func TestShelfMoreBesideOpen(t *testing.T) {
	for name, want := range map[string]string{
		"2026-11-25T140322Z-M40-7":       "╌ 2 more below: right   enter look again",
		"2026-11-25T140322Z-Harbour-7":   "╌ 2 below: right   enter look again",
		"2026-11-25T140322Z-Harbour24-7": "╌ 2 below: right   enter look again",
	} {
		all := entriesOf(1)
		all[0].Name = name
		if m := shelfOf(&shelfDesk{all: all}); !strings.Contains(m.View(), want) {
			t.Errorf("%s: no %q:\n%s", name, want, m.View())
		}
	}
}

// On a terminal too small for the list what does not fit is counted too.
func TestShelfMoreSmall(t *testing.T) {
	all := finishedEntries()
	all[0].Specimen.Tags = []string{"wet-sand"}
	m := shelfSend(shelfScreen(&shelfDesk{all: all}, 60, 12, termenv.Ascii), shelfRead{all: all})
	if !strings.Contains(m.View(), " more below: right") || strings.Contains(m.View(), "source sim:") {
		t.Fatalf("nothing is said of what does not fit:\n%s", m.View())
	}
	seen := m.View()
	for range 20 {
		m = shelfKeysOf(m, "right")
		seen += m.View()
	}
	for _, r := range m.moreRows(m.entry()) {
		if !strings.Contains(seen, "\n"+r.label+" ") {
			t.Errorf("%s is never in sight:\n%s", r.label, m.View())
		}
	}
	if !strings.Contains(m.View(), " more above: left") || strings.Contains(m.View(), "below") {
		t.Errorf("at the end:\n%s", m.View())
	}
}
