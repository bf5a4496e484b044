package tui

import (
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/si"
)

// bigShelf is a shelf of more records than are sorted at once.
func bigShelf() ShelfScreen {
	all := entriesOf(sortedAtOnce + 500)
	m := shelfScreen(&shelfDesk{all: all}, 120, 40, termenv.Ascii)
	return shelfSend(m, shelfRead{all: all})
}

// Many records are sorted outside Update: until then the screen shows what it had, and
// says so. The record that was chosen stays so.
func TestShelfSortsBehind(t *testing.T) {
	m := shelfKeysOf(bigShelf(), "down", "down")
	chosen := m.entry().Dir
	next, cmd := m.Update(keyOf("s"))
	m = next.(ShelfScreen)
	if cmd == nil || barName(&m.all[0]) != "M40-7" || !strings.Contains(m.View(), "by bar   sorting …") {
		t.Fatalf("it is not behind:\n%s", m.View())
	}
	next, again := m.Update(keyOf("S")) // one is under way at most, and the last wish counts
	m = next.(ShelfScreen)
	if again != nil {
		t.Fatal("two at once")
	}
	next, again = m.Update(cmd())
	m = next.(ShelfScreen)
	if again == nil || !m.sorting.behind || barName(&m.all[0]) != "M40-7" {
		t.Fatalf("an older order is shown: %s first", barName(&m.all[0]))
	}
	m = shelfSend(m, again())
	if m.sorting.behind || barName(&m.all[0]) != "M40-7" || barName(&m.all[len(m.all)-1]) != "M1-1" || m.entry().Dir != chosen || strings.Contains(m.View(), "sorting …") {
		t.Errorf("%s first, %s chosen:\n%s", barName(&m.all[0]), m.entry().Dir, m.View())
	}
	// As it was read it is there at once, and an answer of before does not undo it.
	next, cmd = m.Update(keyOf("s"))
	m = shelfKeysOf(next.(ShelfScreen), "s", "s", "s", "s", "s", "s")
	if m.sorting.behind || !m.order.asRead() {
		t.Fatalf("%s, behind %v", m.order.text(), m.sorting.behind)
	}
	if m = shelfSend(m, cmd()); m.all[0].Dir != m.listed[0].Dir || m.entry().Dir != chosen {
		t.Errorf("%s is first", m.all[0].Name)
	}
}

// A shelf that was left while it was sorted is sorted for whoever comes back.
func TestShelfSortsOnComingBack(t *testing.T) {
	m := bigShelf()
	next, _ := m.Update(keyOf("s"))
	m = next.(ShelfScreen)
	back := newShelfScreen(m.desk, m.theme, m.units, m.memory).(ShelfScreen)
	next, cmd := back.Update(shelfShown{})
	if cmd == nil {
		t.Fatal("nobody asks again")
	}
	if got := shelfSend(next.(ShelfScreen), cmd()); got.sorting.behind || barName(&got.all[0]) != "M1-1" {
		t.Errorf("%s is first", barName(&got.all[0]))
	}
}

// A look at the shelf that began before records went to the trash does not bring them
// back when it ends late.
func TestShelfDropsAnOlderLook(t *testing.T) {
	d := &shelfDesk{all: finishedEntries(), moved: -1}
	m := shelfOf(d)
	next, cmd := m.Update(keyOf("r"))
	old := cmd()
	m = shelfKeysOf(next.(ShelfScreen), "x")
	next, cmd = m.Update(keyOf("y"))
	next, cmd = next.Update(cmd())
	m = next.(ShelfScreen)
	if m = shelfSend(m, old); !m.reading {
		t.Error("the look under way is taken for done")
	}
	if m = shelfSend(m, cmd(), old); len(m.all) != 13 || m.reading {
		t.Errorf("%d records, reading %v", len(m.all), m.reading)
	}
}

// A trace that was being read while its record was changed is read again.
func TestShelfDropsAnOlderTrace(t *testing.T) {
	d := &shelfDesk{all: finishedEntries(), remarks: []string{"as it was"}}
	m := shelfOf(d)
	dir := m.entry().Dir
	m = shelfSend(m, tickMsg{id: m.tickID}, tickMsg{id: m.tickID})
	if m.tracing != dir {
		t.Fatalf("%q is read", m.tracing)
	}
	old := m.readTrace(dir)()
	m = acted(t, shelfKeysOf(m, "m", "a pore"), d, "enter")
	if m = shelfSend(m, old); m.traces.of(dir) != nil || m.tracing != "" {
		t.Error("what it was before is kept")
	}
	m = shelfSend(m, tickMsg{id: m.tickID})
	if m.tracing != dir {
		t.Error("it is not read again")
	}
	if m = shelfSend(m, m.readTrace(dir)()); m.traces.of(dir) == nil {
		t.Error("what it is now is not kept")
	}
}

