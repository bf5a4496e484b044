package tui

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/muesli/termenv"

	"draghand/internal/batch"
	"draghand/internal/compare"
	"draghand/internal/shelf"
	"draghand/internal/si"
)

// From the shelf's wish to the answer and back, as the App does it: records are
// reckoned outside Update, and b leads back to the shelf.
func TestCompareFromTheShelf(t *testing.T) {
	pulls := joined(comparePulls("M1", "C90500", meltOne...), comparePulls("M2", "C90500", meltTwo...))
	d := &compareDesk{fakeDesk: readyDesk(), pulls: pulls}
	of := make([]shelf.Entry, len(pulls))
	groups := map[string]string{}
	for i := range of {
		of[i].Dir = pulls[i].Dir
		if i%2 == 0 {
			groups[of[i].Dir] = "left tray"
		} else if i < 9 {
			groups[of[i].Dir] = "right tray"
		}
	}
	a := app(d, 120, 40, termenv.Ascii)
	a, cmd := a.told(openCompare{of: of, groups: groups, by: compare.By{Field: compare.ByMarked}})
	if m, ok := a.front.(CompareScreen); !ok || m.pulls != nil || !strings.Contains(a.View(), "reckoning 1 of 15") {
		t.Fatalf("%T in front:\n%s", a.front, a.View())
	}
	a, _ = follow(t, a, cmd, 0)
	m := a.front.(CompareScreen)
	if len(m.c.Groups) != 2 || m.c.Groups[0].Name != "left tray" || len(m.c.Groups[0].Pulls) != 8 || len(m.c.Groups[1].Pulls) != 4 {
		t.Fatalf("groups by marks:\n%s", a.View())
	}
	if last := compareSend(m, compareKeysOf("end")...); len(m.c.Outside) != 3 || !strings.Contains(compareTold(last), "no group") {
		t.Errorf("%d pulls in no group:\n%s", len(m.c.Outside), a.View())
	}
	if a, _ = drive(t, a, "b"); a.front == nil {
		t.Fatal("nothing in front")
	}
	if _, ok := a.front.(ShelfScreen); !ok {
		t.Errorf("%T in front after b", a.front)
	}
}

// While records are reckoned the screen says how far it is, and b stops it by the
// context.
func TestCompareReckonsAndStops(t *testing.T) {
	d := &compareDesk{fakeDesk: readyDesk(), pulls: comparePulls("M1", "C90500", meltOne...)}
	m := compareScreen(d, compare.By{Field: compare.ByMelt}, 8, 80, 24, termenv.Ascii)
	began, ended := make(chan struct{}), make(chan compareReckoned)
	d.reckon = func(ctx context.Context, done func(int)) {
		done(5)
		done(3) // of another goroutine, late
		close(began)
		<-ctx.Done()
	}
	go func() { ended <- m.reckon()().(compareReckoned) }()
	<-began
	m = compareSend(m, tickMsg{id: m.tickID})
	if !strings.Contains(m.View(), "reckoning 6 of 8 …") {
		t.Errorf("how far:\n%s", m.View())
	}
	for _, k := range []string{"g", "c", "e", "tab", "enter", "right", "t"} { // there is nothing to do them to
		if _, cmd := m.Update(keyNamed(k)); cmd != nil {
			t.Errorf("%s does something", k)
		}
	}
	if _, cmd := m.Update(keyNamed("b")); cmd == nil || cmd() != (openShelf{}) {
		t.Error("b does not lead to the shelf")
	}
	if got := <-ended; !errors.Is(got.err, context.Canceled) {
		t.Errorf("ended with %v", got.err)
	}
	// ctrl+c stops it too.
	m = compareScreen(d, compare.By{Field: compare.ByMelt}, 8, 80, 24, termenv.Ascii)
	if next, cmd := m.Update(keyNamed("ctrl+c")); cmd == nil || cmd() != (leaveAll{}) || next.(CompareScreen).ctx.Err() == nil {
		t.Error("ctrl+c does not leave, or leaves it reckoning")
	}
}

// Left and right go through the groups; the chosen one stays when the bound changes.
func TestCompareGroups(t *testing.T) {
	m := compareStates()["five"](80, 24, termenv.Ascii)
	at := func() string { return m.group().Name }
	if at() != "M3" {
		t.Fatalf("at %s", at())
	}
	m = compareSend(m, compareKeysOf("c")...)
	if at() != "M3" || m.c.Options.Content != 0.99 {
		t.Errorf("at %s, %v", at(), m.c.Options)
	}
	m = compareSend(m, compareKeysOf("right", "right", "right", "right")...)
	if at() != "M5" || m.keys.Next.Enabled() {
		t.Errorf("at %s, further %v", at(), m.keys.Next.Enabled())
	}
	m = compareSend(m, compareKeysOf("left")...)
	if at() != "M4" {
		t.Errorf("at %s", at())
	}
}

