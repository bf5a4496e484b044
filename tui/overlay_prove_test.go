package tui

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/shelf"
	"draghand/internal/trace"
)

// harmedOverlay are three pulls, of which the overview of one hides that its readings are
// not as they were written from 5 s after the start of its load on.
func harmedOverlay() ([]shelf.Entry, *overlayDesk) {
	all, d := overlayPulls(3)
	t := *d.traces[all[1].Dir]
	t.Damage = errors.New("the SHA-256 of samples.csv is not that of its closing")
	zero, _ := t.At(trace.LoadStart)
	t.Intact = zero + 5*time.Second
	d.proofs = map[string]*trace.Trace{all[1].Dir: &t}
	return all, d
}

// A pull that is drawn by its overview is held against its readings behind the screen, one
// after another, and what is damaged is said on its line; leaving ends it.
func TestOverlayProves(t *testing.T) {
	all, d := harmedOverlay()
	m := overlayScreen(all, d, 2, 120, 40, termenv.Ascii)
	step := func(msg tea.Msg) tea.Cmd {
		t.Helper()
		next, cmd := m.Update(msg)
		m = next.(OverlayScreen)
		return cmd
	}
	if len(d.proved) > 0 {
		t.Fatal("proved within Update")
	}
	cmd := step(m.read(2)())
	for i := range all {
		if cmd == nil {
			t.Fatalf("nothing proves the pull %d", i)
		}
		if strings.Contains(m.View(), "damaged") != (i > 1) {
			t.Errorf("%d are proved:\n%s", i, m.View())
		}
		cmd = step(cmd())
	}
	if cmd != nil || !slices.Equal(d.proved, []string{all[0].Dir, all[1].Dir, all[2].Dir}) {
		t.Errorf("proved %v, and goes on: %v", d.proved, cmd != nil)
	}
	for _, want := range []string{"damaged after 5.0 s; broken", "3 pulls"} {
		if !strings.Contains(m.View(), want) {
			t.Errorf("no %q in:\n%s", want, m.View())
		}
	}
	if strings.Count(m.View(), "damaged") != 1 {
		t.Errorf("more are damaged than one:\n%s", m.View())
	}
}

// Leaving ends the proof, and coming back goes on with it; its late answer is no fault.
func TestOverlayEndsItsProof(t *testing.T) {
	for _, key := range []string{"b", "esc", "ctrl+c", "enter"} {
		all, d := harmedOverlay()
		m := overlayScreen(all[:2], d, 1, 120, 40, termenv.Ascii)
		next, cmd := m.Update(m.read(1)())
		m, _ = overlayPress(next.(OverlayScreen), key)
		late := cmd()
		if r, ok := late.(overProved); !ok || r.err == nil {
			t.Errorf("%s does not end it: %+v", key, late)
		}
		m = overlaySend(m, late)
		if strings.Contains(m.View(), "cancel") || m.all[0].proved {
			t.Errorf("%s:\n%s", key, m.View())
		}
		next, cmd = m.Update(shelfShown{})
		if cmd == nil {
			t.Fatalf("%s: it does not go on", key)
		}
		if m = overlaySend(next.(OverlayScreen), late, cmd()); !m.all[0].proved {
			t.Errorf("%s: nothing was proved", key)
		}
	}
}

// A replay that could not be opened ended the look, which had its answer already: it comes
// while the next look is under way, and starts no other beside it.
func TestOverlayProvesOneAtATime(t *testing.T) {
	all, d := harmedOverlay()
	m := overlayScreen(all[:2], d, 1, 120, 40, termenv.Ascii)
	next, cmd := m.Update(m.read(1)())
	late := cmd()
	if r, ok := late.(overProved); !ok || r.err != nil {
		t.Fatalf("%+v", late)
	}
	m, _ = overlayPress(next.(OverlayScreen), "enter")
	next, cmd = m.Update(shelfNotOpened{errors.New("gone")})
	if cmd == nil {
		t.Fatal("it does not go on")
	}
	next, second := next.Update(late)
	if second != nil {
		t.Errorf("two at once: %+v", second())
	}
	if next, cmd = next.Update(cmd()); cmd == nil {
		t.Fatal("the next pull is not looked at")
	}
	if m = overlaySend(next.(OverlayScreen), cmd()); !m.all[0].proved || !m.all[1].proved || m.proving {
		t.Errorf("%v, %v, under way: %v", m.all[0].proved, m.all[1].proved, m.proving)
	}
}

// Readings that cannot be read at all leave nothing to draw, with the reason.
func TestOverlayOfNothingIntact(t *testing.T) {
	all, d := overlayPulls(2)
	m := overlaySend(overlayScreen(all, d, -1, 120, 40, termenv.Ascii), overProved{i: 0, err: errors.New("samples.csv is damaged at byte 0")})
	if m.drawable(&m.all[0]) || !strings.Contains(m.View(), "not read: samples.csv is damaged at byte 0") {
		t.Errorf("%s", m.View())
	}
	none := *d.traces[all[1].Dir]
	none.Damage, none.Loaded = errors.New("cut off"), 0
	if m = overlaySend(m, overProved{i: 1, trace: &none}); !strings.Contains(m.View(), "damaged; no load was seen: nothing to line up") {
		t.Errorf("%s", m.View())
	}
}