// Columns are as wide as the units of now need, whichever a look began with.
func TestShelfReadInOtherUnits(t *testing.T) {
	d := &shelfDesk{all: finishedEntries()}
	m := shelfOf(d)
	next, cmd := m.Update(keyOf("r"))
	read := cmd()
	next, wide := next.Update(keyOf("u"))
	m = shelfSend(next.(ShelfScreen), wide())
	next, cmd = m.Update(read)
	if cmd == nil {
		t.Fatal("the widths of other units stay")
	}
	if m = shelfSend(next.(ShelfScreen), cmd()); m.widest != widthsOf(m.all, si.Metric) {
		t.Errorf("%+v", m.widest)
	}
	// Widths of a list that is no longer there are dropped.
	next, wide = m.Update(keyOf("u"))
	stale := wide()
	next, cmd = next.Update(keyOf("r"))
	long := slices.Clone(d.all)
	long[0].Specimen.Melt = "a longer name"
	d.all = long
	m = shelfSend(next.(ShelfScreen), cmd(), stale)
	if m.widest != widthsOf(long, si.US) {
		t.Errorf("%+v of a list of before", m.widest)
	}
}

// What is asked before records go to the trash is about those that go, though the list
// is read anew meanwhile.
func TestShelfTrashAsksOfWhatGoes(t *testing.T) {
	d := &shelfDesk{all: finishedEntries(), moved: -1}
	m := shelfKeysOf(shelfOf(d), " ", "down", "down", "x")
	asked := m.asked
	m = shelfSend(m, shelfRead{all: d.all[1:]})
	if got := m.asked; got != asked || !strings.Contains(got, "M40-7") {
		t.Errorf("%q, then %q", asked, got)
	}
	if _, msg := shelfKey(m, "y"); msg.(shelfDone).trashed.Moved[0].From != d.did2Dir() {
		t.Errorf("%v went", d.did)
	}
}

// did2Dir is the folder that was last asked to go to the trash.
func (d *shelfDesk) did2Dir() string { return strings.TrimPrefix(d.did[len(d.did)-1], "trash ") }

// A wish is made outside Update, since it may be about the whole shelf, and is about
// what was marked when its key was pressed.
func TestShelfWishesBehind(t *testing.T) {
	m := shelfKeysOf(shelfOf(&shelfDesk{all: finishedEntries()}), " ", "down", " ")
	next, cmd := m.Update(keyOf("c"))
	_ = shelfKeysOf(next.(ShelfScreen), "0") // what is marked later is another wish
	if got := cmd().(openCompare); len(got.of) != 2 || len(got.groups) != 2 {
		t.Errorf("%d records, %v", len(got.of), got.groups)
	}
}

// What came of an action after the shelf was left and opened again is told there, and
// the list is read anew.
func TestShelfTellsLate(t *testing.T) {
	d := &shelfDesk{all: finishedEntries(), moved: -1}
	a := newApp(d, Options{NoColor: true})
	a = appSend(a, tea.WindowSizeMsg{Width: 120, Height: 40})
	a = appSend(a, screenMsg{a.id, openShelf{}})
	a = appSend(a, screenMsg{a.id, shelfRead{all: d.all}})
	a = appSend(a, keyOf("x"))
	next, cmd := a.Update(keyOf("y"))
	a = appSend(next.(App), screenMsg{a.id, openBench{}})
	a = appSend(a, screenMsg{a.id, openShelf{}})
	a = appSend(a, screenMsg{a.id, shelfShown{}})
	a = appSend(a, screenMsg{a.id, shelfRead{all: finishedEntries()}}) // a look that began before
	next, cmd = a.Update(cmd())
	a = next.(App)
	if s := a.front.(ShelfScreen); !s.keys.Undo.Enabled() || !strings.Contains(s.View(), "in the trash: U takes it back") || !s.reading || cmd == nil {
		t.Fatalf("not told:\n%s", a.View())
	}
	a = appSend(a, cmd())
	if s := a.front.(ShelfScreen); len(s.all) != 13 || s.reading || s.memory.told != "" {
		t.Errorf("%d records, told %q later", len(s.all), s.memory.told)
	}
}
