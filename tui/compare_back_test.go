package tui

import (
	"errors"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/compare"
	"draghand/internal/shelf"
	"draghand/internal/si"
)

// What was under way when a pull was looked at again is not waited for for ever: its
// answer went to a screen that was not in front.
func TestCompareComesBack(t *testing.T) {
	m := compareStates()["bars"](80, 24, termenv.Ascii)
	next, first := m.Update(keyNamed("c")) // 99/95
	if first == nil || !next.(CompareScreen).running {
		t.Fatal("not under way")
	}
	next, cmd := next.Update(shelfShown{})
	if cmd == nil {
		t.Fatal("nobody asks again")
	}
	m = compareSend(next.(CompareScreen), cmd())
	if m.running || m.c.Options.Content != 0.99 {
		t.Errorf("under way %v, %v", m.running, m.c.Options)
	}
	next, _ = m.Update(keyNamed("e"))
	if m = next.(CompareScreen); m.keys.Open.Enabled() {
		t.Error("a pull can be looked at while the report is written, and nobody is told of it")
	}
}

// Where a report was written is told on the shelf, where the comparison was left
// meanwhile; also that none was.
func TestCompareReportToldOnTheShelf(t *testing.T) {
	for _, refused := range []error{nil, errors.New("no space left on device")} {
		d := &compareDesk{fakeDesk: readyDesk(), pulls: comparePulls("M1", "C90500", meltOne...), file: "/reports/m1.html", keepErr: refused}
		a := app(d, 80, 24, termenv.Ascii)
		a, cmd := a.told(openCompare{of: make([]shelf.Entry, 8), by: compare.By{Field: compare.ByMelt}})
		a, _ = follow(t, a, cmd, 0)
		next, kept := a.Update(keyNamed("e"))
		a, cmd = next.(App).told(openShelf{})
		a, _ = follow(t, a, cmd, 0)
		next, _ = a.Update(kept())
		s, want := next.(App).front.(ShelfScreen), "report written: /reports/m1.html"
		if refused != nil {
			want = "no report was written: no space left on device"
		}
		if s.note != want {
			t.Errorf("%q, want %q", s.note, want)
		}
	}
}

// q goes back while records are reckoned too, as on the screens beside.
func TestCompareStopsByQ(t *testing.T) {
	d := &compareDesk{fakeDesk: readyDesk()}
	for _, k := range []string{"b", "esc", "q"} {
		m := compareScreen(d, compare.By{Field: compare.ByMelt}, 8, 80, 24, termenv.Ascii)
		if next, cmd := m.Update(keyNamed(k)); cmd == nil || cmd() != (openShelf{}) || next.(CompareScreen).ctx.Err() == nil {
			t.Errorf("%s does not stop it", k)
		}
	}
}

// u changes the units as on the screens beside it, for the sitting.
func TestCompareUnits(t *testing.T) {
	m := compareStates()["two"](120, 40, termenv.Ascii)
	words := func(m CompareScreen) string { // without the keys
		frame := m.View()
		return frame[:strings.LastIndexByte(frame, '\n')]
	}
	us := words(m)
	next, cmd := m.Update(keyNamed("u"))
	m = next.(CompareScreen)
	if frame := words(m); cmd != nil || !strings.Contains(us, "ksi") || strings.Contains(frame, "ksi") || !strings.Contains(frame, "MPa") {
		t.Errorf("after u:\n%s", frame)
	}
	var front tea.Model = m
	if u, ok := shownUnits(front); !ok || u != si.Metric {
		t.Error("the sitting does not know")
	}
	m.typing, m.units = typingMinimum, si.Metric
	if next, _ := m.Update(keyNamed("u")); next.(CompareScreen).units != si.Metric {
		t.Error("a letter of what is typed changes the units")
	}
}