// Each key that asks for another comparison gets one.
func TestCompareAsks(t *testing.T) {
	m := compareStates()["five"](80, 24, termenv.Ascii)
	var bounds, sides, fields []string
	var levels []float64
	for range 4 {
		m = compareSend(m, compareKeysOf("c", "o", "l", "g")...)
		o := &m.c.Options
		bounds, sides, levels = append(bounds, boundName(o)), append(sides, string(o.Side)), append(levels, o.Level)
		fields = append(fields, string(m.c.By.Field))
	}
	for _, w := range []struct{ got, want any }{
		{bounds, []string{"99/95", "95/95", "90/95", "99/95"}},
		{sides, []string{string(batch.Low), string(batch.High), string(batch.Either), string(batch.Low)}},
		{levels, []float64{0.01, 0.10, 0.05, 0.01}},
		{fields, []string{"alloy", "tag", "all", "melt"}}, // by marks: there are none
	} {
		if !equalAny(w.got, w.want) {
			t.Errorf("%v, want %v", w.got, w.want)
		}
	}
	m = compareStates()["by-marks"](80, 24, termenv.Ascii)
	if m = compareSend(m, compareKeysOf("g", "g", "g", "g", "g")...); m.c.By.Field != compare.ByMarked {
		t.Errorf("five keys on, by %s", m.c.By.Field)
	}
}

func equalAny(a, b any) bool {
	switch a := a.(type) {
	case []string:
		return slices.Equal(a, b.([]string))
	case []float64:
		return slices.Equal(a, b.([]float64))
	}
	return false
}

// A bound and a minimum are typed; what cannot be is told and nothing changes; esc
// leaves things as they were.
func TestCompareTypes(t *testing.T) {
	m := compareStates()["one-group"](80, 24, termenv.Ascii)
	typed := func(key, text string, end ...string) {
		keys := []string{key}
		for _, r := range text {
			keys = append(keys, string(r))
		}
		m = compareSend(m, compareKeysOf(append(keys, end...)...)...)
	}
	typed("t", "98/90", "enter")
	if o := m.c.Options; o.Content != 0.98 || o.Confidence != 0.90 || m.takesText() {
		t.Errorf("%v", o)
	}
	typed("m", "300 MPa", "enter")
	if m.c.Options.Minimum != 300*si.Megapascal {
		t.Errorf("minimum %v", m.c.Options.Minimum)
	}
	for key, wrong := range map[string][]string{"m": {"40", "-3 ksi", "0 ksi", "b"}, "t": {"90", "20/95", "b", "100/100"}} {
		for _, text := range wrong {
			typed(key, text, "enter")
			if m.fault == "" || !m.takesText() || !strings.Contains(m.View(), "not usable") {
				t.Errorf("%s is taken:\n%s", text, m.View())
			}
			typed("esc", "")
			if m.takesText() || m.c.Options.Minimum != 300*si.Megapascal || m.c.Options.Content != 0.98 {
				t.Errorf("after esc: %v", m.c.Options)
			}
		}
	}
	typed("m", "", "enter")
	if m.c.Options.Minimum != 0 {
		t.Errorf("minimum %v", m.c.Options.Minimum)
	}
	typed("m", "4")
	if next, cmd := m.Update(keyNamed("ctrl+c")); cmd == nil || cmd() != (leaveAll{}) || !next.(CompareScreen).takesText() {
		t.Error("ctrl+c does not leave while something is typed")
	}
}

// Where there is room for one part alone tab goes through them, and p through the
// plots; where there is more, bars and words stand together and p changes the spread.
func TestCompareParts(t *testing.T) {
	m := compareStates()["two"](80, 24, termenv.Ascii)
	for _, want := range []string{"bars, the weakest first", "every bar, on one scale", "what to know of melt M2"} {
		if m = compareSend(m, keyNamed("tab")); !strings.Contains(m.View(), want) {
			t.Errorf("not %q:\n%s", want, m.View())
		}
	}
	for _, want := range []string{"every bar, on one scale", "of melt M2, bell curve", "of melt M2, Weibull", "every bar, on one scale"} {
		if m = compareSend(m, keyNamed("p")); !strings.Contains(m.View(), want) {
			t.Errorf("not %q:\n%s", want, m.View())
		}
	}
	m = compareStates()["two"](200, 60, termenv.Ascii)
	if m.keys.Part.Enabled() {
		t.Error("tab would do nothing and answers")
	}
	for _, want := range []string{"of melt M2, Weibull", "of melt M2, bell curve"} {
		m = compareSend(m, keyNamed("p"))
		for _, w := range []string{want, "every bar, on one scale", "bars, the weakest first", "what to know of melt M2"} {
			if !strings.Contains(m.View(), w) {
				t.Errorf("not %q:\n%s", w, m.View())
			}
		}
	}
	if m = compareSend(m, keyNamed("down")); m.bar != 1 {
		t.Errorf("at bar %d", m.bar)
	}
}

