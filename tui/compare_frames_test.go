package tui

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/exp/golden"
	"github.com/muesli/termenv"
)

// compareFrames are the frames of every state, in each size and colour, and of some in
// ASCII alone.
func compareFrames() map[string]func(*testing.T) string {
	out := map[string]func(*testing.T) string{}
	for name, of := range compareStates() {
		for end, profile := range profiles {
			for _, s := range sizes {
				out[goldenName(name, s.w, s.h)+end] = func(*testing.T) string { return of(s.w, s.h, profile).View() }
			}
		}
		for _, s := range sizes[:2] {
			out[goldenName(name, s.w, s.h)+"-ascii"] = func(*testing.T) string {
				m := of(s.w, s.h, termenv.Ascii)
				m.scratch.plate.ascii = true
				return m.View()
			}
		}
	}
	for _, s := range sizes[:3] {
		out[goldenName("help", s.w, s.h)] = func(*testing.T) string {
			return compareHelp("five", s.w, s.h).view(theme0(), s.w, s.h, compareStates()["five"](s.w, s.h, termenv.Ascii))
		}
	}
	return out
}

// theme0 shows no colour.
func theme0() *theme { return compareStates()["five"](80, 24, termenv.Ascii).theme }

// compareHelp is the help over a state.
func compareHelp(state string, w, h int) *helpOver {
	_, cmd := compareStates()[state](w, h, termenv.Ascii).Update(keyNamed("?"))
	msg := cmd().(openHelp)
	return &helpOver{title: msg.title, rows: msg.rows}
}

func TestCompareFrame(t *testing.T) {
	for name, frame := range compareFrames() {
		t.Run(name, func(t *testing.T) { golden.RequireEqual(t, frame(t)) })
	}
}

// No line is wider than the terminal, no frame higher, and nothing but the theme's
// own escape sequences comes out, at any size.
func TestCompareFits(t *testing.T) {
	for name, of := range compareStates() {
		m := of(80, 24, termenv.ANSI256)
		for _, w := range []int{0, 1, 2, 3, 10, 20, 59, 79, 80, 81, 100, 111, 112, 120, 150, 200} {
			for _, h := range []int{0, 1, 2, 4, 17, 23, 24, 25, 33, 34, 36, 52, 60} {
				m.width, m.height = w, h
				checkAnyFrame(t, name, m.View(), w, h)
			}
		}
	}
}

// squeezed is a frame as running text.
func squeezed(frame string) string { return strings.Join(strings.Fields(frame), " ") }
