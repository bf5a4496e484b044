package tui

import (
	"bytes"
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/calib"
	livecal "draghand/internal/calib/live"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

func calibrateFront(t *testing.T, a App) CalibrateScreen {
	t.Helper()
	m, ok := a.front.(CalibrateScreen)
	if !ok {
		t.Fatalf("%T in front", a.front)
	}
	return m
}

// What keys ask of the calibrator.
func TestCalibrateKeys(t *testing.T) {
	for _, c := range []struct {
		name string
		run  *fakeCalibrator
		keys []string
		want []string
		quit bool
	}{
		{"a digit begins the value", calibrating(2, 0).standing(14800, 1), []string{"1", "5", " ", "k", "N", "enter"}, []string{`take "15 kN"`}, false},
		{"so does a point", calibrating(2, 0).standing(14800, 1), []string{".", "5", "k", "N", "enter"}, []string{`take ".5kN"`}, false},
		{"enter opens it empty", calibrating(2, 0).standing(14800, 1), []string{"enter", "1", "5", " ", "k", "N", "enter"}, []string{`take "15 kN"`}, false},
		{"a number alone has the unit of the one before", calibrating(2, 0).standing(14800, 1), []string{"1", "5", " ", "k", "N", "enter", "2", "0", "enter"}, []string{`take "15 kN"`, `take "20 kN"`}, false},
		{"the first has none to take", calibrating(2, 0).standing(14800, 1), []string{"1", "5", "enter"}, []string{`take "15"`}, false},
		{"esc takes nothing", calibrating(2, 0).standing(14800, 1), []string{"1", "5", "q"}, nil, false},
		{"nothing typed is no point", calibrating(2, 0).standing(14800, 1), []string{"enter", "enter"}, nil, false},
		{"acknowledge", calibrating(5, 0).edit(func(v *livecal.View) { v.Alarms = []pull.Alarm{{Level: pull.Stop, Limit: "link bar"}} }), []string{"a"}, []string{"acknowledge"}, false},
		{"nothing to acknowledge", calibrating(5, 0), []string{"a"}, nil, false},
		{"zero", calibrating(0, 0), []string{"z"}, []string{"zero"}, false},
		{"save", calibrating(5, 0), []string{"s"}, []string{"save"}, false},
		{"saved once", calibrating(5, 0), []string{"s", "s"}, []string{"save"}, false},
		{"nothing to save", calibrating(2, 0), []string{"s"}, nil, false},
		{"drop is asked", calibrating(5, 0), []string{"d"}, nil, false},
		{"drop the last", calibrating(5, 0), []string{"d", "y"}, []string{"drop 4"}, false},
		{"drop another", calibrating(5, 0), []string{"up", "up", "d", "y"}, []string{"drop 2"}, false},
		{"not dropped", calibrating(5, 0), []string{"d", "n"}, nil, false},
		{"nothing to drop", calibrating(0, 0), []string{"d", "y"}, nil, false},
		{"leave with nothing", calibrating(0, 0), []string{"q"}, nil, true},
		{"leave with points is asked", calibrating(4, 0), []string{"q"}, nil, false},
		{"stay", calibrating(4, 0), []string{"q", "n"}, nil, false},
		{"leave all the same", calibrating(4, 0), []string{"q", "y"}, nil, true},
		{"at once", calibrating(4, 0), []string{"ctrl+c"}, nil, true},
		{"saved and let off", calibrating(4, 0).edit(func(v *livecal.View) { v.Live = 0 }), []string{"s", "q"}, []string{"save"}, true},
		{"saved and loaded is asked", calibrating(4, 0), []string{"s", "q"}, []string{"save"}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, quit := drive(t, calibrateOpen(c.run, 80, 24, termenv.Ascii), c.keys...)
			if got := c.run.calls(); !slices.Equal(got, c.want) || quit != c.quit {
				t.Errorf("asked for %q and left %v, want %q and %v", got, quit, c.want, c.quit)
			}
		})
	}
}

// A value that is refused stays in the line, and enter sends it again.
func TestCalibrateRefusedStays(t *testing.T) {
	c := calibrating(2, 0).standing(14800, 1)
	c.takeErr = errors.New("the reading no longer stands still")
	a, _ := drive(t, calibrateOpen(c, 80, 24, termenv.Ascii), "1", "5", " ", "k", "N", "enter")
	c.takeErr = nil
	drive(t, a, "enter")
	if got := c.calls(); !slices.Equal(got, []string{`take "15 kN"`, `take "15 kN"`}) {
		t.Errorf("asked for %q", got)
	}
}

