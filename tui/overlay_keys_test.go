package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/muesli/termenv"

	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/trace"
)

// A pull has the same letter on the screen and on the page, however the shelf is sorted:
// the newest of those drawn is a.
func TestOverlayLettersAreOfTheOrderInTime(t *testing.T) {
	all, d := overlayPulls(10)
	slices.Reverse(all)
	m := overlayScreen(all, d, -1, 120, 40, termenv.Ascii)
	for i, want := range all[:8] {
		if got := m.all[7-i].entry.Dir; got != want.Dir {
			t.Errorf("%c is %s, want %s", trace.Letter(7-i), got, want.Dir)
		}
	}
}

// Every key does what it says, and none does what it does not.
func TestOverlayKeys(t *testing.T) {
	all, d := overlayPulls(3)
	m := overlayScreen(all, d, -1, 120, 40, termenv.Ascii)
	if len(d.read) != 3 {
		t.Fatalf("read %v", d.read)
	}
	if m.keys.Up.Enabled() || !m.keys.Down.Enabled() {
		t.Error("at the first there is a way up, or none down")
	}
	for _, step := range []struct {
		key  string
		want func(m OverlayScreen) bool
	}{
		{"down", func(m OverlayScreen) bool { return m.chosen == 1 }},
		{"down", func(m OverlayScreen) bool { return m.chosen == 2 && !m.keys.Down.Enabled() }},
		{"down", func(m OverlayScreen) bool { return m.chosen == 2 }},
		{"up", func(m OverlayScreen) bool { return m.chosen == 1 }},
		{" ", func(m OverlayScreen) bool { return m.all[1].hidden && !m.all[0].hidden }},
		{" ", func(m OverlayScreen) bool { return !m.all[1].hidden }},
		{"l", func(m OverlayScreen) bool { return m.by == trace.Peak }},
		{"l", func(m OverlayScreen) bool { return m.by == trace.LoadStart }},
		{"s", func(m OverlayScreen) bool { return m.stress }},
		{"s", func(m OverlayScreen) bool { return !m.stress }},
		{"w", func(m OverlayScreen) bool { return m.shown == overNear }},
		{"w", func(m OverlayScreen) bool { return m.shown == overClose }},
		{"w", func(m OverlayScreen) bool { return m.shown == overWhole }},
		{"u", func(m OverlayScreen) bool { return m.units == si.Metric }},
		{"u", func(m OverlayScreen) bool { return m.units == si.US }},
	} {
		var msg any
		if m, msg = overlayPress(m, step.key); !step.want(m) || msg != nil {
			t.Errorf("after %q: %+v, %v", step.key, m, msg)
		}
	}
	for name, want := range map[string]any{"b": openShelf{}, "esc": openShelf{}, "ctrl+c": leaveAll{}} {
		if _, msg := overlayPress(m, name); msg != want {
			t.Errorf("%s gives %#v", name, msg)
		}
	}
	if _, msg := overlayPress(m, "?"); fmt.Sprintf("%T", msg) != "tui.openHelp" {
		t.Errorf("? gives %T", msg)
	}
	player := &shelfPlayer{}
	d.player = player
	m, msg := overlayPress(m, "enter")
	if r, ok := msg.(openReplay); !ok || r.player != Player(player) || !slices.Equal(d.asked, []string{all[1].Dir}) || m.opening == "" {
		t.Errorf("enter gives %#v of %v", msg, d.asked)
	}
	d.noPlay = errors.New("no such record")
	m.opening = ""
	_, msg = overlayPress(overlaySend(m, nil), "enter")
	if r, ok := msg.(shelfNotOpened); !ok || r.err != d.noPlay {
		t.Errorf("enter gives %#v", msg)
	}
}

// What could not be drawn is not hidden, and a pull of the rest is in front.
func TestOverlayOfWhatCannotBeDrawn(t *testing.T) {
	all, d := mixedOverlay()
	m := overlayScreen(all, d, -1, 120, 40, termenv.Ascii)
	for _, of := range []int{1, 2, 7} {
		if slices.Contains(d.read, all[of].Dir) {
			t.Errorf("%s was read", all[of].Dir)
		}
	}
	m, _ = overlayPress(m, "down", " ", "enter")
	if m.all[1].hidden || m.opening != "" {
		t.Errorf("a pull without a trace was hidden or opened: %+v", m)
	}
	in, ok := m.over(100)
	if !ok || len(in.Traces) != 3 || in.Front != -1 {
		t.Errorf("%d traces are drawn, %d in front", len(in.Traces), in.Front)
	}
	m, _ = overlayPress(m, "s")
	if in, ok = m.over(100); !ok || len(in.Traces) != 2 {
		t.Errorf("%d traces are drawn as stress", len(in.Traces))
	}
}

