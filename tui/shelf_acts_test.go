package tui

import (
	"errors"
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
)

// acted presses a key that does something to records, and gives the screen once the
// answer and the look after it are there.
func acted(t *testing.T, m ShelfScreen, d *shelfDesk, name string) ShelfScreen {
	t.Helper()
	before := len(d.did)
	next, cmd := m.Update(keyOf(name))
	m = next.(ShelfScreen)
	if cmd == nil || m.busy == "" || len(d.did) != before {
		t.Fatalf("%s: busy %q, did %v within Update", name, m.busy, d.did[before:])
	}
	if frame := m.View(); !strings.Contains(frame, m.busy+" …") {
		t.Errorf("what is under way does not show:\n%s", frame)
	}
	next, cmd = m.Update(cmd())
	m = next.(ShelfScreen)
	if cmd == nil || !m.reading {
		t.Fatalf("%s: the shelf is not read again", name)
	}
	return shelfSend(m, cmd())
}

// The trash asks once; no answers nothing; what was moved is taken back by U.
func TestShelfTrash(t *testing.T) {
	d := &shelfDesk{all: finishedEntries(), moved: -1}
	m := shelfKeysOf(shelfOf(d), "down", "x")
	if !strings.Contains(m.View(), "move M40-6 of 2026-11-25 13:26:22 to the trash?  y / n") {
		t.Errorf("not asked:\n%s", m.View())
	}
	for _, no := range []string{"n", "esc", "enter"} {
		if next, msg := shelfKey(shelfKeysOf(shelfOf(d), "down", "x"), no); msg != nil || next.mode != listing || len(d.did) > 0 {
			t.Fatalf("%s: %v, %v", no, msg, d.did)
		}
	}
	if next, msg := shelfKey(m, "j"); msg != nil || next.mode != trashing {
		t.Error("another key answers")
	}
	dir := m.entry().Dir
	m = acted(t, m, d, "y")
	if d.did[0] != "trash "+dir || len(m.all) != 13 || barName(m.entry()) != "M40-5" || !strings.Contains(m.View(), "in the trash: U takes it back") {
		t.Errorf("%v, %s chosen:\n%s", d.did, barName(m.entry()), m.View())
	}
	// Marked ones go together, those that a filter hides too, and that is said.
	m = shelfKeysOf(m, " ", "down", " ", "/", "m39", "enter", "x")
	if !strings.Contains(m.View(), "move the 2 records that are marked to the trash, 2 of them not shown?") {
		t.Errorf("the question:\n%s", m.View())
	}
	m = acted(t, m, d, "y")
	if len(m.marks) != 0 || !strings.Contains(m.note, "2 records in the trash: U takes them back") {
		t.Errorf("%q, %v", m.note, m.marks)
	}
	d.refused = errors.New("the folder is there again")
	if m = acted(t, m, d, "U"); !strings.Contains(m.note, "not taken back: the folder is there again") || len(m.memory.trashed) != 2 {
		t.Errorf("%q", m.note)
	}
	d.refused = nil
	m = acted(t, m, d, "U")
	m = acted(t, m, d, "U")
	if got := d.did[len(d.did)-2:]; !slices.Equal(got, []string{"untrash 2", "untrash 1"}) || m.keys.Undo.Enabled() {
		t.Errorf("%v", got)
	}
	// What failed is told beside what went.
	d.refused, d.moved = errors.New("permission denied"), 1
	m = acted(t, shelfKeysOf(m, "esc", "home", " ", "down", " ", "x"), d, "y")
	if want := "1 of 2 records in the trash (U takes back); the rest is not: permission denied"; m.note != want {
		t.Errorf("%q", m.note)
	}
	d.moved = 0
	if m = acted(t, shelfKeysOf(m, "x"), d, "y"); m.note != "not moved: permission denied" {
		t.Errorf("%q", m.note)
	}
}

