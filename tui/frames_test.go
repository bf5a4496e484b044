package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/exp/golden"
	"github.com/muesli/termenv"
)

var sizes = []struct{ w, h int }{{80, 24}, {120, 40}, {200, 60}, {60, 18}}

// goldenName is the name of a golden frame, and so of its test.
func goldenName(state string, w, h int) string { return fmt.Sprintf("%s-%dx%d", state, w, h) }

// colours are the profiles in which every state is kept beside none.
var colours = map[string]termenv.Profile{"16": termenv.ANSI, "true": termenv.TrueColor}

func goldens() map[string]func() string {
	out := map[string]func() string{}
	for name, make := range states {
		for _, s := range sizes {
			out[goldenName(name, s.w, s.h)] = func() string {
				return screen(make(), s.w, s.h, termenv.Ascii).View()
			}
		}
		for colour, profile := range colours { // all sizes in one file
			out[name+"-colours-"+colour] = func() string {
				var b strings.Builder
				for _, s := range sizes {
					fmt.Fprintf(&b, "%d×%d\n%s\n\n", s.w, s.h, screen(make(), s.w, s.h, profile).View())
				}
				return b.String()
			}
		}
	}
	for _, s := range sizes[:3] {
		for as, keys := range map[string][]string{"help": {"?"}, "last-60": {"w"}, "last-10": {"w", "w"}} {
			out[goldenName(as, s.w, s.h)] = func() string {
				m, _ := press(screen(states["loading"](), s.w, s.h, termenv.Ascii), keys...)
				return m.View()
			}
		}
	}
	for _, s := range sizes[:3] {
		out[goldenName("events", s.w, s.h)] = func() string {
			f := states["warning"]()
			f.snap.Story = warningStory
			m, _ := press(screen(f, s.w, s.h, termenv.Ascii), "v")
			return m.View()
		}
	}
	for _, name := range []string{"loading", "expected", "stop"} {
		for _, s := range sizes[:2] {
			out[goldenName(name+"-ascii", s.w, s.h)] = func() string {
				return asciiScreen(name, s.w, s.h).View()
			}
		}
	}
	return out
}

func TestFrame(t *testing.T) {
	for name, frame := range goldens() {
		t.Run(name, func(t *testing.T) { golden.RequireEqual(t, frame()) })
	}
}

func TestEveryGoldenHasATest(t *testing.T) {
	files, err := filepath.Glob("testdata/TestFrame/*.golden")
	if err != nil {
		t.Fatal(err)
	}
	owned := goldens()
	known := map[string]func() map[string]func(*testing.T) string{
		"TestBenchFrame":     func() map[string]func(*testing.T) string { return sittingFrames(benchStates, benchOpen) },
		"TestAfterFrame":     func() map[string]func(*testing.T) string { return sittingFrames(afterStates, afterApp) },
		"TestMeasureFrame":   func() map[string]func(*testing.T) string { return sittingFrames(measureStates, measureOpen) },
		"TestPlanFrame":      func() map[string]func(*testing.T) string { return sittingFrames(planStates, planOpen) },
		"TestCalibrateFrame": calibrateFrames,
		"TestCheckFrame":     checkFrames,
		"TestCompareFrame":   compareFrames,
		"TestOverlayFrame":   overlayFrames,
	}
	var strays []string
	for _, f := range files {
		if owned[strings.TrimSuffix(filepath.Base(f), ".golden")] == nil {
			strays = append(strays, f)
		}
	}
	others, _ := os.ReadDir("testdata")
	for _, o := range others {
		if frames := known[o.Name()]; frames != nil {
			strays = append(strays, missing(o.Name(), frames())...)
		} else if o.Name() != "TestFrame" && o.Name() != "TestShelfFrame" && o.Name() != "TestReplayFrame" && o.Name() != "fuzz" {
			strays = append(strays, o.Name())
		}
	}
	sort.Strings(strays)
	if len(strays) > 0 || len(files) != len(owned) {
		t.Errorf("%d golden files for %d frames; without a test: %v", len(files), len(owned), strays)
	}
}

