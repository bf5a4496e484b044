package tui

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
)

// By what forces are reckoned, that it is overdue, how the zero moved and that the
// bar is a check bar are in sight whatever part of the bench keys are in, and every
// key on the last line has a word.
func TestBenchInSight(t *testing.T) {
	for _, s := range []struct{ w, h int }{{80, 24}, {120, 40}} {
		for _, keys := range [][]string{nil, {"tab"}, {"tab", "tab"}} {
			d, _ := benchStates["overdue"](t)
			a, _ := drive(t, benchOpen(d, s.w, s.h, termenv.Ascii), keys...)
			frame := ansi.Strip(a.View())
			for _, want := range []string{"forces", "overdue by 5 days", "▲ calibration overdue", "+4 psi", "check bar M1-3"} {
				if !strings.Contains(frame, want) {
					t.Errorf("%d×%d after %q does not say %q:\n%s", s.w, s.h, keys, want, frame)
				}
			}
			lines := strings.Split(frame, "\n")
			for _, key := range strings.Split(strings.TrimSpace(lines[len(lines)-1]), "  ") {
				if len(strings.Fields(key)) == 1 {
					t.Errorf("%d×%d after %q: no word beside %q", s.w, s.h, keys, key)
				}
			}
		}
	}
}