// What comes back hidden by the filter moves no choice, and the note says where it is.
func TestShelfTakesBackWhatTheFilterHides(t *testing.T) {
	d := &shelfDesk{all: finishedEntries(), moved: -1}
	all := d.all
	m := acted(t, shelfKeysOf(shelfOf(d), "end", "x"), d, "y")
	m = shelfKeysOf(m, "/", "m40", "enter", "home", "down", "down")
	dir := m.entry().Dir
	d.all = all
	m = acted(t, m, d, "U")
	if m.entry().Dir != dir {
		t.Errorf("%s was chosen, now %s", dir, m.entry().Dir)
	}
	if want := "back on the shelf: 1 record, hidden by the filter"; m.note != want {
		t.Errorf("%q, want %q", m.note, want)
	}
	// Of several the first that is shown is chosen.
	m = shelfKeysOf(m, "esc", "end", " ", "home", " ", "x")
	first := m.entry().Dir
	m = acted(t, m, d, "y")
	m = shelfKeysOf(m, "/", "m40", "enter", "home", "down")
	d.all = all
	m = acted(t, m, d, "U")
	if want := "back on the shelf: 2 records, 1 of them hidden by the filter"; m.note != want || m.entry().Dir != first {
		t.Errorf("%q, want %q; %s chosen, want %s", m.note, want, m.entry().Dir, first)
	}
}

// A label is corrected in three lines; one that is refused stays to be sent again.
func TestShelfLabel(t *testing.T) {
	d := &shelfDesk{all: finishedEntries()}
	m := shelfKeysOf(shelfOf(d), "down", "n")
	dir := m.entry().Dir
	if _, msg := shelfKey(m, "enter"); msg != nil {
		t.Error("nothing new is written")
	}
	m = shelfKeysOf(m, "ctrl+u", "M7", "tab", "ctrl+u", "12b", "down", ", hot, , wet-sand")
	d.refused = errors.New("disk full")
	m = acted(t, m, d, "enter")
	if !strings.Contains(m.View(), "NOT KEPT: disk full") || m.mode != labelling {
		t.Errorf("refused:\n%s", m.View())
	}
	d.refused = nil
	m = acted(t, m, d, "enter")
	if want := `relabel ` + dir + ` melt "M7" bar "12b" tags ["wet-sand" "hot"]`; d.did[1] != want || m.mode != listing || m.note != "label kept; that it was M40-6 stands in the record" {
		t.Errorf("%q, want %q; %q", d.did[1], want, m.note)
	}
	if m = acted(t, shelfKeysOf(m, "n", "tab", "tab", ", hot"), d, "enter"); m.note != "label kept; the tags it had stand in the record" {
		t.Errorf("%q", m.note)
	}
	m = shelfKeysOf(m, "n", "ctrl+u", "tab", "ctrl+u", "enter")
	if m.mode != labelling || !strings.Contains(m.View(), "needs a number or a melt") {
		t.Errorf("a bar without a name:\n%s", m.View())
	}
	if m = shelfKeysOf(m, "esc"); m.mode != listing || len(d.did) != 3 {
		t.Errorf("%v", d.did)
	}
}

func TestShelfRemark(t *testing.T) {
	d := &shelfDesk{all: finishedEntries()}
	m := shelfKeysOf(shelfOf(d), "m", "a pore")
	dir := m.entry().Dir
	d.refused = errors.New("disk full")
	if m = acted(t, m, d, "enter"); m.mode != noting || !strings.Contains(m.View(), "a pore") || !strings.Contains(m.View(), "NOT KEPT: disk full") {
		t.Errorf("refused:\n%s", m.View())
	}
	d.refused = nil
	if m = acted(t, m, d, "enter"); d.did[1] != "remark "+dir+" a pore" || m.note != "remark kept" || m.takesText() {
		t.Errorf("%v, %q", d.did, m.note)
	}
	if m, msg := shelfKey(shelfKeysOf(m, "m", " "), "enter"); msg != nil || m.mode != listing {
		t.Error("an empty remark is kept")
	}
}

