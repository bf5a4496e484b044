package tui

import (
	"strings"
	"testing"

	"github.com/muesli/termenv"
)

// TestReplayTellsOfTheRig: while somebody in a sitting looks at a saved pull, a
// stop and load on the rig itself stand above it, as of now, and ring.
func TestReplayTellsOfTheRig(t *testing.T) {
	for _, s := range sizes {
		d, _ := benchStates["loaded-stop"](t)
		a := app(d, s.w, s.h, termenv.Ascii)
		a = tell(a, screenMsg{a.id, openReplay{&fakePlayer{fake: broken()}}})
		if inFront(a) != "replay" {
			t.Fatalf("%s is in front", inFront(a))
		}
		frame := strings.Join(strings.Fields(a.View()), " ")
		for _, word := range []string{"NOW ■ STOP", "link bar at 102 %", "NOW ▲ LOAD ON THE RIG", "REPLAY"} {
			if !strings.Contains(frame, word) {
				t.Errorf("at %d×%d the replay does not say %q:\n%s", s.w, s.h, word, a.View())
			}
		}
		if !ringing(a.ringing()()) {
			t.Error("the bell is silent though nobody has acknowledged the stop")
		}
		d.view.Look = nil
		if strings.Contains(a.View(), "NOW") {
			t.Errorf("something goes on at a rig that is not looked at:\n%s", a.View())
		}
	}
}
