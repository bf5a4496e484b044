package tui

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"

	"draghand/internal/bench"
)

// The chart begins with the stock of the bar on the bench, else with one out of
// control, else with the newest bar; and which of several is always told.
func TestCheckFirst(t *testing.T) {
	a := checkEntries("drawn bar A", -1, steady...)
	b := checkEntries("drawn bar B of a very long name that would push all else off", -1, with(steady, 60)...)
	c := checkEntries("drawn bar C", -1, steady...)
	for i := range b { // older than the others
		b[i].Started = b[i].Started.AddDate(0, 0, -2)
		c[i%len(c)].Started = checkNow.AddDate(0, 0, -i-1)
	}
	open := func(field string, w int, all ...int) CheckScreen {
		d := readyDesk()
		d.view.Fields = append(d.view.Fields, bench.Field{ID: bench.FieldStock, Text: field})
		sets := []checkRead{checkReadOf(a, b, c), checkReadOf(a, c)}
		return checkSend(checkScreen(d, w, 24, termenv.Ascii), sets[len(all)])
	}
	for _, s := range []struct {
		name, field, want string
		m                 CheckScreen
	}{
		{"the field", "drawn bar A", "drawn bar A", open("drawn bar A", 80)},
		{"the worst", "", "drawn bar B", open("", 80)},
		{"an unknown one", "drawn bar Z", "drawn bar B", open("drawn bar Z", 80)},
		{"the newest", "", "drawn bar C", open("", 80, 1)},
	} {
		if got := s.m.stock().Name; !strings.HasPrefix(got, s.want) {
			t.Errorf("%s: %s first, want %s", s.name, got, s.want)
		}
	}
	for _, w := range []int{80, 120} {
		line, _, _ := strings.Cut(ansi.Strip(open("", w).View()), "\n")
		if !strings.Contains(line, "of 3)") {
			t.Errorf("%d columns: %q does not say which of them", w, line)
		}
	}
}

// A bar beyond a limit never stands on its line, however near.
func TestCheckBeyondIsOffTheLine(t *testing.T) {
	e := checkEntries("drawn bar A", -1, with(steady, 37.95)...)
	m := checkSend(checkScreen(readyDesk(), 80, 24, termenv.Ascii), checkReadOf(e))
	if !m.stock().Chart.Newest().State.Out() {
		t.Fatal("not beyond")
	}
	for _, l := range strings.Split(ansi.Strip(m.View()), "\n") {
		if strings.Contains(l, "◆") && strings.Contains(l, "SD") {
			t.Errorf("on the line of the limit: %q", l)
		}
	}
}
