package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/compare"
	"draghand/internal/shelf"
)

// shelfOf is a shelf that was read.
func shelfOf(d *shelfDesk) ShelfScreen {
	return shelfSend(shelfScreen(d, 80, 24, termenv.Ascii), shelfRead{all: d.all})
}

// shownBars are the bars in sight of the list, in order.
func shownBars(m ShelfScreen) string {
	var out []string
	for _, i := range m.shown {
		out = append(out, barName(&m.all[i]))
	}
	return strings.Join(out, " ")
}

// The list narrows with each key; what a person chose stays chosen where it is shown
// and comes back when the filter goes.
func TestShelfFilters(t *testing.T) {
	m := shelfKeysOf(shelfOf(&shelfDesk{all: finishedEntries()}), "down", "down", "/")
	if !m.takesText() {
		t.Fatal("keys are no text")
	}
	for _, step := range []struct{ typed, bars, chosen string }{
		{"m39", "M39-7 M39-6 M39-5 M39-4 M39-3 M39-2 M39-1", "M39-7"},
		{"-7", "M39-7", "M39-7"},
		{"ctrl+u", "M40-7 M40-6 M40-5 M40-4 M40-3 M40-2 M40-1 M39-7 M39-6 M39-5 M39-4 M39-3 M39-2 M39-1", "M40-5"},
		{"counts:no", "M40-3", "M40-3"},
		{" strength>soft", "M40-3", "M40-3"},
		{" zzz", "", ""},
	} {
		m = shelfKeysOf(m, step.typed)
		if got := shownBars(m); got != step.bars {
			t.Errorf("after %q: %s, want %s", step.typed, got, step.bars)
		}
		if e := m.entry(); (e == nil) != (step.chosen == "") || e != nil && barName(e) != step.chosen {
			t.Errorf("after %q %v is chosen, want %q", step.typed, e, step.chosen)
		}
	}
	frame := m.View()
	for _, word := range []string{"0 of 14 pull records", "not understood, the rest holds: strength>soft", "takes none of them"} {
		if !strings.Contains(frame, word) {
			t.Errorf("no %q:\n%s", word, frame)
		}
	}
	m = shelfKeysOf(m, "enter")
	if m.takesText() || m.keys.Open.Enabled() || !strings.Contains(m.View(), "/ changes it, esc takes it away") {
		t.Errorf("kept:\n%s", m.View())
	}
	m = shelfKeysOf(m, "esc") // the filter first, the shelf after
	if len(m.shown) != 14 || barName(m.entry()) != "M40-5" {
		t.Errorf("%d shown, %s chosen", len(m.shown), barName(m.entry()))
	}
	if _, msg := shelfKey(m, "esc"); msg != (openBench{}) {
		t.Errorf("esc leads to %T", msg)
	}
}

// Each press sorts by the next column; another turns it round. The record that was
// chosen stays so, and head and title say it.
func TestShelfSorts(t *testing.T) {
	m := shelfKeysOf(shelfOf(&shelfDesk{all: finishedEntries()}), "down")
	for _, step := range []struct{ key, title, head, first string }{
		{"S", "oldest first", "began ↑", "M39-1"},
		{"s", "by bar", "bar ↑", "M39-1"},
		{"s", "by alloy", "", "M40-7"},
		{"s", "thinnest first", "", "M40-7"},
		{"s", "weakest first", "strength ↑", "M40-7"},
		{"S", "strongest first", "strength ↓", "M39-6"},
		{"s", "least elongation first", "", "M40-7"},
		{"s", "those that count first", "counts↑", "M40-7"},
		{"s", "by outcome", "outcome ↑", "M40-7"},
		{"s", "newest first", "began ↓", "M40-7"},
	} {
		m = shelfKeysOf(m, step.key)
		frame := m.View()
		if !strings.Contains(frame, "14 pull records, "+step.title) || !strings.Contains(frame, step.head) {
			t.Errorf("no %q or %q:\n%s", step.title, step.head, frame)
		}
		if got := strings.Fields(shownBars(m))[0]; got != step.first {
			t.Errorf("%s: %s is first, want %s", step.title, got, step.first)
		}
		if barName(m.entry()) != "M40-6" {
			t.Errorf("%s: %s is chosen", step.title, barName(m.entry()))
		}
	}
}

