package tui

import (
	"strings"
	"testing"

	"github.com/muesli/termenv"

	"draghand/internal/compare"
	"draghand/internal/shelf"
)

// A figure and its unit, and a letter and what it is, stand in one line.
func TestWrapWholeKeepsFiguresTogether(t *testing.T) {
	const text = "with 95 % confidence (k 3.41), t −1.06 and p < 0.0001, ± 0.93 ksi of 0.492 in round; 1 bar in 10"
	for w := 12; w < 60; w++ {
		for _, l := range wrapWhole(text, w) {
			for _, torn := range []string{"95", "(k", "t", "p", "p <", "±", "± 0.93", "0.492"} {
				if l == torn || strings.HasSuffix(l, " "+torn) {
					t.Errorf("%d: %q", w, l)
				}
			}
		}
	}
	if got := strings.Join(wrapWhole(text, 40), " "); got != text {
		t.Errorf("%q", got)
	}
}

// The title says of the group how many of it are simulated, and bars of one melt are
// of it however they are grouped.
func TestCompareTitleIsOfTheGroup(t *testing.T) {
	all := comparePulls("M1", "C90500", meltOne...)
	for i := range all {
		all[i].Simulated = i < 2
	}
	d := &compareDesk{fakeDesk: readyDesk(), pulls: append(all, comparePulls("M2", "C90500", meltOne...)...)}
	m := compareOn(d, compare.ByMelt)(120, 40, termenv.Ascii)
	m.chosen = 0
	if got := m.title(100); got != "melt M1: 8 pulls, 2 simulated   1 of 2 by melt: left/right   of 16 pulls in all" {
		t.Errorf("%q", got)
	}
	d = &compareDesk{fakeDesk: readyDesk(), pulls: all}
	m = compareOn(d, compare.ByAll)(120, 40, termenv.Ascii)
	if got := m.title(100); got != "melt M1: 8 pulls, 2 simulated" {
		t.Errorf("%q", got)
	}
}

// What is no pull record is not compared with the whole shelf, and that is told.
func TestShelfComparesPullsAlone(t *testing.T) {
	all := finishedEntries()
	n := len(all)
	all = append(all, shelf.Entry{Name: "pictures", Dir: "/shelf/pictures", Condition: shelf.Foreign, Reason: "no pull record"})
	m := shelfKeysOf(shelfOf(&shelfDesk{all: all}))
	_, msg := shelfKey(m, "c")
	got := msg.(openCompare)
	if len(got.of) != n || got.chosen.Words() != "the whole shelf; 1 folder there is no pull record, and is not among them" {
		t.Errorf("%d of %d: %q", len(got.of), n, got.chosen.Words())
	}
}

// The legend of the dots has the signs that are drawn, and no other.
func TestCompareLegendHasWhatIsDrawn(t *testing.T) {
	for name, row := range map[string]struct{ has, not []string }{
		"one-group": {[]string{"● bar", "▴ count on"}, []string{"█ several", "┆ minimum", "> at least", "◆ apart", "‹ off"}},
		"below":     {[]string{"● bar", "┆ minimum"}, []string{"▴ count on"}},
		"bars":      {[]string{"> at least"}, []string{"█ several"}},
	} {
		frame := compareStates()[name](200, 60, termenv.Ascii).View()
		for _, w := range row.has {
			if !strings.Contains(frame, w) {
				t.Errorf("%s: no %q", name, w)
			}
		}
		for _, w := range row.not {
			if strings.Contains(frame, w) {
				t.Errorf("%s: %q\n%s", name, w, frame)
			}
		}
	}
}

// Where the legend has no room for all signs, what needs telling most stays.
func TestCompareLegendKeepsTheRare(t *testing.T) {
	var p plate
	p.reset(20, 1)
	for x, r := range []rune("●┼[▴◆>┆█‹") {
		p.set(x, 0, r, plain)
	}
	for w, want := range map[int]string{200: "● bar  ┼ mean  ", 60: "◆ apart", 24: "█ several  ‹ off scale"} {
		got := dotsLegend(&p, room{0, 0, 20, 1}, w, "")
		if !strings.Contains(got, want) || !strings.HasSuffix(got, "█ several  ‹ off scale") {
			t.Errorf("%d: %q", w, got)
		}
	}
}