// The pull of the marked bar is opened outside Update, once; coming back, the same
// comparison stands there and nothing is reckoned anew.
func TestCompareOpensAPull(t *testing.T) {
	p := &shelfPlayer{fake: at(10, 1)}
	d := &compareDesk{fakeDesk: readyDesk(), pulls: comparePulls("M1", "C90500", meltOne...)}
	d.player = p
	reckoned := 0
	d.reckon = func(context.Context, func(int)) { reckoned++ }
	a := app(d, 80, 24, termenv.Ascii)
	a, cmd := a.told(openCompare{of: make([]shelf.Entry, 8), by: compare.By{Field: compare.ByMelt}})
	a, _ = follow(t, a, cmd, 0)
	a, _ = drive(t, a, "tab", "down", "enter")
	if _, ok := a.front.(ReplayScreen); !ok {
		t.Fatalf("%T in front", a.front)
	}
	// By strength M1-6 (302) is the weakest and M1-3 (305) the next.
	if got := d.calls(); !slices.ContainsFunc(got, func(s string) bool { return strings.Contains(s, "replay /shelf/") && strings.Contains(s, "-M1-3") }) {
		t.Errorf("asked for %q", got)
	}
	a, _ = drive(t, a, "q")
	m, ok := a.front.(CompareScreen)
	if !ok || reckoned != 1 || m.bar != 1 || m.opening != "" || !strings.Contains(a.View(), "▸ M1-3") {
		t.Errorf("%T in front after q, reckoned %d times:\n%s", a.front, reckoned, a.View())
	}
	d.pulls[5].ByEye = true
	m = compareOn(d, compare.ByMelt, "tab", "enter")(80, 24, termenv.Ascii)
	if !strings.Contains(m.View(), "no trace: a dial gauge was read by eye") || m.opening != "" {
		t.Errorf("a dial:\n%s", m.View())
	}
}

// e hands the comparison that is shown to the desk outside Update, and says where the
// report is.
func TestCompareExports(t *testing.T) {
	d := &compareDesk{fakeDesk: readyDesk(), pulls: comparePulls("M1", "C90500", meltOne...), file: "/reports/of the shop/" + strings.Repeat("long-", 30) + "m1.html"}
	m := compareOn(d, compare.ByMelt, "c")(80, 24, termenv.Ascii)
	next, cmd := m.Update(keyNamed("e"))
	if d.kept != nil || cmd == nil || !strings.Contains(next.View(), "writing the report …") {
		t.Fatalf("written within Update, or not said:\n%s", next.View())
	}
	if _, again := next.Update(keyNamed("e")); again != nil {
		t.Error("it is written twice")
	}
	m = compareSend(next.(CompareScreen), cmd())
	if d.kept == nil || d.kept.Options.Content != 0.99 || len(d.kept.Groups) != 1 {
		t.Errorf("kept %+v", d.kept)
	}
	lines := strings.Split(m.View(), "\n")
	end := ""
	for _, l := range lines[len(lines)-4:] {
		end += strings.TrimSpace(l)
	}
	if !strings.Contains(strings.ReplaceAll(end, " ", ""), strings.ReplaceAll("report written: "+d.file, " ", "")) {
		t.Errorf("the path is not whole:\n%s", m.View())
	}
	if m = compareSend(m, keyNamed("down")); strings.Contains(m.View(), "report written") {
		t.Error("the note outlives a key")
	}
}

// What is asked for while a comparison is under way is reckoned after it: the last
// wish is shown, never an older one.
func TestCompareLastWishCounts(t *testing.T) {
	m := compareStates()["one-group"](80, 24, termenv.Ascii)
	next, first := m.Update(keyNamed("c")) // 99/95
	if first == nil || !next.(CompareScreen).running || !strings.Contains(next.View(), "reckoning anew …") {
		t.Fatalf("not under way:\n%s", next.View())
	}
	next, second := next.Update(keyNamed("c")) // 95/95
	if second != nil {
		t.Error("two at once")
	}
	m = next.(CompareScreen)
	if next, cmd := m.Update(keyNamed("e")); cmd != nil || next.(CompareScreen).keeping {
		t.Error("a report of what is about to change")
	}
	next, third := m.Update(first())
	m = next.(CompareScreen)
	if third == nil || m.c.Options.Content != 0.90 {
		t.Fatalf("an older wish is shown: %v", m.c.Options)
	}
	m = compareSend(m, third())
	if m.c.Options.Content != 0.95 || m.running {
		t.Errorf("%v, under way %v", m.c.Options, m.running)
	}
}

// The keys that are needed stand in the last line at 80 columns.
func TestCompareKeysAt80(t *testing.T) {
	line := lineWith(t, compareStates()["five"](80, 24, termenv.Ascii).View(), "? help")
	for _, want := range []string{"tab bars", "p plot", "g by", "c bound", "m minimum", "e report", "b shelf"} {
		if !strings.Contains(line, want) {
			t.Errorf("%q does not name %q", line, want)
		}
	}
	line = lineWith(t, compareStates()["bars"](80, 24, termenv.Ascii).View(), "? help")
	for _, want := range []string{"enter look", "tab plot", "e report", "b shelf"} {
		if !strings.Contains(line, want) {
			t.Errorf("%q does not name %q", line, want)
		}
	}
}
