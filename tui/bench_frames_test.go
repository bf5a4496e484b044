package tui

import (
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/exp/golden"
	"github.com/muesli/termenv"
)

// profiles are the colours of golden frames, by the end of their names.
var profiles = map[string]termenv.Profile{"": termenv.Ascii, "-16": termenv.ANSI, "-colour": termenv.TrueColor}

// sittingFrames are the golden frames of one screen of a sitting: every state at
// every size without colour, in 16 colours and in true colour.
func sittingFrames(
	states map[string]func(*testing.T) (*fakeDesk, []string),
	open func(d *fakeDesk, w, h int, p termenv.Profile) App,
) map[string]func(*testing.T) string {
	out := map[string]func(*testing.T) string{}
	for name, make := range states {
		for end, profile := range profiles {
			for _, s := range sizes {
				out[goldenName(name, s.w, s.h)+end] = func(t *testing.T) string {
					d, keys := make(t)
					a, _ := drive(t, open(d, s.w, s.h, profile), keys...)
					return a.View()
				}
			}
		}
	}
	return out
}

func benchOpen(d *fakeDesk, w, h int, p termenv.Profile) App { return app(d, w, h, p) }

func TestBenchFrame(t *testing.T) {
	for name, frame := range sittingFrames(benchStates, benchOpen) {
		t.Run(name, func(t *testing.T) { golden.RequireEqual(t, frame(t)) })
	}
}

func TestAfterFrame(t *testing.T) {
	for name, frame := range sittingFrames(afterStates, afterApp) {
		t.Run(name, func(t *testing.T) { golden.RequireEqual(t, frame(t)) })
	}
}

// TestSittingFits is TestFrameFits for the bench and for what comes after a pull,
// at every size and around the least one laid out for.
func TestSittingFits(t *testing.T) {
	drawnAlone(t)
	for _, screen := range []struct {
		states map[string]func(*testing.T) (*fakeDesk, []string)
		open   func(*fakeDesk, int, int, termenv.Profile) App
	}{{benchStates, benchOpen}, {afterStates, afterApp}} {
		for name, make := range screen.states {
			d, keys := make(t)
			a, _ := drive(t, screen.open(d, 120, 40, termenv.ANSI256), keys...)
			for w := 20; w <= 200; w += sweep {
				for h := 5; h <= 60; h += 7 {
					checkApp(t, name, tell(a, tea.WindowSizeMsg{Width: w, Height: h}))
				}
			}
			for _, w := range []int{0, 1, 2, 3, 10, 79, 80, 81, 111, 112, 150} {
				for _, h := range []int{0, 1, 2, 4, 23, 24, 25, 29, 30, 33, 34, 52} {
					checkApp(t, name, tell(a, tea.WindowSizeMsg{Width: w, Height: h}))
				}
			}
		}
	}
}

func checkApp(t *testing.T, name string, a App) {
	t.Helper()
	checkText(t, name, a.View(), a.width, a.height)
}

// TestBenchSays holds the words a person must find on the bench at every size
// that is laid out. Source: design 8 and issue 4.
func TestBenchSays(t *testing.T) {
	says(t, benchStates, benchOpen, map[string][]string{
		"empty":          {"no specimen named yet", "rig.toml; draghand rig new", "tension", "p lists what is plugged in", "cannot be armed yet:", "no rig is chosen: press r", "and 1 more"},
		"opening":        {"opening", "cannot be armed yet"},
		"failed":         {"FAILED: cannot open /dev/ttyACM0: no such device", "Plug the board in"},
		"points-missing": {"points seen to: 3 of 11", "seen", "to see", "fittings and hoses looked over", "a case for the hospital at once", "o arms all the same"},
		"no-zero-yet":    {"not yet: watched for 1.4 of 2 s, scatter ± 0.29 psi", "no zero is taken"},
		"zero-refused":   {"REFUSED: the readings lie -14.7 bar", "take all load off the rig"},
		"ready":          {"READY: a arms the pull", "bar M1-3", "melt M1", "C90500", "0.4921 in", "1,000 readings/s", "newest", "taken when quiet", "gauge pressure", "force on the specimen", "a arm", "z ", "? help", "q leave", "no known limit: pins"},
		"ready-rig":      {"no known limit: pins", "link bar up to 10,791 lbf on each side", "transducer up to 10,153 psi at the gauge"},
		"fault":          {"12,5", `"12,5" has no unit`, `"12.5 mm"`, "enter keep", "esc as it was"},
		"overrule":       {"in the way: a part has no known limit: pins, and 1 more", "arm all the same: why?", "kept in the record", "old pins"},
		"overrule-short": {"a reason needs at least 3 letters"},
		"not-armed":      {"NOT ARMED", "no space left on device"},
		"loaded":         {"LOAD ON THE RIG: nothing is recorded yet", "release the pressure"},
		"loaded-stop":    {"■ STOP", "release the pressure", "link bar at 102 %", "LOAD ON THE RIG"},
		"past-a-stop":    {"link bar comes to its stop first, at 6,551 lbf", "turn it thinner (see the plan), or let it off before", "o arms all the same"},
		"table-caution":  {"by the table of alloys link bar may come", "10,481 lbf on the specimen", "READY"},
		"cannot-see":     {"signal open circuit", "512 readings outside the sensor's bands, 3 bad lines"},
		"many-limits":    {"no known limit: pins", "no known limit: press frame", "no known limit: lower plate", "nearest"},
		"crush":          {"crush", "force on the block"},
		"proof":          {"force to hold", "4,496 lbf", "60 s"},
		"ports":          {"where readings may come from", "▸ serial:/dev/ttyUSB0", "enter take it"},
		"help":           {"help: the bench", "arm the pull", "take a new zero", "leave at once"},
	})
}

