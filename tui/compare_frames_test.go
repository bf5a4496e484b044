package tui

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/exp/golden"
	"github.com/muesli/termenv"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// compareFrames are the frames of every state: each size without colour, one in each
// set of colours, one in ASCII alone.
func compareFrames() map[string]func(*testing.T) string {
	out := map[string]func(*testing.T) string{}
	for name, of := range compareStates() {
		for _, s := range sizes {
			out[goldenName(name, s.w, s.h)] = func(*testing.T) string { return of(s.w, s.h, termenv.Ascii).View() }
		}
		for end, profile := range profiles {
			if end != "" {
				out[goldenName(name, 120, 40)+end] = func(*testing.T) string { return of(120, 40, profile).View() }
			}
		}
		out[goldenName(name, 80, 24)+"-ascii"] = func(*testing.T) string { return compareASCII(of(80, 24, termenv.Ascii)) }
	}
	for _, s := range sizes[:3] {
		out[goldenName("help", s.w, s.h)] = func(*testing.T) string {
			m := compareStates()["five"](s.w, s.h, termenv.Ascii)
			return compareHelp(m).view(m.theme, s.w, s.h, m)
		}
	}
	return out
}

// compareASCII is the frame of a terminal that shows nothing else.
func compareASCII(m CompareScreen) string {
	m.scratch.plate.ascii = true
	return m.View()
}

// compareHelp is the help over a state.
func compareHelp(m CompareScreen) *helpOver {
	_, cmd := m.Update(keyNamed("?"))
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
	drawnAlone(t)
	for name, of := range compareStates() {
		m := of(80, 24, termenv.ANSI256)
		for _, w := range []int{0, 1, 3, 20, 79, 80, 81, 111, 112, 150, 200} {
			for _, h := range []int{0, 1, 4, 17, 23, 24, 33, 34, 60} {
				m.width, m.height = w, h
				checkAnyFrame(t, name, m.View(), w, h)
			}
		}
	}
}

// Whatever pulls there are, of whatever strengths, each part of each group fits and
// says nothing that is no number.
func TestCompareOfAnyPulls(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 3))
	sizes := []float64{1e-9, 0.3, 300, 300, 300, 305, 4e6}
	for trial := range 6 {
		var pulls []compare.Pull
		for g := range 1 + rnd.IntN(7) {
			mpa := make([]float64, rnd.IntN(12))
			for i := range mpa {
				mpa[i] = sizes[rnd.IntN(len(sizes))] * (1 + 0.1*rnd.Float64()*float64(rnd.IntN(2)))
			}
			of := comparePulls(fmt.Sprintf("M%d", g), "C90500", mpa...)
			for i := range of {
				switch rnd.IntN(8) {
				case 0:
					letOff(&of[i])
				case 1:
					leaveOut(&of[i], "does not count")
				case 2:
					of[i].U, of[i].Common = si.Stress(math.NaN()), si.Stress(math.Inf(1))
				case 3:
					of[i].Elongation, of[i].Diameter, of[i].Started = nil, 0, time.Time{}
				}
			}
			pulls = append(pulls, of...)
		}
		for _, s := range []struct{ w, h int }{{80, 24}, {120, 40}, {200, 60}, {60, 18}} {
			m := compareOf(pulls, compare.ByMelt)(s.w, s.h, termenv.Ascii)
			for _, k := range []string{"", "tab", "end", "p", "p", "p", "right", "right", "g", "c", "right"} {
				if k != "" {
					m = compareSend(m, keyNamed(k))
				}
				checkAnyFrame(t, fmt.Sprintf("trial %d, %s", trial, k), m.View(), s.w, s.h)
				if strings.Contains(m.View(), "NaN") || strings.Contains(m.View(), "Inf") {
					t.Fatalf("trial %d after %s:\n%s", trial, k, m.View())
				}
			}
		}
	}
}

// squeezed is a frame as running text.
func squeezed(frame string) string { return strings.Join(strings.Fields(frame), " ") }

// compareTold are the words of a frame; where words and plots stand side by side, those of
// the left column as running text too.
func compareTold(m CompareScreen) string {
	frame := m.View()
	text := squeezed(frame)
	if r, ok := m.laid(); ok && m.wide() {
		var left []string
		for _, l := range strings.Split(frame, "\n") {
			left = append(left, string([]rune(l)[:min(len([]rune(l)), max(r.list.w, r.bars.w)+4)]))
		}
		text += " " + squeezed(strings.Join(left, " "))
	}
	return text
}

