package tui

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/exp/golden"
	"github.com/muesli/termenv"
)

// calibrateFrames are the golden frames of a calibration: every state at every size
// without colour, in 16 colours and in true colour; some in ASCII alone.
func calibrateFrames() map[string]func(*testing.T) string {
	out := map[string]func(*testing.T) string{}
	for name := range calibrateStates {
		for end, profile := range profiles {
			for _, s := range sizes {
				out[goldenName(name, s.w, s.h)+end] = func(t *testing.T) string {
					return calibrateFrame(t, name, s.w, s.h, profile).View()
				}
			}
		}
	}
	for _, name := range []string{"up-and-down", "settling", "bad-point"} {
		for _, s := range sizes[:2] {
			out[goldenName(name+"-ascii", s.w, s.h)] = func(t *testing.T) string {
				a := calibrateFrame(t, name, s.w, s.h, termenv.Ascii)
				inASCII(&a)
				return a.View()
			}
		}
	}
	return out
}

func TestCalibrateFrame(t *testing.T) {
	for name, frame := range calibrateFrames() {
		t.Run(name, func(t *testing.T) { golden.RequireEqual(t, frame(t)) })
	}
}

// No line is wider than the terminal, no frame higher, and nothing but the theme's
// own escape sequences comes out, at any size.
func TestCalibrateFits(t *testing.T) {
	drawnAlone(t)
	for name := range calibrateStates {
		m, ok := calibrateFrame(t, name, 80, 24, termenv.ANSI256).front.(CalibrateScreen)
		if !ok {
			t.Fatal(name)
		}
		for _, w := range []int{0, 1, 2, 3, 10, 20, 59, 79, 80, 81, 100, 111, 112, 119, 120, 150, 200} {
			for _, h := range []int{0, 1, 2, 4, 17, 23, 24, 25, 29, 30, 33, 34, 36, 52, 60} {
				m.width, m.height = w, h
				checkAnyFrame(t, name, m.View(), w, h)
			}
		}
	}
}

// inASCII is an app of a calibration on a terminal that shows nothing else.
func inASCII(a *App) {
	a.opts.ASCII = true
	m := a.front.(CalibrateScreen)
	m.ascii = true
	a.front = m
}

// Every state at every size is printable ASCII where the terminal shows nothing else.
func TestCalibrateASCII(t *testing.T) {
	for name := range calibrateStates {
		for _, s := range sizes {
			a := calibrateFrame(t, name, s.w, s.h, termenv.Ascii)
			inASCII(&a)
			for i, l := range strings.Split(a.View(), "\n") {
				if at := strings.IndexFunc(l, func(r rune) bool { return r < ' ' || r > '~' }); at >= 0 {
					t.Fatalf("%s at %d×%d: line %d is no ASCII at %d: %q", name, s.w, s.h, i, at, l)
				}
			}
		}
	}
}

