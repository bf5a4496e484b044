package tui

import (
	"slices"
	"strings"
	"testing"

	"github.com/muesli/termenv"

	"draghand/internal/compare"
)

// How records were picked on the shelf goes with the wish to compare them: by the
// filter, by hand, and by a result where the filter asked for one, also of marks that
// were made under it and outlive it.
func TestShelfSaysHowChosen(t *testing.T) {
	chosen := func(keys ...string) compare.Chosen {
		m := shelfKeysOf(shelfOf(&shelfDesk{all: finishedEntries()}), keys...)
		_, msg := shelfKey(m, "c")
		return msg.(openCompare).chosen
	}
	behind := func(c compare.Chosen) string {
		var out []string
		for _, b := range c.Behind {
			out = append(out, b.Bar)
		}
		slices.Sort(out)
		return strings.Join(out, " ")
	}
	if c := chosen(); c.How != "the whole shelf" || c.ByResult != "" || len(c.Behind) != 0 {
		t.Errorf("%+v", c)
	}
	if c := chosen("/", "melt=m39", "enter"); c.How != "of the shelf, by the filter melt=m39" || c.ByResult != "" || len(c.Behind) != 0 {
		t.Errorf("%+v", c)
	}
	strong := []string{"/", "melt=m39 strength>40ksi", "enter"}
	by := chosen(strong...)
	if by.How != "of the shelf, by the filter melt=m39 strength>40ksi" || by.ByResult != "strength>40ksi" {
		t.Errorf("%+v", by)
	}
	hand := chosen(" ", "down", " ")
	if hand.How != "marked by hand on the shelf, 2 records" || hand.ByResult != "" || behind(hand) == "" {
		t.Errorf("%+v", hand)
	}
	if c := chosen(append(strong, " ", "esc")...); c.How != "marked by hand on the shelf, 1 record" || c.ByResult != "strength>40ksi" {
		t.Errorf("marked under a filter that is gone: %+v", c)
	}
	if c := chosen(append(strong, " ", "esc", "0", " ")...); c.ByResult != "" {
		t.Errorf("marked anew without it: %+v", c)
	}
}

// The screen says how the bars were picked, and doubts what was picked by its result.
func TestCompareSaysHowChosen(t *testing.T) {
	d := &compareDesk{fakeDesk: readyDesk(), pulls: comparePulls("M1", "C90500", meltOne...)}
	m := compareOn(d, compare.ByMelt)(200, 60, termenv.Ascii)
	m.options.Chosen = compare.Chosen{How: "of the shelf, by the filter strength>43ksi", ByResult: "strength>43ksi", Behind: []compare.Behind{{Record: "r", Bar: "M1-20", Melt: "M1", Simulated: true}}}
	cmd := m.again()
	m = compareSend(m, cmd())
	for _, want := range []string{
		"of the shelf, by the filter strength>43ksi", "bars were chosen by what came out (strength>43ksi): the bound holds for no melt",
		"1 more pull of this melt that could be read was not taken: M1-20", "should not be trusted",
	} {
		if !strings.Contains(compareTold(m), want) {
			t.Errorf("no %q in:\n%s", want, compareTold(m))
		}
	}
}
