package tui

import (
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/shelf"
	"draghand/internal/si"
)

// Where a filter hides what was chosen, what is chosen in its place stays so, however
// the list is turned and when the filter goes.
func TestShelfKeepsWhatIsShown(t *testing.T) {
	m := shelfKeysOf(shelfOf(&shelfDesk{all: finishedEntries()}), "down", "down", "/", "m39", "enter")
	was := barName(m.entry())
	for _, k := range []string{"S", "s", "S", "/", "esc", "S"} {
		m = shelfKeysOf(m, k)
		if got := barName(m.entry()); got != was {
			t.Fatalf("after %s %s is chosen, want %s", k, got, was)
		}
	}
	// Who gives the typing up has what was chosen before.
	m = shelfKeysOf(shelfOf(&shelfDesk{all: finishedEntries()}), "down", "down", "/", "m39", "esc")
	if got := barName(m.entry()); got != "M40-5" {
		t.Errorf("%s is chosen", got)
	}
}

// A letter sets a mark and keeps it; space takes any; M marks what is shown.
func TestShelfMarksAll(t *testing.T) {
	m := shelfKeysOf(shelfOf(&shelfDesk{all: finishedEntries()}), "B", "B")
	dir := m.entry().Dir
	if m.marks[dir] != 'B' {
		t.Errorf("B twice: %v", m.marks)
	}
	if n := shelfKeysOf(m, " "); len(n.marks) != 0 || len(m.marks) != 1 {
		t.Errorf("space: %v, %v", n.marks, m.marks)
	}
	m = shelfKeysOf(m, "/", "m40", "enter", "M")
	if len(m.marks) != 7 || m.marks[dir] != 'B' || !strings.Contains(m.View(), "7 marked") {
		t.Errorf("M: %v", m.marks)
	}
}

// What is marked at once while the filter asks for a result was picked by it.
func TestShelfMarksAllByResult(t *testing.T) {
	m := shelfKeysOf(shelfOf(&shelfDesk{all: finishedEntries()}), "/", "strength>10ksi", "enter", "M", "esc")
	_, msg := shelfKey(m, "c")
	if by := msg.(openCompare).chosen.ByResult; !strings.Contains(by, "strength>10ksi") {
		t.Errorf("%q", by)
	}
}

// What comes back from the trash has its mark; 0 takes that of what is away too.
func TestShelfMarksComeBack(t *testing.T) {
	for _, also := range []struct {
		keys []string
		want int
	}{{nil, 1}, {[]string{"down", "A", "0"}, 0}} {
		d := &shelfDesk{all: finishedEntries(), moved: -1}
		whole := d.all
		m := shelfKeysOf(shelfOf(d), "C", "x")
		dir := m.all[0].Dir
		m = acted(t, m, d, "y")
		if len(m.marks) != 0 {
			t.Fatalf("%v", m.marks)
		}
		d.all = whole
		m = acted(t, shelfKeysOf(m, also.keys...), d, "U")
		if len(m.marks) != also.want || also.want == 1 && m.marks[dir] != 'C' {
			t.Errorf("after %v: %v", also.keys, m.marks)
		}
	}
}

// Two pulls of a bar of one name within a minute are told apart in the list, and in
// the question before one of them goes.
func TestShelfTellsApart(t *testing.T) {
	all := finishedEntries()
	twin := all[3]
	twin.Dir, twin.Name, twin.Started = "/shelf/twin", "twin", all[3].Started.Add(8*time.Second)
	m := shelfOf(&shelfDesk{all: append([]shelf.Entry{twin}, all...)})
	if frame := m.View(); !strings.Contains(frame, "12:12:30") || !strings.Contains(frame, "12:12:22") {
		t.Errorf("no seconds:\n%s", frame)
	}
	for _, mark := range [][]string{{"x"}, {" ", "x"}} {
		if frame := shelfKeysOf(m, mark...).View(); !strings.Contains(frame, " of 2026-11-25 12:12:30 to the trash?  y / n") {
			t.Errorf("which:\n%s", frame)
		}
	}
	if frame := shelfOf(&shelfDesk{all: all}).View(); strings.Contains(frame, "14:03:22 ") {
		t.Errorf("seconds:\n%s", frame)
	}
	twin.Specimen.Melt = strings.Repeat("long melt ", 6)
	if frame := shelfKeysOf(shelfOf(&shelfDesk{all: []shelf.Entry{twin}}), "x").View(); !strings.Contains(frame, "to the trash?  y / n") {
		t.Errorf("the question is cut:\n%s", frame)
	}
}