// missing are the golden files of a test without a frame, and the frames without
// a file.
func missing(test string, frames map[string]func(*testing.T) string) (strays []string) {
	files, _ := filepath.Glob("testdata/" + test + "/*.golden")
	for _, f := range files {
		name := strings.TrimSuffix(filepath.Base(f), ".golden")
		if frames[name] == nil {
			strays = append(strays, f)
		}
		delete(frames, name)
	}
	for name := range frames {
		strays = append(strays, test+"/"+name+" has no file")
	}
	return strays
}

// TestFrameFits draws every state at every size from too small to large: no
// line may be wider than the terminal, no frame higher, and nothing but the
// theme's own escape sequences may come out.
func TestFrameFits(t *testing.T) {
	for name, make := range states {
		f := make()
		m := screen(f, 80, 24, termenv.ANSI256)
		for w := 20; w <= 200; w += sweep {
			for h := 5; h <= 60; h += 7 {
				m.width, m.height = w, h
				checkFrame(t, name, m)
			}
		}
	}
}

// TestFrameFitsAtTheEdges is TestFrameFits around the least size laid out for,
// at every single size, and at sizes no terminal has, also with questions and
// help open.
func TestFrameFitsAtTheEdges(t *testing.T) {
	drawnAlone(t)
	for name, make := range states {
		m := screen(make(), 80, 24, termenv.Ascii)
		for _, w := range []int{0, 1, 2, 3, 10, 79, 80, 81, 83, 150} {
			for _, h := range []int{0, 1, 2, 4, 23, 24, 25, 35, 36, 52} {
				m.width, m.height = w, h
				for _, m.ask = range []question{noQuestion, askEnd, askQuit} {
					m.help = m.ask == askEnd
					m.left = 0
					if m.ask == noQuestion {
						m.left = 1
					}
					checkFrame(t, name, m)
				}
			}
		}
	}
}

func checkFrame(t *testing.T, name string, m PullScreen) {
	t.Helper()
	checkText(t, name, m.View(), m.width, m.height)
}

// checkText is checkFrame for the frame of any screen.
func checkText(t *testing.T, name, frame string, w, h int) {
	t.Helper()
	lines := strings.Split(frame, "\n")
	if len(lines) > max(h, 1) {
		t.Fatalf("%s at %d×%d: %d lines", name, w, h, len(lines))
	}
	for i, l := range lines {
		if n := ansi.StringWidth(l); n > w {
			t.Fatalf("%s at %d×%d: line %d is %d wide: %q", name, w, h, i, n, l)
		}
		for rest := l; ; {
			at := strings.IndexFunc(rest, func(r rune) bool { return r < ' ' || r >= 0x7f && r < 0xa0 })
			if at < 0 {
				break
			}
			end := strings.IndexByte(rest[at:], 'm')
			if !strings.HasPrefix(rest[at:], "\x1b[") || end < 0 || strings.Trim(rest[at+2:at+end], "0123456789;") != "" {
				t.Fatalf("%s at %d×%d: line %d carries a control sequence: %q", name, w, h, i, l)
			}
			rest = rest[at+end:]
		}
	}
}