func TestAfterSays(t *testing.T) {
	says(t, afterStates, afterApp, map[string][]string{
		"closing":         {"closing the pull and its record"},
		"broken":          {"Broken", "strength ± 1.5 ksi (95 %)", "drag hand", "ksi", "2026-11-25T140322Z-M1-3", "in /home/somebody/draghand/pulls", "simulated", "n next bar: M1-4", "m remark", "v look again", "? help", "q leave"},
		"let-off":         {"Let off", "ksi or more", "borne: no break was seen", "armed all the same: the pins held twice"},
		"ended-loaded":    {"THE RIG MAY STILL BE LOADED: release the pressure", "plug the board in", "Ended under load"},
		"stop-after":      {"■ STOP", "release the pressure", "link bar at 102 %", "LOAD ON THE RIG: release the pressure"},
		"failed-save":     {"no space left on device", "note the peak by hand"},
		"saved-elsewhere": {"saved in /home/somebody/2026-11-25T140322Z-M1-3 instead: no space left on device", "v look again"},
		"nowhere":         {"no record was kept of this pull"},
		"many-remarks":    {"a pore of about 1 mm"},
		"remark-typed":    {"your remark, kept in the record:", "broke at the fillet", "enter keep the remark"},
		"remark-not-kept": {"NOT KEPT", "permission denied", "pore"},
		"bars":            {"bars of melt M1", "M1-1", "43.8 ksi", "at least 38.1 ksi", "M1-2b"},
		"proof":           {"held", "Let off"},
		"crush":           {"on the block at the peak"},
		"help":            {"help: after the pull", "next bar: M1-4", "release the pressure"},
	})
	// A record that failed is told first.
	d, _ := afterStates["failed-save"](t)
	for _, s := range sizes {
		frame := afterApp(d, s.w, s.h, termenv.Ascii).View()
		if failed, out := strings.Index(frame, "no space left"), strings.Index(frame, "Broken"); failed < 0 || failed > out {
			t.Errorf("%d×%d: the failed save does not stand before how it came out:\n%s", s.w, s.h, frame)
		}
	}
	if d, _ := afterStates["bars"](t); strings.Contains(afterApp(d, 120, 40, termenv.Ascii).View(), "M2-1") {
		t.Error("a bar of another melt stands among this one's")
	}
}

func says(
	t *testing.T, states map[string]func(*testing.T) (*fakeDesk, []string),
	open func(*fakeDesk, int, int, termenv.Profile) App, words map[string][]string,
) {
	t.Helper()
	for name, words := range words {
		for _, s := range sizes[:3] {
			d, keys := states[name](t)
			a, _ := drive(t, open(d, s.w, s.h, termenv.Ascii), keys...)
			frame := a.View()
			for _, word := range words {
				if !strings.Contains(frame, word) && !strings.Contains(strings.Join(strings.Fields(frame), " "), word) {
					t.Errorf("%s at %d×%d does not say %q:\n%s", name, s.w, s.h, word, frame)
				}
			}
		}
	}
}

// TestSmallBench: on a terminal too small for the bench, sentences say what is
// urgent and what keys are about.
func TestSmallBench(t *testing.T) {
	for name, words := range map[string][]string{
		"empty":          {"no fresh reading", "cannot be armed yet: no rig is chosen", "and 3 more", "80 columns and 24 lines"},
		"failed":         {"source failed: cannot open"},
		"ready":          {"gauge 0 psi", "force 10 lbf", "zero: taken when quiet", "ready: a arms the pull", "▸ rig file: example"},
		"ready-rig":      {"no known limit: pins"},
		"points-missing": {"▸ to see: nobody reaches in"},
		"fault":          {"diameters: 12,5▏"},
		"ports":          {"▸ serial:/dev/ttyUSB0"},
		"overrule":       {"why? old pins"},
		"not-armed":      {"NOT ARMED"},
		"loaded-stop":    {"■ STOP", "release the pressure", "LOAD ON THE RIG: nothing is recorded"},
	} {
		d, keys := benchStates[name](t)
		a, _ := drive(t, app(d, 60, 18, termenv.Ascii), keys...)
		frame := strings.Join(strings.Fields(a.View()), " ")
		for _, word := range words {
			if !strings.Contains(frame, word) {
				t.Errorf("%s at 60×18 does not say %q:\n%s", name, word, a.View())
			}
		}
	}
}

// BenchmarkBenchView: goal as for the pull screen, at most 1.5 ms at 120×40.
func BenchmarkBenchView(b *testing.B) {
	a := app(readyDesk(), 120, 40, termenv.TrueColor)
	b.ReportAllocs()
	for b.Loop() {
		_ = a.View()
	}
}