// A frame draws what its model says, not what another model of the same scratch did
// before: hidden, other units, another size.
func TestOverlayDrawsItsModel(t *testing.T) {
	all, d := overlayPulls(4)
	m := overlayScreen(all, d, -1, 120, 40, termenv.Ascii)
	first := m.View()
	for _, keys := range [][]string{{" "}, {"down"}, {"s"}, {"l"}, {"w"}, {"u"}} {
		other, _ := overlayPress(m, keys...)
		if other.View() == first {
			t.Errorf("%v changes nothing", keys)
		}
		if m.View() != first {
			t.Errorf("after a frame with %v the first is drawn otherwise", keys)
		}
	}
}

// The force at a peak is that of the list in either quantity, and where the picture
// stands does not hang on what is hidden.
func TestOverlayRange(t *testing.T) {
	all, d := overlayPulls(4)
	m := overlayScreen(all, d, -1, 120, 40, termenv.Ascii)
	in, _ := m.over(100)
	most := 0.0
	for _, e := range all {
		most = max(most, float64(e.Peak))
	}
	if in.Top < most || in.Top > 1.2*most || in.Bottom >= 0 {
		t.Errorf("%v to %v N for peaks of %v", in.Bottom, in.Top, most)
	}
	hidden, _ := overlayPress(m, " ", "down", "down", "down", " ")
	if again, _ := hidden.over(100); again.Top != in.Top || again.From != in.From || again.To != in.To {
		t.Errorf("hidden, the picture moves: %v to %v N", again.Bottom, again.Top)
	}
	m, _ = overlayPress(m, "s")
	in, _ = m.over(100)
	if want := most / float64(all[0].Specimen.Area()); in.Top < want || in.Top > 1.2*want {
		t.Errorf("to %v Pa for peaks of %v", in.Top, want)
	}
	if row := m.row(0); row.peak != si.StressOn(all[0].Peak, all[0].Specimen.Area()).Text(si.US) {
		t.Errorf("the list says %s", row.peak)
	}
}

// The overlay is opened by the shelf's message, goes back to the shelf, and comes back
// from a replay as it was.
func TestOverlayInTheApp(t *testing.T) {
	all, d := overlayPulls(3)
	a := newApp(d, Options{})
	a.width, a.height = 120, 40
	a, cmd := a.told(openOverlay{all})
	a, _ = follow(t, a, cmd, 0)
	m, ok := a.front.(OverlayScreen)
	if !ok || m.reading() != 0 || !strings.Contains(a.View(), "3 pulls") {
		t.Fatalf("%T is in front:\n%s", a.front, a.View())
	}
	replayed, cmd := a.told(openReplay{&shelfPlayer{fake: states["loading"]()}})
	replayed, _ = follow(t, replayed, cmd, 0)
	back, cmd := replayed.told(goBack{})
	back, _ = follow(t, back, cmd, 0)
	if m, ok := back.front.(OverlayScreen); !ok || m.reading() != 0 || len(m.all) != 3 {
		t.Errorf("back from a replay %T is in front", back.front)
	}
	shelfAgain, _ := a.told(openShelf{})
	if _, ok := shelfAgain.front.(ShelfScreen); !ok {
		t.Errorf("back is %T", shelfAgain.front)
	}
}

// The screen takes no more pulls than it has patterns for.
func TestOverlayTakesTheFirst(t *testing.T) {
	all, d := overlayPulls(12)
	m := overlayScreen(all, d, -1, 120, 40, termenv.Ascii)
	if len(m.all) != 8 || m.more != 4 || len(d.read) != 8 {
		t.Errorf("%d are shown, %d more, %d read", len(m.all), m.more, len(d.read))
	}
	if m = newOverlayScreen(d, []shelf.Entry{}, m.theme, si.US); len(m.all) != 0 {
		t.Error("of none")
	}
}
