package tui

import (
	"strings"
	"testing"
)

// A field that there is none of would hide nothing and look as if it did: it is told with
// its sign.
func TestShelfFilterTellsAWrongField(t *testing.T) {
	m := shelfKeysOf(shelfOf(&shelfDesk{all: finishedEntries()}), "/", "strenght")
	if strings.Contains(m.View(), "no such field") {
		t.Errorf("a word:\n%s", m.View())
	}
	for _, more := range []string{">", ">40ksi"} {
		m := shelfKeysOf(m, more)
		if !strings.Contains(strings.Join(strings.Fields(m.View()), " "), "strenght"+more+": there is no such field: is strength"+more+" meant?") {
			t.Errorf("%s is not told of:\n%s", more, m.View())
		}
	}
}

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
