package tui

import (
	"strings"
	"testing"

	"github.com/muesli/termenv"

	"draghand/internal/control"
)

// The chart is reached from the bench by its key where a rig is there, and left
// again.
func TestCheckFromTheBench(t *testing.T) {
	d := readyDesk()
	a, _ := drive(t, app(d, 120, 40, termenv.Ascii), "b")
	if _, ok := a.front.(BenchScreen); !ok {
		t.Fatalf("%T in front without a rig's history", a.front)
	}
	d.view.Check = "no check bar of this rig yet"
	a, _ = drive(t, app(d, 120, 40, termenv.Ascii), "b")
	if _, ok := a.front.(CheckScreen); !ok {
		t.Fatalf("%T in front", a.front)
	}
	a, _ = drive(t, a, "b")
	if _, ok := a.front.(BenchScreen); !ok {
		t.Fatalf("%T in front after b", a.front)
	}
}

// The stocks are stepped through, those of the rig on the bench first, and of each
// the bars; the newest comes first.
func TestCheckSteps(t *testing.T) {
	m := checkStates()["in"](120, 40, termenv.Ascii)
	at := func(m CheckScreen) (string, string, int) { s := m.stock(); return s.Title(), s.Rig, m.bar }
	if title, rig, bar := at(m); title != "drawn bar A, simulated" || rig != "example rig (simulated)" || bar != 14 {
		t.Fatalf("%s, %s, %d", title, rig, bar)
	}
	m = checkSend(m, keyOf("left"), keyOf("left"))
	if m.bar != 12 {
		t.Errorf("bar %d", m.bar)
	}
	m = checkSend(m, keyOf("down"))
	if title, _, bar := at(m); title != "drawn bar B, simulated" || bar != 2 {
		t.Errorf("%s, %d", title, bar)
	}
	m = checkSend(m, keyOf("down"), keyOf("down"))
	if _, rig, _ := at(m); rig != "old press" {
		t.Errorf("on %s", rig)
	}
	m = checkSend(m, keyOf("up"), keyOf("up"), keyOf("up"), keyOf("left"), keyOf("end"))
	if title, _, bar := at(m); title != "drawn bar A, simulated" || bar != 14 {
		t.Errorf("%s, %d", title, bar)
	}
	// Another look at the shelf leaves the stock that was chosen.
	m = checkSend(m, keyOf("down"), checkReadOf(checkEntries("drawn bar C", -1, 30), checkEntries("drawn bar B", -1, 41, 41.3, 40.8, 41)))
	if title, _, bar := at(m); title != "drawn bar B, simulated" || bar != 3 {
		t.Errorf("%s, %d", title, bar)
	}
}

// A bar is opened for replay; one that cannot be is told.
func TestCheckOpens(t *testing.T) {
	m := checkStates()["in"](120, 40, termenv.Ascii)
	next, cmd := m.Update(keyOf("enter"))
	if cmd == nil {
		t.Fatal("nothing is opened")
	}
	if _, ok := cmd().(openReplay); !ok {
		t.Errorf("%T", cmd())
	}
	if got := m.desk.(*fakeDesk).calls(); len(got) == 0 || !strings.HasPrefix(got[0], "replay /shelf/2026-") {
		t.Errorf("asked of the desk: %q", got)
	}
	if n := next.(CheckScreen); n.opening == "" || n.keys.Open.Enabled() {
		t.Error("it may be opened twice")
	}
}

// Where bars and lines fall. By hand: limits at 10 and 20 of a chart from 9.375 to
// 20.625 (a sixteenth of the span beyond each), 19 rows: the mean of 15 is the row
// in the middle, the tenth, the limits one row off the ends: 0.625/11.25·18 = 1.0.
func TestCheckPlot(t *testing.T) {
	p := checkPlot{room: room{5, 2, 30, 19}, low: 9.375, high: 20.625, each: 3, from: 1}
	for v, want := range map[float64][2]int{15: {11, 0}, 20: {3, 0}, 10: {19, 0}, 30: {2, 1}, 1: {20, -1}} {
		if y, out := p.row(v); y != want[0] || out != want[1] {
			t.Errorf("%v at row %d, %d; want %v", v, y, out, want)
		}
	}
	if x := p.column(1); x != 6 {
		t.Errorf("the first at %d", x)
	}
	// Of many bars the newest are shown, or those about the chosen one.
	c := &control.Chart{Points: make([]control.Judged, 100)}
	for i := range c.Points {
		c.Points[i].Value = 3e8 + float64(i)
	}
	if got := newCheckPlot(c, room{0, 0, 30, 10}, 99); got.from != 70 || got.each != 1 {
		t.Errorf("from %d, each %d", got.from, got.each)
	}
	if got := newCheckPlot(c, room{0, 0, 30, 10}, 20); got.from != 20 {
		t.Errorf("from %d", got.from)
	}
	if got := newCheckPlot(c, room{0, 0, 300, 10}, 20); got.from != 0 || got.each != 3 {
		t.Errorf("from %d, each %d", got.from, got.each)
	}
}

// Each kind of bar has a sign of its own, so that colour is not needed; the words
// of the bar say it too.
func TestCheckSigns(t *testing.T) {
	for want, j := range map[rune]control.Judged{
		'+': {State: control.Basis}, '●': {State: control.In}, '◆': {State: control.Beyond},
	} {
		if got, _ := checkSign(&j); got != want {
			t.Errorf("%s is %c, want %c", j.State, got, want)
		}
	}
	if got, _ := checkSign(&control.Judged{State: control.Run}); got != '◆' {
		t.Errorf("a run is %c", got)
	}
	if got, _ := checkSign(&control.Judged{State: control.Basis, AcrossZ: 4}); got != '◆' {
		t.Errorf("beyond those before a change is %c", got)
	}
}

// Every key is named on the least screen.
func TestCheckKeysAt80(t *testing.T) {
	frame := checkStates()["in"](80, 24, termenv.Ascii).View()
	line := lineWith(t, frame, "? help")
	for _, want := range []string{"up/down stock", "left/right bar", "enter look again", "r again", "b bench"} {
		if !strings.Contains(line, want) {
			t.Errorf("%q does not name %q", line, want)
		}
	}
}