// Marks stay through a filter, a sort and another look, and go with their records.
func TestShelfMarks(t *testing.T) {
	d := &shelfDesk{all: finishedEntries()}
	m := shelfKeysOf(shelfOf(d), " ", "down", " ", "down", "C", "down", "B")
	_, msg := shelfKey(m, "o")
	if got := bars(msg.(openOverlay).of); got != "M40-7 M40-6 M40-5 M40-4" {
		t.Errorf("overlay of %s", got)
	}
	_, msg = shelfKey(m, "c")
	to := msg.(openCompare)
	if to.by.Field != compare.ByMarked || bars(to.of) != "M40-7 M40-6 M40-5 M40-4" || to.groups[d.all[0].Dir] != "A" || to.groups[d.all[2].Dir] != "C" || len(to.groups) != 4 {
		t.Errorf("%+v", to)
	}
	m = shelfKeysOf(m, "/", "m39", "enter", "s", "s")
	if !strings.Contains(m.View(), "4 marked, 4 of them not shown") {
		t.Errorf("hidden marks:\n%s", m.View())
	}
	m = shelfKeysOf(m, "esc", "home")
	d.all = slices.Delete(slices.Clone(d.all), 0, 1)
	m, msg = shelfKey(m, "r")
	m = shelfSend(m, msg)
	if len(m.marks) != 3 || m.marks[d.all[1].Dir] != 'C' {
		t.Errorf("after another look %v", m.marks)
	}
	// The same key takes a mark, another changes its group.
	dir := d.all[3].Dir
	for i := range m.shown {
		if m.all[m.shown[i]].Dir == dir {
			m.move(i)
		}
	}
	for _, step := range []struct {
		key  string
		want byte
	}{{"D", 'D'}, {"A", 'A'}, {" ", 0}, {"B", 'B'}} {
		if m = shelfKeysOf(m, step.key); m.marks[dir] != step.want {
			t.Errorf("%q: %q, want %q", step.key, m.marks[dir], step.want)
		}
	}
	if m = shelfKeysOf(m, "0"); len(m.marks) != 0 || m.keys.Unmark.Enabled() {
		t.Error("marks stay")
	}
}

func bars(all []shelf.Entry) string {
	var out []string
	for i := range all {
		out = append(out, barName(&all[i]))
	}
	return strings.Join(out, " ")
}

// Without marks a comparison is of all that the filter shows, by melt where there are
// several; an overlay of the chosen one.
func TestShelfComparesWhatIsShown(t *testing.T) {
	m := shelfOf(&shelfDesk{all: finishedEntries()})
	_, msg := shelfKey(m, "c")
	if to := msg.(openCompare); len(to.of) != 14 || to.by.Field != compare.ByMelt || len(to.groups) != 0 {
		t.Errorf("%d, %v", len(to.of), to.by)
	}
	m = shelfKeysOf(m, "/", "melt=m39", "enter", "down")
	_, msg = shelfKey(m, "c")
	if to := msg.(openCompare); len(to.of) != 7 || to.by.Field != compare.ByAll {
		t.Errorf("%d, %v", len(to.of), to.by)
	}
	_, msg = shelfKey(m, "o")
	if got := bars(msg.(openOverlay).of); got != "M39-6" {
		t.Errorf("overlay of %s", got)
	}
	// One group of marks is no comparison of groups.
	m = shelfKeysOf(m, " ", "down", " ")
	_, msg = shelfKey(m, "c")
	if to := msg.(openCompare); len(to.of) != 2 || to.by.Field != compare.ByAll {
		t.Errorf("%d, %v", len(to.of), to.by)
	}
}