// What a person must find at every size that is laid out, whatever the golden files
// say, and in words on a screen too small for it. Source: design 8 and issue 7.
func TestCompareFrameSays(t *testing.T) {
	for name, words := range map[string][]string{
		"reckoning": {"reckoning 12 of 40 …", "b stop"},
		"one-group": {"strength to count on, melt M1", "none given: m types one", "8 bars", "Count on 42.3 ksi", "44.3 to 45.5", "CV 1.6 %", "43.8 to 46.0", "43.11", "0.76 ksi", "? help", "simulated"},
		"two":       {"2 of 2 by melt", "M1 AND M2 DIFFER: the mean of M2 is 2.0 ksi lower", "p 0.00032", "is no promise for the next bar"},
		"two-rigs":  {"were not pulled on the same rig by the same calibration"},
		"five":      {"3 of 5 by melt", "THE 5 GROUPS ARE NOT ALL ALIKE"},
		"alike":     {"strength to count on: none", "none: all bars read alike", "All 5 bars read alike: their scatter is finer"},
		"one-bar":   {"strength to count on: none", "One bar says nothing of the next", "a bound needs two bars"},
		"none":      {"No bar of these counts", "M6-1: does not count: it broke in the grip", "it cannot be read"},
		"apart":     {"△ comes out, should not be trusted", "M1-1 lies apart", "△ caution"},
		"apart-low": {"◆ LIES APART"},
		"skew":      {"△ caution the scatter does not look normal"},
		"below":     {"strength to count on: none", "CANNOT TELL 30.0 ksi", "┆ minimum"},
		"two-bars":  {"strength to count on: none", "CANNOT TELL 30.0 ksi", "two bars tell next to nothing of the scatter"},
		"held":      {"HOLDS 40.0 ksi", "none of the 8 bars is under 40.0 ksi"},
		"not-held":  {"DOES NOT HOLD 310 MPa", "4 of 8 bars lie under 310 MPa"},
		"not-known": {"CANNOT TELL 20.0 ksi", "rig", "not known"},
		"partly":    {"43.11", "less 0.76", "not known", "of 2 bars it is not"},
		"bare-rig":  {"on the same rig, which has no calibration"},
		"all":       {"all bars", "△ caution the melts in this group differ"},
		"by-alloy":  {"C90500", "1 of 2 by alloy"},
		"by-marks":  {"group left tray", "by mark"},
		"left-many": {"8 bars, 30 left out"},
		"left-bars": {"number 38 of 38", "at a mark of the tool"},
		"bars":      {"bars, the weakest first", "▸ M1-3", "44.2 ± 0.93 ksi", "9 broke, 2 did not", "at least 46.1 ksi"},
		"metric":    {"MPa", "Count on"},
		"typing":    {"the bound, content/confidence", "99/90▏", "enter reckon with it"},
		"typed":     {"99/90"},
		"exported":  {"report written: /home/foundry/draghand/reports/bars-2026-11-25.html"},
		"failed":    {"the pulls could not be reckoned: the shelf is gone"},
		"nothing":   {"nothing to compare: choose pulls on the shelf"},
		"stop":      {"STOP", "link bar at 102 %", "LOAD ON THE RIG", "Count on 42.3 ksi"},

		"not-exported": {"no report was written", "no space left on device"},
		"not-opened":   {"cannot be shown again: it has no readings"},
		"typed-wrong":  {`not usable: "99" is no bound`, "99▏"},
	} {
		for _, s := range sizes[:3] {
			m := compareStates()[name](s.w, s.h, termenv.Ascii)
			for _, w := range words {
				if !strings.Contains(compareTold(m), w) {
					t.Errorf("%s at %d×%d does not say %q:\n%s", name, s.w, s.h, w, m.View())
				}
			}
		}
	}
	for name, words := range map[string][]string{
		"reckoning": {"reckoning 12 of 40"}, "one-group": {"Count on 42.3 ksi", "none given", "80 columns and 24 lines"},
		"not-held": {"DOES NOT HOLD 310 MPa"}, "apart": {"△ M1-1 lies apart"}, "stop": {"STOP", "link bar at 102 %"},
		"typing": {"99/90"}, "exported": {"bars-2026-11-25.html"}, "one-bar": {"One bar says nothing of the next"},
	} {
		frame := compareStates()[name](60, 18, termenv.Ascii).View()
		for _, w := range words {
			if !strings.Contains(squeezed(frame), w) {
				t.Errorf("%s at 60×18 does not say %q:\n%s", name, w, frame)
			}
		}
	}
}

