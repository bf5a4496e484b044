package tui

import (
	"strings"
	"testing"
)

// Half a term is no fault while it is typed: it is told once the person goes on, by a
// blank, by enter or by moving the cursor away, and goes while it is mended.
func TestShelfFilterFaultIsCalm(t *testing.T) {
	const fault = "not understood, the rest holds: strength>"
	for _, c := range []struct {
		keys []string
		told bool
	}{
		{[]string{"strength>"}, false},
		{[]string{"m40 strength>4"}, false},
		{[]string{"m40 strength>", " m"}, true},
		{[]string{"m40 strength> counts:yes"}, true},
		{[]string{"m40 strength>", "enter"}, true},
		{[]string{"m40 strength>", "home"}, true},
		{[]string{"m40 strength>", "home", "end"}, false},
		{[]string{"m40 strength> ", "left"}, false},
		{[]string{"m40 strength> "}, true},
		{[]string{"m40 strength>", "enter", "/", "40ksi"}, false},
		{[]string{"m40 strength>", "enter", "esc"}, false},
	} {
		m := shelfKeysOf(shelfOf(&shelfDesk{all: finishedEntries()}), append([]string{"/"}, c.keys...)...)
		if got := strings.Contains(m.View(), fault); got != c.told {
			t.Errorf("%q: told %v, want %v:\n%s", c.keys, got, c.told, m.View())
		}
	}
}