// TestFrameSays holds the words a person must find at every size that is laid
// out, whatever the golden files say. Source: design 8 and issue 2.
func TestFrameSays(t *testing.T) {
	tests := map[string][]string{
		"slack":                  {"slack", "zero"},
		"loading":                {"loading", "no known limit: pins", "link bar", "drag hand", "lbf", "limit in", "readings/s", "2026-11-25T140322Z-M1-3", "simulated"},
		"caution":                {"CAUTION", "link bar at 77 %", "10,791 lbf"},
		"warning":                {"WARNING", "link bar at 9", "10,791 lbf", "and 1 more"},
		"stop":                   {"STOP", "link bar at 102 % of its limit: 10,961 of 10,791 lbf", "release the pressure", "now 10,961 lbf", "acknowledge"},
		"stop-acknowledged":      {"STOP", "acknowledged", "force on the specimen"},
		"stop-single":            {"STOP", "one reading only", "link bar was at 101 %", "release the pressure"},
		"blind":                  {"CANNOT SEE THE FORCE", "stop pumping", "open circuit", "drag hand"},
		"stop-closed":            {"STOP", "link bar at 102 % of its limit", "release the pressure", "nothing watches now", "ENDED before a break was seen", "saved as", "a acknowledge", "last 10,961 lbf"},
		"blind-closed":           {"CANNOT SEE THE FORCE", "nothing watches now", "release the pressure", "ENDED before a break was seen", "a acknowledge"},
		"stop-and-caution":       {"■ STOP", "link bar at 102 %", "acknowledged", "△ CAUTION", "ram at 76 %"},
		"ahead":                  {"▲ WARNING   link bar limit in 2.4 s at this pace: pump more slowly or stop"},
		"broken-provisional":     {"BROKE at", "provisional", "broken?"},
		"broken-saved":           {"BROKE at", "41.00 s", "result   strength 45.1 ksi", "peaked at", "31 %", "8,588 of 10,791 lbf", "saved as 2026-11-25T140322Z-M1-3", "q leave", "no known limit: pins"},
		"record-failed":          {"NOT SAVED: no space left on device", "keep running"},
		"source-lost":            {"LOST", "no fresh reading", "TROUBLE", "plug the board in again"},
		"yielded":                {"upper yield 28.4 ksi at 0:12, then down to 27.4 ksi", "2 slips"},
		"giving":                 {"a stroke gains 20 % of the best", "something other than the specimen may be", "look at the link bar"},
		"giving-yielded-caution": {"CAUTION", "upper yield", "2 slips", "look at the link bar", "on disk", "source"},
		"proof-loading":          {"proof, loading", "4,496 lbf for 60 s"},
		"holding":                {"proof, holding", "holding 4,496 lbf, 12 s of 60 s, lowest 4,406 lbf"},
		"held":                   {"HELD 61 s: let off slowly", "lowest 4,406 lbf"},
		"proof-let-off":          {"LET OFF", "held 4,496 lbf for 64 s, 60 s asked", "lowest 4,406 lbf"},
		"proof-too-short":        {"NOT HELD LONG ENOUGH: 41 s of 60 s"},
		"crush-let-off":          {"crush, let off", "on the block at the peak"},
		"faded":                  {"FADED", "result   strength ", "faded, no snap"},
		"no-limits":              {"no part of this rig has a known limit"},
		"many-limits":            {"more limits"},
		"expected":               {"░ expected break 7,587–9,104 lbf", "12 strokes", "each gains 405 lbf", "about 11 to the stop of link bar"},
		"expected-past":          {"expected break 10,346–13,242 lbf may be past the stop of link bar", "22 strokes", "about 6 to the stop"},
		"stop-after-blind":       {"release the pressure", "link bar at 10", "and ■ CANNOT SEE THE FORCE"},
		"blind-back":             {"CANNOT SEE THE FORCE", "open circuit", "the force is seen again", "press a to acknowledge"},
		"stop-holding":           {"STOP", "link bar was at 101 %", "release the pressure"},
		"paused":                 {"load held or falling"},
	}
	for name, words := range tests {
		for _, s := range sizes[:3] {
			frame := screen(states[name](), s.w, s.h, termenv.Ascii).View()
			for _, word := range words {
				if !strings.Contains(frame, word) {
					t.Errorf("%s at %d×%d does not say %q:\n%s", name, s.w, s.h, word, frame)
				}
			}
		}
	}
	for _, s := range sizes[1:3] { // lower, the words of the stop take all there is
		frame := strings.Join(strings.Fields(screen(states["stop-holding"](), s.w, s.h, termenv.Ascii).View()), " ")
		for _, word := range []string{"holding 4,496 lbf, 12 s of 60 s", "something other than the specimen may be giving: look at the link bar"} {
			if !strings.Contains(frame, word) {
				t.Errorf("stop-holding at %d×%d does not say %q:\n%s", s.w, s.h, word, frame)
			}
		}
	}
	small := map[string][]string{
		"holding": {"hold 4,496 lbf, 12 s of 60 s, lowest 4,406 lbf"},
		"giving":  {"something other than the specimen may be giving: look at the link bar"},
		"loading": {"5,989 lbf", "80 columns and 24 lines"},
		"stop":    {"STOP", "release the pressure", "link bar", "10,961", "80 columns"},
		"blind":   {"CANNOT SEE THE FORCE", "stop pumping"},

		"stop-closed":      {"STOP", "release the pressure", "then press a to acknowledge", "link bar", "ENDED"},
		"stop-and-caution": {"STOP", "link bar at 102 %", "CAUTION", "ram at 76 %"},
		"warning":          {"WARNING", "link bar"},
	}
	for name, words := range small {
		frame := screen(states[name](), 60, 18, termenv.Ascii).View()
		for _, word := range words {
			if !strings.Contains(strings.ReplaceAll(frame, "\n", " "), word) {
				t.Errorf("%s at 60×18 does not say %q:\n%s", name, word, frame)
			}
		}
	}
}

