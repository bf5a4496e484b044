package compare_test

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// By hand, on a scale of 21 places from 40 to 50 ksi, half a ksi each: 40, 41 twice and
// 45; 50, and one that bore 47.5 at least.
func TestDots(t *testing.T) {
	all := append(bars("M1", 40, 41, 41, 45), bars("M2", 50, 47.5)...)
	all[5].Strength, all[5].AtLeast, all[5].Out = 0, all[5].Strength, "let off"
	c := compare.Of(all, byMelt(), compare.NewOptions())
	got := strings.Join(c.Dots(si.US, 27), "\n")
	want := strings.Join([]string{
		"M1  |o 2       o          |",
		"M2  |               >    o|",
		"     40.0         50.0 ksi",
	}, "\n")
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if c.DotsLegend() != "o a bar, a digit so many of them, > bore at least so much, * both" {
		t.Error(c.DotsLegend())
	}
	// One that bore as much as a bar broke at hides no bar, and no bar hides it.
	over := append(bars("M1", 40, 45, 50), bars("M2", 45)...)
	over[3].Melt, over[3].Strength, over[3].AtLeast, over[3].Out = "M1", 0, over[3].Strength, "let off"
	both := compare.Of(over, byMelt(), compare.NewOptions())
	if d := both.Dots(si.US, 27); d[0] != "M1  |o         *         o|" {
		t.Errorf("%q", d)
	}
	if d := c.Dots(si.US, 20); d != nil {
		t.Errorf("no room, and %q", d)
	}
	none := compare.Of(nil, compare.By{Field: compare.ByAll}, compare.NewOptions())
	if d := none.Dots(si.US, 78); d != nil {
		t.Errorf("nothing, and %q", d)
	}
	same := compare.Of(bars("M1", 44, 44, 44), byMelt(), compare.NewOptions())
	if d := same.Dots(si.Metric, 40); len(d) != 2 || !strings.Contains(d[0], "3") || !strings.Contains(d[1], "303 MPa") {
		t.Errorf("%q", d)
	}
	many := compare.Of(bars("M1", 44, 44, 44, 44, 44, 44, 44, 44, 44, 44, 50), byMelt(), compare.NewOptions())
	if d := many.Dots(si.US, 27); d[0] != "M1  |9                   o|" || many.DotsLegend() != "o a bar, a digit so many of them (9: nine or more)" {
		t.Errorf("%q, %s", d, many.DotsLegend())
	}
	// Letters that take two cells of a terminal move no dot: all stand on one scale.
	wide := compare.Of(append(bars("鋳造", 40, 50), bars("M2", 40, 50)...), byMelt(), compare.NewOptions())
	if d := wide.Dots(si.US, 40); len(d) != 3 || !strings.HasPrefix(d[0], "M2    |o") || !strings.HasPrefix(d[1], "鋳造  |o") || ansi.StringWidth(d[1]) != ansi.StringWidth(d[0]) {
		t.Errorf("%q", d)
	}
	long := compare.Of(bars("a melt with a name that is long", 44, 45), byMelt(), compare.NewOptions())
	if d := long.Dots(si.US, 50); !strings.HasPrefix(d[0], "a melt with a n…  |") {
		t.Errorf("%q", d)
	}
}