// Why a value was refused is told until the reading stands or moves anew, and a note
// leaves the keys their line again after a while.
func TestCalibrateOldNews(t *testing.T) {
	c := calibrating(2, 0).standing(14800, 1)
	c.takeErr = errors.New("no point taken: point 2 is of this same standstill")
	a, _ := drive(t, calibrateOpen(c, 80, 24, termenv.Ascii), "1", "5", " ", "k", "N", "enter")
	tick := func() string {
		next, _ := a.Update(screenMsg{a.id, tickMsg{id: calibrateFront(t, a).tickID}})
		a = next.(App)
		return a.View()
	}
	if frame := tick(); !strings.Contains(frame, "NOT TAKEN  point 2 is of this same") {
		t.Errorf("does not say why:\n%s", frame)
	}
	c.edit(func(v *livecal.View) { v.Steady, v.Progress = nil, 0 })
	if frame := tick(); strings.Contains(frame, "NOT TAKEN") || !strings.Contains(frame, "15 kN") {
		t.Errorf("says so of another load, or lost the value:\n%s", frame)
	}
	c.takeErr = nil
	c.standing(19800, 1)
	a, _ = drive(t, a, "enter")
	if frame := tick(); !strings.Contains(frame, "taken: 15 kN") {
		t.Errorf("does not say that it is taken:\n%s", frame)
	}
	for range noteTime {
		tick()
	}
	if frame := a.View(); strings.Contains(frame, "taken: 15 kN") || !strings.Contains(frame, "? help") {
		t.Errorf("the note stays:\n%s", frame)
	}
}

// A reading that began to move just before enter: the screen still had it standing,
// and says why the value was refused all the same.
func TestCalibrateRefusedAtTheMove(t *testing.T) {
	c := calibrating(2, 0).standing(14800, 1)
	c.takeErr = errors.New("no point taken: the reading does not stand still: it rises")
	a, _ := drive(t, calibrateOpen(c, 80, 24, termenv.Ascii), "1", "5", " ", "k", "N")
	c.edit(func(v *livecal.View) { v.Steady, v.Progress = nil, 0 })
	a, _ = drive(t, a, "enter")
	if frame := a.View(); !strings.Contains(frame, "NOT TAKEN  the reading does not stand still") {
		t.Errorf("does not say why:\n%s", frame)
	}
	c.standing(14800, 1)
	next, _ := a.Update(screenMsg{a.id, tickMsg{id: calibrateFront(t, a).tickID}})
	if frame := next.(App).View(); strings.Contains(frame, "NOT TAKEN") || !strings.Contains(frame, "15 kN") {
		t.Errorf("says so of another load, or lost the value:\n%s", frame)
	}
}

// A value that is pasted is text and no keys.
func TestCalibratePaste(t *testing.T) {
	c := calibrating(4, 0).standing(24800, 1)
	a := calibrateOpen(c, 80, 24, termenv.Ascii)
	a, _ = drive(t, a, "enter")
	next, _ := a.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("25 kN"), Paste: true})
	drive(t, next.(App), "enter")
	if got := c.calls(); !slices.Equal(got, []string{`take "25 kN"`}) {
		t.Errorf("asked for %q", got)
	}
}

// A new point is the marked one; a dropped one leaves a mark that is there.
func TestCalibrateMark(t *testing.T) {
	c := calibrating(5, 0).standing(29800, 1)
	a := calibrateOpen(c, 80, 24, termenv.Ascii)
	a, _ = drive(t, a, "up", "up", "3", "0", " ", "k", "N", "enter")
	if m := calibrateFront(t, a); m.marked != 5 {
		t.Errorf("marked %d after a new point, want 5", m.marked)
	}
	a, _ = drive(t, a, "d", "y")
	if m := calibrateFront(t, a); m.marked != 4 {
		t.Errorf("marked %d after the last was dropped, want 4", m.marked)
	}
}

