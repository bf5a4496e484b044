package tui

import (
	"io"
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"

	"draghand/internal/calib"
	livecal "draghand/internal/calib/live"
	"draghand/internal/pull"
	"draghand/internal/si"
)

// What a calibration says of a stop: no toast over the key, nothing that invites, the
// stop that was passed, and a key to acknowledge in whatever is being done.
func TestCalibrateStopComes(t *testing.T) {
	c := calibrating(2, 0).standing(14800, 1)
	a, _ := drive(t, calibrateOpen(c, 120, 40, termenv.Ascii), "1", "5", " ", "k", "N", "enter")
	if frame := a.View(); !strings.Contains(frame, "taken: 15 kN") || !strings.Contains(frame, "the first stop comes at") {
		t.Fatalf("no toast to clear:\n%s", frame)
	}
	tick := func() string {
		next, _ := a.Update(screenMsg{a.id, tickMsg{id: calibrateFront(t, a).tickID}})
		a = next.(App)
		return strings.Join(strings.Fields(a.View()), " ")
	}
	c.standing(47.9e3, 1).edit(func(v *livecal.View) { v.Taken = false })
	frame := tick()
	for _, want := range []string{"■ STOP", "a acknowledge", "the first stop was passed", "next press NO FURTHER", "no point now"} {
		if !strings.Contains(frame, want) {
			t.Errorf("does not say %q:\n%s", want, a.View())
		}
	}
	for _, wrong := range []string{"taken: 15 kN", "type its value here", "the first stop comes"} {
		if strings.Contains(frame, wrong) {
			t.Errorf("still says %q:\n%s", wrong, a.View())
		}
	}
}

// While a value is typed an alarm is acknowledged by ctrl+a, and by enter on an empty
// line; what is typed stays.
func TestCalibrateAcknowledgeTyping(t *testing.T) {
	for _, keys := range [][]string{{"1", "ctrl+a"}, {"enter", "enter"}} {
		c := calibrating(8, 0).standing(47.9e3, 1)
		a := calibrateOpen(c, 80, 24, termenv.Ascii)
		a, _ = drive(t, a, keys[0])
		if frame := a.View(); !strings.Contains(frame, "ctrl+a acknowledge") {
			t.Errorf("no key to acknowledge while typing:\n%s", frame)
		}
		msg := keyMsg(keys[1])
		if keys[1] == "ctrl+a" {
			msg = tea.KeyMsg{Type: tea.KeyCtrlA}
		}
		next, _ := a.Update(msg)
		a = next.(App)
		if got := c.calls(); !slices.Equal(got, []string{"acknowledge"}) {
			t.Errorf("%q asked for %q", keys, got)
		}
		m := calibrateFront(t, a)
		if m.urgent() || keys[0] == "1" && (m.mode != valuing || m.edit.text() != "1") {
			t.Errorf("%q: urgent %v, mode %v, typed %q", keys, m.urgent(), m.mode, m.edit.text())
		}
	}
}

// Nothing on the screen moves when an alarm comes, or when the reading grows a digit.
func TestCalibrateStaysPut(t *testing.T) {
	places := func(c *fakeCalibrator, w, h int) map[string]string {
		m := newCalibrateScreen(c, newTheme(io.Discard, true), nil)
		m.width, m.height = w, h
		out := map[string]string{}
		for y, l := range strings.Split(ansi.Strip(m.View()), "\n") {
			for _, word := range []string{"stands", "reference ", "next", "8 points", "less line, lbf", " psi  ", " gauge"} {
				if _, had := out[word]; !had && strings.Contains(l, word) {
					out[word] = strings.Join([]string{string(rune('A' + y)), string(rune('A' + len([]rune(l[:strings.Index(l, word)]))))}, "")
				}
			}
		}
		return out
	}
	for _, s := range sizes[:3] {
		quiet := places(calibrating(8, 0).standing(5000, 0), s.w, s.h)
		for _, force := range []float64{200, 36.8e3, 44e3, 47.9e3} {
			got := places(calibrating(8, 0).standing(si.Force(force), 0), s.w, s.h)
			for word, at := range quiet {
				if got[word] != at {
					t.Errorf("%d×%d at %v N: %q at %q, was at %q", s.w, s.h, force, word, got[word], at)
				}
			}
		}
	}
}

// An alarm that came while a point is asked about takes the question away.
func TestCalibrateAlarmOverQuestion(t *testing.T) {
	c := calibrating(5, 0)
	m := newCalibrateScreen(c, newTheme(io.Discard, true), nil)
	m.mode = dropping
	c.edit(func(v *livecal.View) {
		v.Alarms = []pull.Alarm{{Level: pull.Stop, Limit: "link bar"}}
		v.Going = calib.Rising
	})
	m.load()
	if m.mode != taking {
		t.Errorf("mode %v, still asking", m.mode)
	}
}