// The remarks of the chosen record stand there once they were read with its trace; where
// others came since, their number.
func TestShelfRemarksShown(t *testing.T) {
	d := &shelfDesk{all: entriesOf(5), remarks: []string{"one pore by the edge\x1b[2J", "no known limit: pins"}}
	m := shelfKeysOf(shelfOf(d), "down", "down") // it has two
	if frame := m.View(); !strings.Contains(frame, "2: draghand results tells them") {
		t.Errorf("before:\n%s", frame)
	}
	m = shelfSend(m, m.readTrace(m.entry().Dir)())
	if frame := strings.Join(strings.Fields(m.View()), " "); !strings.Contains(frame, "2: one pore by the edge; no known") || strings.Contains(frame, "tells them") {
		t.Errorf("after:\n%s", m.View())
	}
	d.remarks[1] = strings.Repeat("a long remark ", 40)
	m = shelfSend(m, m.readTrace(m.entry().Dir)())
	if frame := m.View(); !strings.Contains(frame, "…") {
		t.Errorf("cut unseen:\n%s", frame)
	}
	m = shelfKeysOf(m, "up")
	m = shelfSend(m, m.readTrace(m.entry().Dir)())
	if frame := m.View(); !strings.Contains(frame, "1: draghand results tells them") {
		t.Errorf("others:\n%s", frame)
	}
}

// u is for the units here too, for the whole sitting.
func TestShelfUnits(t *testing.T) {
	m := shelfOf(&shelfDesk{all: finishedEntries()})
	next, cmd := m.Update(keyOf("u"))
	m = next.(ShelfScreen)
	if m.units != si.Metric || cmd == nil {
		t.Fatal("the units stay")
	}
	m = shelfSend(m, cmd())
	if frame := m.View(); !strings.Contains(frame, "MPa") || strings.Contains(frame, "ksi") || m.widest != widthsOf(m.all, si.Metric) {
		t.Errorf("%+v:\n%s", m.widest, frame)
	}
	var a tea.Model = m
	if u, ok := shownUnits(a); !ok || u != si.Metric {
		t.Error("the sitting does not know")
	}
	if _, msg := shelfKey(m, "q"); msg != (openBench{}) {
		t.Errorf("q leads to %T", msg)
	}
}

// The middle of a name gives way, never more cells than there are.
func TestCutMiddle(t *testing.T) {
	for s, want := range map[string]string{
		"M1-3": "M1-3", "M7-bar-long-name-shoulder-1": "M7-ba…der-1", "鋳造溶解炉第七号試験片": "鋳造…験片",
	} {
		if got := cutMiddle(s, 11); got != want {
			t.Errorf("%q: %q, want %q", s, got, want)
		}
		for w := range 30 {
			if got := cutMiddle(s, w); ansi.StringWidth(got) > w {
				t.Errorf("%q in %d cells: %q", s, w, got)
			}
		}
	}
	for _, w := range []int{80, 120} {
		all := finishedEntries()
		for i := range all {
			all[i].Specimen.Melt = "M7-long-melt-of-the-old-furnace"
		}
		m := shelfScreen(&shelfDesk{all: all}, w, 24, termenv.Ascii)
		if frame := shelfSend(m, shelfRead{all: all}).View(); !strings.Contains(frame, "e-7 ") || !strings.Contains(frame, "e-6 ") {
			t.Errorf("all alike at %d:\n%s", w, frame)
		}
	}
}