// The answer can be read to its last word on the least screen, and so can everything
// that is known of a group: by scrolling, nothing is cut.
func TestCompareIsReadWhole(t *testing.T) {
	for _, name := range []string{"one-group", "below", "not-known", "all", "apart", "hostile", "two-rigs", "long-names"} {
		m := compareStates()[name](80, 24, termenv.Ascii)
		if name == "below" { // it shows the plot
			m = compareSend(m, keyNamed("tab"))
		}
		g := m.group()
		want := m.sentence(g) + " " + m.holdsFor(g) + " " + strings.Join(m.doubts(g), " ")
		var seen []string
		for range 200 {
			r := m.rooms()
			lines := strings.Split(m.View(), "\n")
			for i := m.from; i < min(len(r.words), m.from+r.list.h-1); i++ {
				if line := strings.TrimSpace(lines[r.list.y+1+i-m.from]); i >= len(seen) {
					seen = append(seen, strings.TrimSpace(strings.TrimLeft(strings.TrimPrefix(strings.TrimPrefix(line, "△"), " caution"), " ")))
				}
			}
			if !m.keys.Down.Enabled() {
				break
			}
			m = compareSend(m, keyNamed("down"))
		}
		bare := func(s string) string { return strings.ReplaceAll(squeezed(s), " ", "") } // a long name goes on in the next line
		if got := bare(strings.Join(seen, " ")); !strings.HasPrefix(got, bare(want)) {
			t.Errorf("%s: read\n%s\nwant it to begin with\n%s", name, got, want)
		}
	}
}

// The help explains each term of the screen in shop words, and what the answer does
// not replace.
func TestCompareHelp(t *testing.T) {
	var text []string
	for _, r := range compareHelp(compareStates()["five"](80, 24, termenv.Ascii)).rows {
		text = append(text, r.label+" "+r.text)
	}
	all := strings.Join(text, "\n")
	for _, word := range []string{
		"tolerance bound", "confidence", "content", "Weibull's m", "censored", "common part", "outlier", "standard deviation", "It replaces no code and no licensed practice",
		"casting of another thickness", "analysis of variance", "bell curve", "never dropped", "c another bound", "e write the report", "b back to the shelf",
	} {
		if !strings.Contains(all, word) {
			t.Errorf("the help does not explain %q:\n%s", word, all)
		}
	}
}

// In ASCII every sign keeps a likeness of its own: none of the frame is lost to a
// question mark but what has no likeness in letters.
func TestCompareInASCII(t *testing.T) {
	for name, of := range compareStates() {
		if name == "hostile" {
			continue
		}
		for i, r := range compareASCII(of(120, 40, termenv.Ascii)) {
			if r >= 0x80 {
				t.Fatalf("%s: %q at %d", name, r, i)
			}
		}
		if got := strings.Count(compareASCII(of(120, 40, termenv.Ascii)), "?"); got > 2 { // the key of the help
			t.Errorf("%s has %d signs without a likeness:\n%s", name, got, compareASCII(of(120, 40, termenv.Ascii)))
		}
	}
	for _, r := range "●◆┼[▴>┆█‹" { // the signs of the dots differ
		for _, other := range "●◆┼[▴>┆█‹" {
			if r != other && asciiOf(r) == asciiOf(other) {
				t.Errorf("%c and %c are both %c", r, other, asciiOf(r))
			}
		}
	}
}

// Goal: at most 1 ms a frame of 1,000 pulls.
func BenchmarkCompareView(b *testing.B) {
	var pulls []compare.Pull
	for i := range 10 {
		mpa := make([]float64, 100)
		for j := range mpa {
			mpa[j] = 300 + 3*float64(i) + 20*float64((j*37+i*11)%101)/101
		}
		pulls = append(pulls, comparePulls(fmt.Sprintf("M%d", i+1), "C90500", mpa...)...)
	}
	for _, s := range sizes[:3] {
		for _, by := range []compare.Field{compare.ByMelt, compare.ByAll} {
			m := compareOf(pulls, by)(s.w, s.h, termenv.TrueColor)
			b.Run(fmt.Sprintf("%dx%d-%s", s.w, s.h, by), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					_ = m.View()
				}
			})
		}
	}
}