// TestCalibrateSays holds the words a person must find at every size that is laid
// out. Source: design 8 and issue 6.
func TestCalibrateSays(t *testing.T) {
	for name, words := range map[string][]string{
		"no-zero":           {"against borrowed 50 kN cell, in the specimen's place", "no zero yet: wait 2 s with no load on the rig", "the zero is taken by itself", "nobody in line", "no known limit: pins", "z zero", "? help", "q leave"},
		"zero-refused":      {"no zero yet: the reading lies 14.3 bar from the last zero", "no zero taken: the reading lies 14.3 bar from the sensor's own zero"},
		"first":             {"press the load up to the first value", "such as 1000 lbf", "falling against rising shows the friction", "nobody under or beside a hanging weight"},
		"moving":            {"moving: it rises by 41 psi a second", "2 rising points of at least 3", "2 points: 2 rising, 0 falling"},
		"settling":          {"stand still: 1.2 of 2 s", "hold it where it is"},
		"steady":            {"steady at 1,022 psi, scatter ± 0.44 psi", "steady: type what the reference shows"},
		"typing":            {"15 kN", "enter take the point", "esc no point"},
		"typing-bare":       {"20", "kN, the unit of the point before", "3 points"},
		"refused":           {"15 kN", "NOT TAKEN", "the reading does not stand still: it falls"},
		"three":             {"3 points: 3 rising", "▲ rising", "less line, lbf", "0-9 value", "s save"},
		"up-and-down":       {"15 points", "7 falling", "▼ falling", "through zero: slope", "lbf/psi", ": f", "claim", "compared with borrowed 50 kN cell", "0.93 ± 0.15 % of the force"},
		"bad-point":         {"4!▲ rising", "! point 4 says 4,586 lbf where the others would have 4,490 lbf"},
		"drop":              {"drop point 4, rising at 4,586 lbf? y / n"},
		"saved":             {"saved", "2026-11-25T140322Z-example-rig.json", "saved; q leaves"},
		"saved-then-more":   {"not with the points as they are now: s saves again"},
		"not-saved":         {"NOT SAVED", "no space left on device"},
		"lost":              {"■ CANNOT SEE THE FORCE: stop pressing: no reading for 2.1 s: look at the cable", "let the pressure down", "4 points"},
		"opening":           {"no reading has come yet", "see to the source first"},
		"over-range":        {"■ OVER RANGE", "stop pressing"},
		"open-circuit":      {"■ CANNOT SEE THE FORCE: open circuit: stop pressing"},
		"caution":           {"△ CAUTION", "link bar at 79 %"},
		"warning":           {"▲ WARNING", "link bar at 94 %", "press no further"},
		"stop":              {"■ STOP", "link bar at 103 %", "release the pressure", "press NO FURTHER: let the load off", "no point now", "a acknowledge"},
		"stop-acknowledged": {"■ STOP", "link bar at 103 %", "acknowledged"},
		"second-run":        {"11 points: 11 rising"},
		"leaving":           {"the rig is loaded and 4 points are not saved: leave all the same? y / n"},
		"at-gauge":          {"at the gauge port", "5 points", "less line, bar", "slope"},
		"no-limits":         {"no part of this rig has a known limit", "no known limit: "},
		"help":              {"help: calibrate", "▲ WARNING", "nobody under a hanging weight"},
	} {
		for _, s := range sizes[:3] {
			frame := calibrateFrame(t, name, s.w, s.h, termenv.Ascii).View()
			for _, word := range words {
				if !strings.Contains(frame, word) && !strings.Contains(strings.Join(strings.Fields(frame), " "), word) {
					t.Errorf("%s at %d×%d does not say %q:\n%s", name, s.w, s.h, word, frame)
				}
			}
		}
	}
	for name, words := range map[string][]string{
		"no-zero":   {"no zero yet", "next: keep all load off", "80 columns and 24 lines"},
		"typing":    {"reference: 15 kN", "enter take the point"},
		"refused":   {"not taken: the reading does not stand"},
		"lost":      {"CANNOT SEE THE FORCE"},
		"stop":      {"■ STOP", "release the pressure", "gauge 3,3", "next: press NO FURTHER", "a acknowledge"},
		"bad-point": {"! point 4", "read before the reading had settled", "next: "},
		"leaving":   {"leave all the same? y / n"},
	} {
		frame := strings.Join(strings.Fields(calibrateFrame(t, name, 60, 18, termenv.Ascii).View()), " ")
		for _, word := range words {
			if !strings.Contains(frame, word) {
				t.Errorf("%s at 60×18 does not say %q:\n%s", name, word, frame)
			}
		}
	}
}

// BenchmarkCalibrateView: goal as for the pull screen, at most 1.5 ms at 120×40.
func BenchmarkCalibrateView(b *testing.B) {
	c, _ := calibrateStates["up-and-down"]()
	a := calibrateOpen(c, 120, 40, termenv.TrueColor)
	b.ReportAllocs()
	for b.Loop() {
		_ = a.View()
	}
}