// TestHelp: every row of the screen is explained in whole sentences at every
// size that is laid out, the force and its nearest limit stay in sight, and an
// alarm stays above.
func TestHelp(t *testing.T) {
	for _, s := range sizes[:3] {
		for _, state := range []string{"loading", "warning", "many-limits", "broken-saved", "zero-refused"} {
			m, _ := press(screen(states[state](), s.w, s.h, termenv.Ascii), "?")
			frame := m.View()
			for _, word := range []string{
				"drag hand", "rail", "limit in", "no known limit", "pace", "zero", "record", "source", "chart", "keys",
				"unsafe edge of friction, area and share", "no safety device", "leave at once, which ends the pull",
			} {
				if !strings.Contains(strings.Join(strings.Fields(frame), " "), word) {
					t.Errorf("%s at %d×%d: does not explain %q:\n%s", state, s.w, s.h, word, frame)
				}
			}
			if state == "loading" && (!strings.Contains(frame, "link bar") || !strings.Contains(frame, "56 %")) {
				t.Errorf("%s at %d×%d: the nearest limit is out of sight:\n%s", state, s.w, s.h, frame)
			}
			if _, below, _ := strings.Cut(frame, "\n"); strings.Contains(below, "…") && state != "many-limits" {
				t.Errorf("%s at %d×%d: cut:\n%s", state, s.w, s.h, frame)
			}
		}
		m, _ := press(screen(states["warning"](), s.w, s.h, termenv.Ascii), "?")
		for _, word := range []string{"WARNING", "link bar at 91 %", "9,795"} {
			if !strings.Contains(m.View(), word) {
				t.Errorf("%d×%d: help hides %q:\n%s", s.w, s.h, word, m.View())
			}
		}
		m, _ = press(screen(states["stop"](), s.w, s.h, termenv.Ascii), "?")
		if !strings.Contains(m.View(), "press a to acknowledge") {
			t.Errorf("%d×%d: help hides a stop:\n%s", s.w, s.h, m.View())
		}
	}
}

// TestHelpNamesEveryKey: each key that does something now stands in the help with
// its words, and no other.
func TestHelpNamesEveryKey(t *testing.T) {
	for _, s := range sizes[:3] {
		for _, state := range []string{"loading", "warning", "zeroed", "broken-saved"} {
			m := withStory(state, s.w, s.h, told(3))
			m, _ = press(m, "?")
			_, row, ok := strings.Cut(strings.Join(strings.Fields(m.View()), " "), " keys ")
			if !ok {
				t.Fatalf("%s at %d×%d: no row of the keys:\n%s", state, s.w, s.h, m.View())
			}
			for _, b := range append(m.keys.ShortHelp(), m.keys.Abort, m.keys.Suspend) {
				words := b.Help().Key + " " + b.Help().Desc
				if strings.Contains(row, words) != b.Enabled() {
					t.Errorf("%s at %d×%d: %q is enabled %v; the row is %q", state, s.w, s.h, words, b.Enabled(), row)
				}
			}
		}
	}
}

// Goal: at most 1.5 ms for a whole frame at 120×40.
func BenchmarkView(b *testing.B) {
	for _, name := range []string{"loading", "warning", "stop", "broken-saved"} {
		m := screen(states[name](), 120, 40, termenv.TrueColor)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_ = m.View()
			}
		})
	}
}