// The signal is lost under load: told as a stop, with the bell once a second; let
// off before it is lost, it is a trouble of the source alone.
func TestCalibrateLosesSight(t *testing.T) {
	lost := func(v *livecal.View) { v.Fault = "no reading for 2.1 s: look at the cable" }
	var rung bytes.Buffer
	c := calibrating(0, 0).standing(20e3, 0)
	m := newCalibrateScreen(c, newTheme(io.Discard, true), &rung)
	m.width, m.height = 80, 24
	c.edit(lost)
	at := time.Date(2026, 11, 25, 14, 0, 0, 0, time.UTC)
	for range 30 { // two seconds
		if ring := m.look(at); ring != nil {
			ring()
		}
		at = at.Add(benchTime)
	}
	if frame := m.View(); !strings.Contains(frame, "CANNOT SEE THE FORCE") || !strings.Contains(m.leaveQuestion(), "may be loaded") {
		t.Errorf("asks %q on\n%s", m.leaveQuestion(), frame)
	}
	if n := rung.Len(); n != 2 {
		t.Errorf("%d bells in two seconds, want 2", n)
	}
	next, _ := m.Update(keyMsg("a"))
	m = next.(CalibrateScreen)
	for range 30 {
		if ring := m.look(at); ring != nil {
			ring()
		}
		at = at.Add(benchTime)
	}
	if n := rung.Len(); n != 2 || m.keys.Ack.Enabled() {
		t.Errorf("%d bells once it is acknowledged, want 2", n)
	}

	c = calibrating(0, 0)
	m = newCalibrateScreen(c, newTheme(io.Discard, true), nil)
	m.width, m.height = 80, 24
	c.edit(lost)
	m.load()
	if frame := m.View(); strings.Contains(frame, "CANNOT SEE") || !strings.Contains(frame, "■ NO READING: no reading for 2.1 s") || m.leaveQuestion() != "" {
		t.Errorf("asks %q on\n%s", m.leaveQuestion(), frame)
	}
}

// An alarm stays until the load is below its level by 3 %, as in a pull.
func TestCalibrateAlarmHolds(t *testing.T) {
	c := calibrating(0, 0)
	m := newCalibrateScreen(c, newTheme(io.Discard, true), nil)
	stopAt := m.bounds[slices.IndexFunc(m.bounds, func(b rig.Bound) bool { return b.Limit.Name == "link bar" })].PressureAt(1)
	for _, s := range []struct {
		of   float64
		want string
	}{{0.70, ""}, {0.76, "CAUTION"}, {0.74, "CAUTION"}, {0.72, ""}, {0.91, "WARNING"}, {1.01, "STOP"}, {0.98, "STOP"}, {0.96, "WARNING"}, {0.5, ""}} {
		c.view.Live, c.view.Zero = stopAt*si.Pressure(s.of), 0
		m.load()
		texts, _ := m.alarm()
		if got := strings.Join(texts, " "); s.want == "" && got != "" || !strings.Contains(got, s.want) {
			t.Errorf("at %v: %q, want %q", s.of, got, s.want)
		}
	}
}

// A cell in the far side's place is held against the limits as a bar there is: the
// link may have taken the specimen's place, so a part of one side is held against the
// larger of both.
func TestCalibrateFar(t *testing.T) {
	c := calibrating(0, 0)
	c.view.Run.Far = true
	c.view.Rig = exampleRig()
	c.view.Rig.Path.Share = 0.45
	for i := range c.view.Rig.Limits {
		if l := &c.view.Rig.Limits[i]; l.Name == "link bar" {
			l.At = rig.AtSpecimen
		}
	}
	c.view.Live = 150e5
	m := newCalibrateScreen(c, newTheme(io.Discard, true), nil)
	// By hand: 150 bar on (42.0 + 0.2) cm² × 1.02 × (0.55 + its limit of error) of 48 kN;
	// on the specimen's own side it would be 0.45.
	tol := c.view.Rig.Path.ShareTol
	want := 150e5 * 42.2e-4 * 1.02 * (0.55 + tol) / 48e3
	if got := m.limit.Ratio; math.Abs(got-want) > 1e-9 || m.limit.Name != "link bar" {
		t.Errorf("%s at %v of its limit, want link bar at %v", m.limit.Name, got, want)
	}
	if at, _ := m.stopAt(); !strings.Contains(at, "on the far side") {
		t.Errorf("%q", at)
	}
}