// What was cut off is recovered, what cannot be is not offered.
func TestShelfRecovers(t *testing.T) {
	d := &shelfDesk{all: mixedEntries()}
	m := shelfOf(d)
	if m.keys.Recover.Enabled() {
		t.Error("a record being written can be recovered")
	}
	m = shelfKeysOf(m, "down")
	if frame := m.View(); !strings.Contains(frame, "R closes it with what is intact") || !strings.Contains(frame, "R recover") {
		t.Errorf("not offered:\n%s", frame)
	}
	dir := m.entry().Dir
	m = shelfSend(m, shelfTraced{of: shelfTrace{dir: dir, trace: madeUpTrace()}})
	m = acted(t, m, d, "R")
	if d.did[0] != "recover "+dir || m.note != "recovered: closed by what is intact: broken at 7,899 lbf, 812 readings intact" || m.traces.of(dir) != nil {
		t.Errorf("%v, %q", d.did, m.note)
	}
	d.refused = errors.New("not one reading")
	if m = acted(t, m, d, "R"); m.note != "not recovered: not one reading" {
		t.Errorf("%q", m.note)
	}
	if m = shelfKeysOf(m, "down"); m.keys.Recover.Enabled() || m.keys.Label.Enabled() || m.keys.Finish.Enabled() {
		t.Error("a damaged record is offered what cannot be done")
	}
}

func TestShelfMeasures(t *testing.T) {
	d := &shelfDesk{all: finishedEntries()}
	m, msg := shelfKey(shelfOf(d), "f")
	if _, ok := msg.(openMeasure); !ok || d.did[0] != "measure "+d.all[0].Dir {
		t.Errorf("%T, %v", msg, d.did)
	}
	d.refused = errors.New("the record is locked")
	m, msg = shelfKey(shelfSend(m, shelfShown{}), "f")
	if m = shelfSend(m, msg); !strings.Contains(m.View(), "nothing can be written into this record: the record is locked") {
		t.Errorf("not told:\n%s", m.View())
	}
}

// The shelf comes back as it was left, and reads itself anew.
func TestShelfComesBack(t *testing.T) {
	d := &shelfDesk{all: finishedEntries(), moved: -1}
	a := newApp(d, Options{NoColor: true})
	a = appSend(a, tea.WindowSizeMsg{Width: 120, Height: 40})
	a = appSend(a, screenMsg{a.id, openShelf{}})
	a = appSend(a, screenMsg{a.id, shelfRead{all: d.all}})
	for _, k := range []tea.KeyMsg{keyOf("s"), keyOf(" "), keyOf("/"), {Type: tea.KeyRunes, Runes: []rune("m40")}, keyOf("enter"), keyOf("up"), keyOf("up"), keyOf("B")} {
		a = appSend(a, k)
	}
	was := a.front.(ShelfScreen)
	a = appSend(a, screenMsg{a.id, openBench{}})
	a = appSend(a, screenMsg{a.id, openShelf{}})
	now := a.front.(ShelfScreen)
	if shownBars(now) != shownBars(was) || now.entry().Dir != was.entry().Dir || len(now.marks) != 2 || now.filter.text != "m40" || now.order != was.order || !now.reading {
		t.Errorf("%s, %v, %q, %v", shownBars(now), now.marks, now.filter.text, now.order)
	}
	// What went to the trash while another screen is in front can be taken back.
	a = appSend(a, keyOf("x"))
	next, cmd := a.Update(keyOf("y"))
	a = appSend(next.(App), screenMsg{a.id, openBench{}})
	a = appSend(a, cmd())
	a = appSend(a, screenMsg{a.id, openShelf{}})
	a = appSend(a, screenMsg{a.id, shelfShown{}})
	if s := a.front.(ShelfScreen); !s.keys.Undo.Enabled() || !strings.Contains(s.View(), "2 records in the trash: U takes them back") {
		t.Errorf("lost:\n%s", s.View())
	}
}

func appSend(a App, msg tea.Msg) App {
	next, _ := a.Update(msg)
	return next.(App)
}

// Nothing is asked of records that are hidden, being written or damaged but what the
// screen offers; every state answers every key without falling over.
func TestShelfTakesAnyKey(t *testing.T) {
	for name, of := range shelfStates() {
		if name == "many" { // like the others, and slow to make
			continue
		}
		for _, k := range []string{"up", "down", "pgup", "pgdown", "home", "end", "enter", "/", "s", "S", " ", "A", "D", "0", "o", "c", "f", "n", "m", "R", "x", "y", "n", "u", "U", "M", "q", "r", "esc", "b", "?", "z", "tab"} {
			for _, size := range []struct{ w, h int }{{80, 24}, {60, 18}} {
				m := shelfKeysOf(of(size.w, size.h, termenv.Ascii), k)
				checkAnyFrame(t, name+" after "+k, m.View(), size.w, size.h)
			}
		}
	}
}