// A trace is read once its record was chosen for a whole tick, one at a time, and is
// kept; records passed over are not asked for.
func TestShelfTraces(t *testing.T) {
	d := &shelfDesk{all: entriesOf(200)}
	m := shelfOf(d)
	tick := func() tea.Cmd {
		next, cmd := m.Update(tickMsg{id: m.tickID})
		m = next.(ShelfScreen)
		return cmd
	}
	for range 20 {
		m = shelfKeysOf(m, "down", "down")
		tick()
	}
	if m.tracing != "" {
		t.Fatal("a trace is read of a record passed over")
	}
	read := func() shelfTraced {
		t.Helper()
		tick()
		tick()
		if m.tracing != m.entry().Dir {
			t.Fatalf("%q is read, want %q", m.tracing, m.entry().Dir)
		}
		msg := m.readTrace(m.tracing)()
		m = shelfSend(m, msg)
		return msg.(shelfTraced)
	}
	read()
	if frame := m.View(); !strings.Contains(frame, "peak 7,") || !strings.Contains(frame, "50.0 s") || !strings.Contains(frame, "⡤⠤⠴") {
		t.Errorf("no trace:\n%s", frame)
	}
	if tick(); m.tracing != "" || len(d.did) != 1 {
		t.Errorf("read again: %v", d.did)
	}
	for range mostTraces + 5 {
		m = shelfKeysOf(m, "down")
		read()
	}
	if len(m.traces) != mostTraces {
		t.Errorf("%d are kept", len(m.traces))
	}
	m = shelfKeysOf(m, "down")
	d.refused = errors.New("its readings are gone")
	if read(); !strings.Contains(m.View(), "its readings are") {
		t.Errorf("not told:\n%s", m.View())
	}
}

// Ten thousand records, a filter of four terms: a key costs less than a frame.
func BenchmarkShelfFilterKey(b *testing.B) {
	all := entriesOf(10_000)
	long := entriesOf(10_000)
	for i := range long {
		s := &long[i].Specimen
		s.Alloy, s.Melt, s.Tags = fmt.Sprintf("Stränge-Штамп-бронза%d", i)+strings.Repeat("Öß", 20), strings.Repeat("ёж", 30), []string{strings.Repeat("naß", 20), strings.Repeat("штамп", 12)}
	}
	for name, c := range map[string]struct {
		all  []shelf.Entry
		text string
	}{
		"usual":                {all, "m1 alloy:c905 strength>40ks"},
		"32 terms, long names": {long, strings.Repeat("-штампы ", 31) + "-штампё"},
	} {
		b.Run(name, func(b *testing.B) {
			m := shelfScreen(&shelfDesk{all: c.all}, 120, 40, termenv.TrueColor)
			m = shelfKeysOf(shelfSend(m, shelfRead{all: c.all, words: shelf.Fold(c.all)}), "/", c.text)
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				m = shelfSend(m, []tea.KeyMsg{keyOf("i"), {Type: tea.KeyBackspace}}[i%2])
				_ = m.View()
			}
		})
	}
}

func BenchmarkShelfSort(b *testing.B) {
	m := shelfStates()["many"](120, 40, termenv.TrueColor)
	for b.Loop() {
		m = shelfKeysOf(m, "s")
		_ = m.View()
	}
}

// What it costs to draw does not hang on how many records there are.
func TestShelfFrameCostAlloc(t *testing.T) {
	var costs []string
	var least, most float64
	for _, n := range []int{100, 10_000} {
		m := shelfOf(&shelfDesk{all: entriesOf(n)})
		m = shelfSend(m, tea.WindowSizeMsg{Width: 120, Height: 40})
		c := testing.AllocsPerRun(20, func() { _ = m.View() })
		costs = append(costs, fmt.Sprintf("%d records: %.0f", n, c))
		if least == 0 {
			least = c
		}
		most = c
	}
	t.Log(costs)
	if most > 1.5*least+50 {
		t.Errorf("allocations of a frame: %v", costs)
	}
}
