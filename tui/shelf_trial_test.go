package tui

import (
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// The question before the trash shows how to answer it, whatever it is about.
func TestShelfTrashAnswerInSight(t *testing.T) {
	d := &shelfDesk{all: finishedEntries(), moved: -1}
	long := finishedEntries()
	long[0].Specimen.ID = strings.Repeat("a-long-name-", 6)
	for name, m := range map[string]ShelfScreen{
		"hidden": shelfKeysOf(shelfOf(d), "M", "/", "m39", "enter"),
		"marked": shelfKeysOf(shelfOf(d), "M"),
		"long":   shelfKeysOf(shelfOf(&shelfDesk{all: long, moved: -1}), " "),
		"chosen": shelfOf(&shelfDesk{all: long, moved: -1}),
	} {
		m = shelfSend(m, tea.WindowSizeMsg{Width: 80, Height: 24})
		m = shelfKeysOf(m, "x")
		if got := m.View(); !strings.Contains(got, "y / n") || !strings.Contains(got, "to the trash") {
			t.Errorf("%s: %s", name, got[strings.LastIndexByte(got, '\n'):])
		}
	}
}

// A filter that hides the chosen record begins at the top; one that leaves it keeps it
// in sight with what is about it.
func TestShelfFilterBeginsAtTheTop(t *testing.T) {
	m := shelfSend(shelfScreen(&shelfDesk{}, 80, 24, 0), shelfRead{all: entriesOf(400)})
	m = shelfKeysOf(m, "end", "/", "m40", "enter")
	if len(m.shown) < 3 || len(m.shown) == 400 || m.chosen != 0 || m.top != 0 {
		t.Errorf("%d shown from %d on, number %d is chosen", len(m.shown), m.top, m.chosen)
	}
	m = shelfKeysOf(m, "esc", "end")
	for range 100 {
		m = shelfKeysOf(m, "up")
	}
	dir := m.entry().Dir
	m = shelfKeysOf(m, "/", "m", "enter")
	if m.entry().Dir != dir || m.chosen-m.top < 2 || m.top+m.rows()-m.chosen < 2 {
		t.Errorf("rows %d to %d, number %d is chosen", m.top, m.top+m.rows(), m.chosen)
	}
}

// What came back from the trash is chosen, and where it went is said for later.
func TestShelfUntrashChooses(t *testing.T) {
	d := &shelfDesk{all: finishedEntries(), moved: -1}
	m := shelfKeysOf(shelfOf(d), "down", "down", "x")
	dir, all := m.entry().Dir, d.all
	m = acted(t, m, d, "y")
	if !strings.Contains(m.View(), "draghand trash back") {
		t.Errorf("not said for later: %q", m.note)
	}
	m = shelfKeysOf(m, "end")
	d.all = all
	if m = acted(t, m, d, "U"); m.entry().Dir != dir {
		t.Errorf("%s is chosen", m.entry().Dir)
	}
}

// Where there is room all keys that do something stand at the foot; where there is
// none those that are needed most.
func TestShelfKeysStandThere(t *testing.T) {
	for _, c := range []struct {
		w, h int
		want string
	}{
		{120, 40, "enter look again,/ filter,space mark,A–D a group,M mark all,o overlay,c compare,f finish,s sort,n name,m remark,x trash,U take back,u lbf or kN,b bench,? help"},
		{100, 36, "A–D a group,M mark all,n name,m remark,s sort,x trash,U take back,? help"},
		{80, 24, "/ filter,c compare,f finish,? help"},
	} {
		m := shelfSend(shelfScreen(&shelfDesk{}, c.w, c.h, 0), shelfRead{all: finishedEntries()})
		m.keys.Undo.SetEnabled(true)
		lines := m.keys.lines(listing, c.w-4, m.keyHigh())
		for _, l := range lines {
			if ansi.StringWidth(l) > c.w-4 {
				t.Errorf("%d: %q is too wide", c.w, l)
			}
		}
		for _, k := range strings.Split(c.want, ",") {
			if !strings.Contains(strings.Join(lines, "   ")+"  ", k+"  ") {
				t.Errorf("%d×%d: no %q in %q", c.w, c.h, k, lines)
			}
		}
	}
	m := shelfSend(shelfScreen(&shelfDesk{}, 120, 40, 0), shelfRead{all: mixedEntries()})
	for !m.keys.Recover.Enabled() && m.chosen < len(m.shown)-1 {
		m = shelfKeysOf(m, "down")
	}
	if frame := m.View(); !strings.Contains(frame, "R recover") {
		t.Errorf("R is not told:\n%s", frame)
	}
}

// The bench of 80 columns names the key of the shelf before that of the check bars.
func TestBenchNamesTheShelf(t *testing.T) {
	k := newBenchKeys()
	for w := 60; w <= 160; w++ {
		line := k.short(0, w)
		if strings.Contains(line, "b check") && !strings.Contains(line, "l shelf") {
			t.Errorf("%d: %q", w, line)
		}
	}
	k.Arm.SetEnabled(false)
	k.Confirm.SetEnabled(false)
	k.Edit.SetEnabled(true)
	if line := k.short(0, 76); !strings.Contains(line, "l shelf") {
		t.Errorf("%q", line)
	}
}

// The panel says what the strength was held against and what came of it.
func TestShelfMinimum(t *testing.T) {
	d := &shelfDesk{all: finishedEntries()}
	m := shelfOf(d)
	for _, c := range []struct {
		noted Noted
		want  string
	}{
		{Noted{}, ""},
		{Noted{Minimum: 40e3 * si.PSI, MinimumFrom: "the drawing"}, "40.0 ksi, the drawing"},
		{Noted{Minimum: 40e3 * si.PSI, Says: strength.Passes}, "pass at 40.0 ksi"},
		{Noted{Minimum: 40e3 * si.PSI, Says: strength.CannotTell, MinimumFrom: "x\x1b[2J"}, "cannot tell at 40.0 ksi, x"},
	} {
		d.noted = c.noted
		m = shelfSend(m, m.readTrace(m.entry().Dir)())
		got := ""
		for _, r := range m.moreRows(m.entry()) {
			if r.label == "minimum" {
				got = r.text
			}
		}
		if !strings.HasPrefix(got, c.want) || (got == "") != (c.want == "") || strings.Contains(got, "\x1b") {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// What stands in a record is read anew once something was written into it elsewhere.
func TestShelfReadsWhatWasKept(t *testing.T) {
	d := &shelfDesk{all: finishedEntries()}
	m := shelfOf(d)
	m = shelfSend(m, m.readTrace(m.entry().Dir)())
	m = shelfSend(m, shelfShown{})
	if m.traces.of(m.entry().Dir) == nil {
		t.Fatal("read anew though nothing was written")
	}
	m.memory.told = "kept: 43.9 ksi"
	if m = shelfSend(m, shelfShown{}); m.traces.of(m.entry().Dir) != nil {
		t.Error("what stood in it before is shown")
	}
}

// After a bar was measured from the shelf the shelf says what was kept and what came
// of the minimum; the screen after a pull, which shows it at large, does not.
func TestShelfSaysWhatWasKept(t *testing.T) {
	d := endedDesk(pull.Tension, pull.Broken)
	a := newApp(d, Options{NoColor: true})
	a = appSend(a, tea.WindowSizeMsg{Width: 80, Height: 24})
	a = appSend(a, screenMsg{a.id, openShelf{}})
	a = appSend(a, screenMsg{a.id, openMeasure{newFakeMeasuring(nil)}})
	next, cmd := a.front.(MeasureScreen).Update(measuredMsg{})
	a.front = next
	a = appSend(a, screenMsg{a.id, cmd()})
	a = appSend(a, screenMsg{a.id, shelfShown{}})
	s, ok := a.front.(ShelfScreen)
	if !ok || !strings.Contains(s.View(), "kept: 43.9 ksi; pass at the minimum of 40.0 ksi") {
		t.Errorf("%T:\n%s", a.front, a.View())
	}
	a = appSend(a, screenMsg{a.id, measureKept{"kept", openAfter{}}})
	if _, ok := a.front.(AfterScreen); !ok || a.shelf.told != "" {
		t.Errorf("%T, %q", a.front, a.shelf.told)
	}
}
