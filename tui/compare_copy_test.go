package tui

import (
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/compare"
	"draghand/internal/shelf"
	"draghand/internal/si"
)

// Prints are those of the records by their names.
func (d *compareDesk) Prints(dirs []string) []string { return dirs }

// A copy of a pull that is compared was not left behind; what was read of the pulls
// that were not taken is found out while they are reckoned.
func TestCompareCopyIsNotLeftBehind(t *testing.T) {
	d := &compareDesk{fakeDesk: readyDesk(), pulls: comparePulls("M1", "C90500", meltOne...)}
	d.pulls[0].Read = "/shelf/copy"
	behind := []compare.Behind{{Record: "copy", Dir: "/shelf/copy", Bar: "M1-21", Melt: "M1", Simulated: true}, {Record: "r", Dir: "/shelf/r", Bar: "M1-20", Melt: "M1", Simulated: true}}
	m := compareOn(d, compare.ByMelt)(200, 60, termenv.Ascii)
	m = newCompareScreen(d, m.theme, openCompare{of: []shelf.Entry{{Dir: d.pulls[0].Dir}}, chosen: compare.Chosen{Behind: behind}})
	m.width, m.height = 200, 60
	next, cmd := m.Update(m.reckon()())
	m = compareSend(next.(CompareScreen), cmd())
	if told := compareTold(m); !strings.Contains(told, "1 more pull of this melt that could be read was not taken: M1-20") {
		t.Error(told)
	}
}

// One grade has one word: of four bars it is given with caution, on the screen as in the
// sentence, and a minimum is held so.
func TestCompareGrade(t *testing.T) {
	d := &compareDesk{fakeDesk: readyDesk(), pulls: comparePulls("M1", "C90500", meltOne[:4]...)}
	m := compareOn(d, compare.ByMelt)(80, 24, termenv.Ascii)
	m.options.Minimum = 29.00755 * si.KSI
	cmd := m.again()
	m = compareSend(m, cmd())
	for _, want := range []string{"strength to count on, with caution", "minimum HOLDS, with caution", " ksi, with caution: as this rig reads"} {
		if !strings.Contains(strings.Join(strings.Fields(m.View()), " "), want) {
			t.Errorf("no %q in\n%s", want, m.View())
		}
	}
}

// A minimum that stands in all records is offered, and m begins with it; what the record
// says of the break of the bar that lies apart stands beside it, with its other tag.
func TestCompareOffersAndTells(t *testing.T) {
	pulls := comparePulls("M1", "C90500", append([]float64{200}, meltOne...)...)
	for i := range pulls {
		pulls[i].Minimum, pulls[i].Counts = 40*si.KSI, ""
	}
	pulls[0].Seen = []string{"porous", "flat"}
	m := compareOn(&compareDesk{fakeDesk: readyDesk(), pulls: pulls}, compare.ByMelt, "tab")(120, 40, termenv.Ascii)
	if frame := m.View(); !strings.Contains(frame, "none given: m takes 40.0 ksi") {
		t.Error(frame)
	}
	if _, told, _ := m.barTexts(m.group(), 0); strings.Join(told[:3], "|") != "◆ LIES APART|porous, flat|△ break not looked at" {
		t.Errorf("%q", told)
	}
	if says := m.apartText(m.group()); !strings.Contains(says, "its record says of the break porous, flat") {
		t.Error(says)
	}
	next, _ := m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{'m'}})
	if m = next.(CompareScreen); m.edit.text() != "40.0 ksi" {
		t.Errorf("%q", m.edit.text())
	}
	// Who types another does not add to it; who moves in it changes it.
	offered := m.edit
	for keys, want := range map[string]string{"3|5| |k|s|i": "35 ksi", "backspace|backspace|backspace|p|s|i": "40.0 psi", "home|1": "140.0 ksi", "delete|5": "40.0 ksi5"} {
		e := offered
		for _, k := range strings.Split(keys, "|") {
			e.pressed(keyNamed(k))
		}
		if e.text() != want {
			t.Errorf("%s: %q, want %q", keys, e.text(), want)
		}
	}
}
