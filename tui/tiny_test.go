package tui

import (
	"fmt"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
)

// Shelf, overlay and comparison take every key at sizes at which nothing can be drawn,
// and draw what they hold once there is room: none falls over, and no frame is wider or
// higher than its terminal.
func TestTinyTakesAnyKey(t *testing.T) {
	drawnAlone(t)
	fronts := map[string]func() tea.Model{}
	for _, name := range []string{"marked", "mixed", "empty", "loading", "hostile", "label", "filter-typing", "trash-asked"} {
		fronts["shelf "+name] = func() tea.Model { return shelfStates()[name](80, 24, termenv.Ascii) }
	}
	for _, name := range []string{"eight", "mixed", "empty", "loading", "hostile", "all-hidden"} {
		fronts["overlay "+name] = func() tea.Model { return overlayStates()[name](80, 24, termenv.Ascii) }
	}
	for _, name := range []string{"five", "none", "nothing", "hostile", "bars", "weibull", "typing", "reckoning"} {
		fronts["compare "+name] = func() tea.Model { return compareStates()[name](80, 24, termenv.Ascii) }
	}
	keys := []string{
		"down", "pgdown", "end", "up", "pgup", "home", "tab", "p", "p", "p", "right", "left", "l", "s", "w", " ", "u", "g", "c", "o", "t", "9", "enter",
		"esc", "/", "m", "enter", "M", "x", "n", "R", "r", "f", "k", "j", "S", "0", "A", "?",
	}
	sizes := []struct{ w, h int }{{0, 0}, {1, 1}, {20, 5}, {300, 2}, {2, 90}, {80, 24}, {79, 24}, {80, 23}, {500, 24}, {80, 150}}
	for name, of := range fronts {
		m := of()
		for i, k := range keys {
			s := sizes[i%len(sizes)]
			m, _ = m.Update(tea.WindowSizeMsg{Width: s.w, Height: s.h})
			m, _ = m.Update(keyNamed(k))
			checkAnyFrame(t, fmt.Sprintf("%s after %q", name, k), m.View(), s.w, s.h)
		}
		for _, s := range sizes {
			m, _ = m.Update(tea.WindowSizeMsg{Width: s.w, Height: s.h})
			checkAnyFrame(t, name, m.View(), s.w, s.h)
		}
	}
}
