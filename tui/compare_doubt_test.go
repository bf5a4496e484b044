package tui

import (
	"slices"
	"strings"
	"testing"

	"github.com/muesli/termenv"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// The ± of a bar is the one of its own results, rounded up to two digits, whatever its
// factor: 13.1323 MPa are 1.90469 ksi, 2.0 up. And a minimum stands in the units it was
// stated in and is held by the figure that is shown in those: 41.0087 ksi, shown as 41.0
// ksi, hold 41.0 ksi, in whatever units the screen is read; 282.745 MPa, shown as 282, not
// 282.5 MPa.
func TestCompareDoubtAndMinimumInWords(t *testing.T) {
	pulls := comparePulls("M1", "C90500", 309, 314, 305, 311, 317)
	for i := range pulls {
		pulls[i].U, pulls[i].Expanded = 3.05*si.Megapascal, 13.1323*si.Megapascal
	}
	if v := compareOf(pulls, compare.ByMelt, "tab")(200, 60, termenv.Ascii).View(); !strings.Contains(v, "44.2 ± 2.0 ksi") {
		t.Errorf("no 44.2 ± 2.0 ksi in:\n%s", v)
	}
	for i, ksi := range []float64{44.01, 45.21, 43.71, 45.91, 44.81} {
		pulls[i].Strength, pulls[i].Common, pulls[i].Simulated = si.Stress(ksi)*si.KSI, 0.34*si.KSI, false
	}
	for keys, want := range map[string]string{
		"41 ksi":     "HOLDS 41.0 ksi",
		"41 ksi|u":   "HOLDS 41.0 ksi: 41.0 ksi, rounded down, reaches it",
		"41.1 ksi":   "NOT SHOWN TO HOLD 41.1 ksi",
		"44.5 ksi":   "DOES NOT HOLD 44.5 ksi",
		"282.5 MPa":  "NOT SHOWN TO HOLD 282.5 MPa: 282 MPa, rounded down, is under it",
		"41.1 ksi|u": "NOT SHOWN TO HOLD 41.1 ksi: 41.0 ksi, rounded down, is under it",
	} {
		typed, after, _ := strings.Cut(keys, "|")
		pressed := append(append([]string{"m"}, strings.Split(typed, "")...), "enter")
		if after != "" {
			pressed = append(pressed, after)
		}
		for _, size := range [][2]int{{200, 60}, {120, 40}, {112, 34}, {80, 24}} {
			v := screenWords(compareOf(pulls, compare.ByMelt, pressed...)(size[0], size[1], termenv.Ascii).View())
			verdict, rest, _ := strings.Cut(want, ": ")
			if size[0] == 200 { // on narrower ones the verdict is what stays, and the words tell the rest
				verdict = want
			}
			if rest, _, _ = strings.Cut(rest, " rounded"); size[0] == 80 && rest != "" { // there the words have the whole line
				rest = "the strength to count on is " + rest + " rounded down"
			}
			if !strings.Contains(v, verdict) || !strings.Contains(v, rest) {
				t.Errorf("%s at %v: no %q, or not what it rests on, in:\n%s", keys, size, want, v)
			}
		}
	}
}

// A minimum that bars lie under is not shown where there is no strength to count on, as
// plain as one that is not held.
func TestCompareNotShown(t *testing.T) {
	m := compareStates()["two-bars"](120, 40, termenv.Ascii)
	m.c.Options.Minimum = 50 * si.KSI
	if text, k := m.holds(m.group()); text != "NOT SHOWN: 2 of 2 under 50.0 ksi" || k != stop {
		t.Errorf("%q %v", text, k)
	}
	m.c.Options.Minimum = 30 * si.KSI
	if text, _ := m.holds(m.group()); !strings.HasPrefix(text, "CANNOT TELL") {
		t.Error(text)
	}
}

// The screen says too where what the rig may be off is multiplied by more than 2: of 2.2
// degrees of freedom by 4.30, t of 2. And of three bars that they can hardly tell.
func TestCompareCoverageInWords(t *testing.T) {
	const says = "multiplied by 4.30"
	pulls := comparePulls("M1", "C90500", 309, 314, 305)
	for _, size := range [][2]int{{200, 60}, {120, 40}, {80, 24}} {
		if v := screenWords(compareOf(pulls, compare.ByMelt)(size[0], size[1], termenv.Ascii).View()); strings.Contains(v, says) {
			t.Errorf("%v: said where it is 2:\n%s", size, v)
		}
	}
	for i := range pulls {
		pulls[i].CommonDoF = 2.2
	}
	v := compareOf(pulls, compare.ByMelt)(200, 60, termenv.Ascii).View()
	for _, want := range []string{says, "(k 4.30, t of 2 whole degrees of freedom of 2.2)", "three bars can hardly tell"} {
		if !strings.Contains(screenWords(v), want) {
			t.Errorf("no %q in:\n%s", want, v)
		}
	}
}

// screenWords are the words on a screen in one line, as far as columns leave them.
func screenWords(v string) string { return strings.Join(strings.Fields(v), " ") }

// What should not be trusted does not hold a minimum, it would: in the brief line of a
// narrow terminal too. The verdict is the one that the words give.
func TestCompareWouldHold(t *testing.T) {
	pulls := comparePulls("M1", "C90500", 309, 314, 305, 311, 317)
	again := pulls[0]
	again.Record, again.Dir = "again", "shelf/again"
	for name, row := range map[string]struct {
		of        []compare.Pull
		want, not string
	}{
		"trusted":     {pulls, "HOLDS", "WOULD HOLD"},
		"not trusted": {append(slices.Clone(pulls), again), "WOULD HOLD", "HOLDS"},
	} {
		for _, size := range [][2]int{{200, 60}, {120, 40}, {80, 24}} {
			m := compareOf(row.of, compare.ByMelt, "m", "3", "0", " ", "k", "s", "i", "enter")(size[0], size[1], termenv.Ascii)
			v := screenWords(m.View())
			if !strings.Contains(v, row.want) || strings.Contains(v, row.not) {
				t.Errorf("%s, %v:\n%s", name, size, m.View())
			}
			if name == "not trusted" && !strings.Contains(v, "should not be trusted") {
				t.Errorf("%v: no grade:\n%s", size, m.View())
			}
			if strings.Contains(v, "be tr…") {
				t.Errorf("%v: the verdict is cut:\n%s", size, m.View())
			}
		}
	}
}

// The minimum that m offers is never below the one that stands in the records.
func TestCompareOffersWhatIsStated(t *testing.T) {
	pulls := comparePulls("M1", "C90500", 309, 314, 305, 311, 317)
	for i := range pulls {
		pulls[i].Minimum = 276 * si.Megapascal
	}
	m := compareOf(pulls, compare.ByMelt)(120, 40, termenv.Ascii)
	if text, _ := m.holds(m.group()); text != "none given: m takes 276 MPa" {
		t.Error(text)
	}
	m = compareOf(pulls, compare.ByMelt, "m", "enter")(120, 40, termenv.Ascii)
	if got := m.c.Options.Minimum; got < 276*si.Megapascal || got > 276.001*si.Megapascal {
		t.Errorf("%v", got)
	}
}

// The mark of the strength to count on lies on the side of the minimum's line that the
// verdict says: 41.0087 ksi does not hold 41.005 ksi, being shown as 41.0.
func TestCompareMarkIsWhereShown(t *testing.T) {
	pulls := comparePulls("M1", "C90500", 309, 314, 305, 311, 317)
	for i, ksi := range []float64{44.01, 45.21, 43.71, 45.91, 44.81} {
		pulls[i].Strength, pulls[i].Common = si.Stress(ksi)*si.KSI, 0.34*si.KSI
	}
	for minimum, holds := range map[si.Stress]bool{41 * si.KSI: true, 41.005 * si.KSI: false, 282 * si.Megapascal: true, 282.5 * si.Megapascal: false} {
		for _, u := range []si.System{si.US, si.Metric} {
			o := compare.NewOptions()
			o.Minimum = minimum
			c := compare.Of(pulls, compare.By{Field: compare.ByMelt}, o)
			k := c.Groups[0].CountOn
			if mark := k.Mark(minimum, u); *k.Holds != holds || float64(mark) >= float64(minimum)*(1-1e-12) != holds || mark > k.Strength {
				t.Errorf("%v: held %v, mark at %v", minimum, *k.Holds, mark)
			}
		}
	}
}

// Two records of one bar are told apart by their folders, and what lies off the scale has
// a name.
func TestCompareFoldersAndOffScale(t *testing.T) {
	pulls := comparePulls("M1", "C90500", 309, 314, 305, 311, 317)
	again := pulls[0]
	again.Record, again.Dir = "second-try", "/shelf/second-try"
	leaveOut(&again, "does not count: it broke in the grip")
	weak := comparePulls("M1", "C90500", 0, 0, 0, 0, 0, 90)[5]
	letOff(&weak)
	all := append(append([]compare.Pull{}, pulls...), again, weak)
	for _, keys := range [][]string{nil, {"tab"}} {
		v := screenWords(compareOf(all, compare.ByMelt, keys...)(200, 60, termenv.Ascii).View())
		for _, want := range []string{"second-try", pulls[0].Record} {
			if !strings.Contains(v, want) {
				t.Errorf("%v: no %q in:\n%s", keys, want, v)
			}
		}
		if strings.Contains(v, pulls[1].Record) {
			t.Errorf("%v: the folder of a bar that is there once", keys)
		}
		if !strings.Contains(v, "off scale: ") || !strings.Contains(v, "at least") || strings.Contains(v, "off scale  ") {
			t.Errorf("what is off the scale has no name:\n%s", v)
		}
	}
}