// The next step by how far the run is.
func TestCalibrateNext(t *testing.T) {
	for _, c := range []struct {
		run  *fakeCalibrator
		want string
	}{
		{calibrating(0, 0), "first value"},
		{calibrating(0, 0).standing(5e3, 0.4), "first value"}, // between two strokes
		{calibrating(0, 0).standing(5e3, 0.5), "hold it"},
		{calibrating(0, 0).standing(5e3, 1), "type what the reference shows"},
		{calibrating(0, 0).edit(func(v *livecal.View) { v.Progress = 1 }), "first value"},
		{calibrating(2, 0), "2 rising points of at least 3"},
		{calibrating(3, 0), "3 rising points so far, 5 are better"},
		{calibrating(8, 0), "take falling points"},
		{calibrating(8, 0).standing(44e3, 0), "press NO FURTHER: link bar"},
		{calibrating(8, 0).standing(44e3, 1), "type what the reference shows"},
		{calibrating(8, 0).standing(44e3, 1).edit(func(v *livecal.View) { v.Taken = true }), "press NO FURTHER: link bar"},
		{calibrating(8, 3).edit(func(v *livecal.View) { v.Live, v.Progress = 0, 0.5 }), "leave it alone"},
		{calibrating(8, 3).edit(func(v *livecal.View) { z := 825.0; v.Live, v.Progress, v.Run.ZeroAfter = 0, 1, &z }), "s saves, or press up again"},
		{calibrating(8, 3).edit(func(v *livecal.View) { v.Live, v.Saved = 0, "a.json" }), "at last to no load"},
		{calibrating(8, 3).edit(func(v *livecal.View) { v.Saved = "a.json" }), "saved, without a zero after"},
		{calibrating(8, 3).edit(func(v *livecal.View) { z := 825.0; v.Saved, v.Run.ZeroAfter = "a.json", &z }), "s saves again, with it"},
		{calibrating(8, 3), "let it fall to the next value"},
		{calibrating(3, 0).edit(func(v *livecal.View) { p := v.Run.Points[2]; v.Steady, v.Progress, v.Taken = &p, 1, true }), "3 rising points so far"},
		{calibrating(8, 0).edit(func(v *livecal.View) { v.Signal = rig.Open }), "let the pressure down"},
	} {
		m := newCalibrateScreen(c.run, newTheme(io.Discard, true), nil)
		if got := m.next(); !strings.Contains(got, c.want) {
			t.Errorf("next %q, want %q", got, c.want)
		}
	}
}

// Falling points far off are left off the scale until they are asked for, and the
// plot says so.
func TestCalibratePlotScale(t *testing.T) {
	c := calibrating(8, 7)
	m := newCalibrateScreen(c, newTheme(io.Discard, true), nil)
	top, clipped := m.plotTop(2.4)
	if !clipped || top > 60 {
		t.Errorf("reaches %v N, clipped %v; the rising points scatter by 31 N and the falling ones lie up to 670 N off", top, clipped)
	}
	m.falling = true
	if top, clipped = m.plotTop(2.4); clipped || top < 500 {
		t.Errorf("asked for, it reaches %v N, clipped %v", top, clipped)
	}
	// A line without any scatter, and an answer of fewer residuals than points, are drawn.
	for i := range c.view.Answer.Residuals {
		c.view.Answer.Residuals[i].Residual = 0
	}
	c.view.Answer.Calibration.Line.SD = 0
	c.view.Run.Points = append(c.view.Run.Points, calib.Point{Reference: 41e3})
	m.load()
	m.width, m.height = 120, 40
	checkAnyFrame(t, "no scatter", m.View(), 120, 40)
}

// What a run truly says is drawn: its claim, its bad point by name, its friction.
func TestCalibrateReckoned(t *testing.T) {
	c := calibrating(8, 7)
	c.view.Run.Made = time.Date(2026, 11, 25, 14, 0, 0, 0, time.UTC)
	c.view.Run.Points[3].Reference += 900
	a, err := calib.Reckon(c.view.Run, calib.Options{Simulated: true})
	if err != nil {
		t.Fatal(err)
	}
	c.view.Answer = &a
	m := newCalibrateScreen(c, newTheme(io.Discard, true), nil)
	m.width, m.height = 200, 60
	frame := strings.Join(strings.Fields(m.View()), " ")
	for _, word := range append([]string{"! point 4 says", "4!▲ rising", "% of the force", "simulated: no rig was held against anything"}, a.Claims[0][:30]) {
		if !strings.Contains(frame, word) {
			t.Errorf("does not say %q:\n%s", word, m.View())
		}
	}
}
