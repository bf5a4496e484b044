package tui

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/muesli/termenv"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// The words a first user missed or misread, each held by itself. Source of the
// wordings: design 8 (what the pull screen must answer).

// flat is a frame as one line of words.
func flat(f *fake, w, h int) string {
	return strings.Join(strings.Fields(screen(f, w, h, termenv.Ascii).View()), " ")
}

// lineOf is the line of a frame that has a word in it, "" where none has.
func lineOf(frame, word string) string {
	for _, l := range strings.Split(frame, "\n") {
		if strings.Contains(l, word) {
			return l
		}
	}
	return ""
}

// blindBy gives the blind alarm the engine itself raises for a fault under load:
// its words are the engine's, so the screen is held to what it really says.
func blindBy(t *testing.T, fault string) *fake {
	t.Helper()
	r := &rig.Rig{
		Name: "simulated test rig", Ram: rig.Ram{Area: 42 * si.SquareCM, RatedForce: 250 * si.Kilonewton, Role: rig.SensorRam},
		Sensor: rig.Sensor{
			Kind: rig.CurrentLoop, High: 700 * si.Bar, SigLow: 4e-3, SigHi: 20e-3,
			Shunt: 250, Bits: 12, Reference: 5, Divisor: 4096, Divider: 1,
		},
		Path:   rig.Path{Kind: rig.TwoSided, Share: 0.5},
		Limits: []rig.Limit{{Name: "link bar", Kind: rig.Rated, At: rig.AtSpecimen, Force: 48 * si.Kilonewton, Factor: 1}},
		Alarm:  rig.Alarm{Caution: 0.75, Warning: 0.90, Stop: 1},
	}
	e := pull.New(pull.Config{Kind: pull.Tension, Rig: r})
	rng := rand.New(rand.NewPCG(1, 2))
	at := time.Duration(0)
	step := func(n int, raw func(i int) float64) {
		for i := range n {
			e.Step(pull.Reading{T: at, Raw: math.Round(raw(i))})
			at += 5 * time.Millisecond
		}
	}
	noisy := func(v float64) float64 { return v + 2*rng.NormFloat64() }
	step(800, func(int) float64 { return noisy(819) })
	step(1000, func(i int) float64 { return noisy(819 + 0.6*float64(i)) })
	switch fault {
	case "stuck":
		step(300, func(int) float64 { return 1419 })
	case "open":
		step(300, func(int) float64 { return 0 })
	case "clipped":
		step(300, func(int) float64 { return 4095 })
	case "unplug":
		e.Step(pull.Reading{T: at, Mark: pull.Lost})
	}
	s := e.State()
	if len(s.Alarms) == 0 || !s.Alarms[0].Blind || s.Seen {
		t.Fatalf("%s: the engine is not blind: %+v", fault, s.Alarms)
	}
	f := blind()
	f.snap.State.Alarms[0] = s.Alarms[0]
	f.snap.State.Signal = s.Signal
	f.snap.State.Lead = 3 * time.Second // of before; a dead figure
	return f
}

var faults = []struct{ name, cause, source string }{
	{"stuck", "the reading stands still", "the reading stands still"},
	{"open", "open circuit", "signal open circuit"},
	{"clipped", "the sensor reads above its range", "signal above range"},
	{"unplug", "the source went away", "LOST"},
}

// TestBlindShowsNoDeadFigures: while the force is not seen no pace, no time to a
// limit and no load on a part is shown as if it were now.
func TestBlindShowsNoDeadFigures(t *testing.T) {
	for _, tt := range faults {
		for _, s := range sizes[:3] {
			f := blindBy(t, tt.name)
			f.snap.State.Alarms[0].Acked = true
			if tt.name == "unplug" {
				f.snap.Source.Status = "lost"
			}
			frame := screen(f, s.w, s.h, termenv.Ascii).View()
			if got := lineOf(frame, "  pace "); !strings.Contains(got, "–, force not seen") || strings.Contains(got, "lbf/s") {
				t.Errorf("%s at %d×%d: the pace is shown as live: %q", tt.name, s.w, s.h, got)
			}
			if strings.Contains(frame, "limit in") {
				t.Errorf("%s at %d×%d: a dead lead time is shown:\n%s", tt.name, s.w, s.h, frame)
			}
			if got := lineOf(frame, "  link bar "); strings.Contains(got, si.Force(f.snap.State.Limits[2].Load).In(si.US).Number()+" of") {
				t.Errorf("%s at %d×%d: a dead load is shown: %q", tt.name, s.w, s.h, got)
			}
			got := lineOf(frame, "  source ")
			if !strings.Contains(got, tt.source) || strings.Contains(got, "signal ok") || strings.Contains(got, "…") {
				t.Errorf("%s at %d×%d: the source says %q, want %q in it", tt.name, s.w, s.h, got, tt.source)
			}
		}
	}
}

// TestBlindSaysWhy: the cause stands right after the word, once, whole, on the
// banner and on the whole screen.
func TestBlindSaysWhy(t *testing.T) {
	for _, tt := range faults {
		for _, s := range sizes[:3] {
			f := blindBy(t, tt.name)
			frame := screen(f, s.w, s.h, termenv.Ascii).View()
			if !strings.Contains(frame, tt.cause) || strings.Contains(frame, "cannot see the force") || strings.Contains(frame, "…") {
				t.Errorf("%s at %d×%d: the stop screen does not say %q, or says it twice:\n%s", tt.name, s.w, s.h, tt.cause, frame)
			}
			f.snap.State.Alarms[0].Acked = true
			got := lineOf(screen(f, s.w, s.h, termenv.Ascii).View(), "■ CANNOT SEE THE FORCE")
			if !strings.Contains(got, "■ CANNOT SEE THE FORCE: "+tt.cause) || !strings.HasSuffix(strings.TrimSpace(got), "acknowledged") ||
				strings.Contains(got, "cannot see") || strings.Contains(got, "…") {
				t.Errorf("%s at %d×%d: the banner says %q", tt.name, s.w, s.h, got)
			}
		}
	}
}

// TestAlarmShowsTheLoadThatRaisedIt: an alarm of one reading, one that is over
// and one that the load has left say what it was, never the live load.
func TestAlarmShowsTheLoadThatRaisedIt(t *testing.T) {
	const load = 84076.0 // N: 18,901 lbf, 175 % of the link bar's 48 kN
	tests := []struct {
		name  string
		level pull.Level
		edit  func(*pull.Alarm)
		want  []string
		not   string
	}{
		{
			"one reading", pull.Stop, func(a *pull.Alarm) { a.Load, a.Single = load, true },
			[]string{"link bar was at 175 %: 18,901 of 10,791 lbf, one reading only"},
			"link bar at",
		},
		{
			"one reading, over", pull.Stop, func(a *pull.Alarm) { a.Load, a.Single, a.Returned = load, true, true },
			[]string{"link bar was at 175 %: 18,901 of 10,791 lbf, one reading only", "no longer"},
			"link bar at",
		},
		{
			"over", pull.Stop, func(a *pull.Alarm) { a.Load, a.Returned = load, true },
			[]string{"link bar was at 175 %: 18,901 of 10,791 lbf", "no longer"},
			"one reading",
		},
		{
			"left, not yet over", pull.Caution, func(a *pull.Alarm) { a.Load = 0.76 * fixtureLink },
			[]string{"△ CAUTION", "link bar was at 76 %"},
			"link bar at",
		},
		{
			"ahead, over", pull.Warning, func(a *pull.Alarm) { a.Ahead, a.Returned = true, true },
			[]string{"▲ WARNING", "link bar limit came near"},
			"limit soon",
		},
	}
	for _, tt := range tests {
		for _, s := range sizes[:3] {
			frame := flat(at(12, 20e3).raise(tt.level, tt.edit), s.w, s.h)
			for _, w := range tt.want {
				if !strings.Contains(frame, w) {
					t.Errorf("%s at %d×%d: does not say %q:\n%s", tt.name, s.w, s.h, w, frame)
				}
			}
			if strings.Contains(frame, tt.not) {
				t.Errorf("%s at %d×%d: says %q:\n%s", tt.name, s.w, s.h, tt.not, frame)
			}
		}
	}
}

// TestBreakIsNeverCovered: after the break a caution that is not yet over does
// not take the line of the outcome.
func TestBreakIsNeverCovered(t *testing.T) {
	for _, ahead := range []bool{false, true} {
		for _, s := range sizes[:3] {
			f := states["broken-provisional"]()
			f.raise(pull.Caution, func(a *pull.Alarm) { a.Load, a.Ahead = 0.77*fixtureLink, ahead })
			frame := screen(f, s.w, s.h, termenv.Ascii).View()
			got := lineOf(frame, "BROKE at")
			if s.h >= 36 && !strings.Contains(got, "s into the record") || !strings.Contains(got, "provisional") || strings.Contains(got, "…") {
				t.Errorf("%d×%d: the break is covered: %q\n%s", s.w, s.h, got, frame)
			}
			if strings.Contains(frame, "link bar at 0 %") || strings.Contains(frame, "limit soon") {
				t.Errorf("%d×%d: a stale alarm reads as live:\n%s", s.w, s.h, frame)
			}
		}
	}
}

// TestFallIsNoFinerThanTheReadings: the words of the report for the same fall.
func TestFallIsNoFinerThanTheReadings(t *testing.T) {
	tests := []struct {
		name     string // source: by hand, mean spacing T / readings
		fall     time.Duration
		readings int // in 40 s
		want     string
	}{
		{"4 ms at 5 ms a reading", 4 * time.Millisecond, 8000, "within 10 ms, two readings"},
		{"exactly two readings", 10 * time.Millisecond, 8000, "in 10 ms"},
		{"12 ms at 1 ms", 12 * time.Millisecond, 40000, "in 12 ms"},
		{"0.1 ms at 0.1 ms", 100 * time.Microsecond, 400000, "within 1 ms, two readings"},
		{"no reading counted", 4 * time.Millisecond, 0, "in 4 ms"},
	}
	for _, tt := range tests {
		s := pull.State{
			T: 40 * time.Second, Readings: tt.readings, Phase: pull.Broken, Outcome: pull.Broken,
			Break: &pull.Break{T: 39 * time.Second, Fall: tt.fall},
		}
		if got := outcomeText(&s, si.US); !strings.HasSuffix(got, ", "+tt.want) {
			t.Errorf("%s: %q, want %q at its end", tt.name, got, tt.want)
		}
	}
}

// TestNoZeroUnderLoad: z is answered in words whenever no zero can be taken,
// also beside an alarm.
func TestNoZeroUnderLoad(t *testing.T) {
	for _, state := range []string{"loading", "warning", "stop", "stop-acknowledged", "blind"} {
		for _, s := range sizes {
			f := states[state]()
			m, _ := press(screen(f, s.w, s.h, termenv.Ascii), "z")
			if frame := m.View(); !strings.Contains(frame, "no zero under load: release the pressure first") {
				t.Errorf("%s at %d×%d: z is answered with nothing:\n%s", state, s.w, s.h, frame)
			}
			if got := f.commands(); len(got) > 0 {
				t.Errorf("%s: z under load asks for %v", state, got)
			}
			f.snap.Now += 4 * time.Second
			if m = send(m, EdgeMsg{}); strings.Contains(m.View(), "no zero under load") {
				t.Errorf("%s: the answer stays", state)
			}
		}
	}
}

// TestStopIsTakenUpAgain: a stop that the engine tells anew because the load
// goes on rising takes the whole screen again, and so does another after it.
func TestStopIsTakenUpAgain(t *testing.T) {
	for _, s := range sizes[:3] {
		f := states["stop"]()
		m := screen(f, s.w, s.h, termenv.Ascii)
		whole := func() bool { return !strings.Contains(m.View(), "force on the specimen") }
		for i := range 3 {
			f.snap = at(36, 50e3+2.5e3*float64(i)).raise(pull.Stop, nil).snap
			if m = send(m, EdgeMsg{}); !whole() {
				t.Fatalf("%d×%d: stop %d does not take the screen:\n%s", s.w, s.h, i, m.View())
			}
			m, _ = press(m, "a")
			f.snap.State.Alarms[0].Acked = true
			if m = send(m, EdgeMsg{}); whole() {
				t.Fatalf("%d×%d: acknowledged, stop %d keeps the screen", s.w, s.h, i)
			}
		}
	}
}

// TestNotSavedSaysWhyFirst: of a failed record the cause and what to do come
// before the path, which is what may be cut.
func TestNotSavedSaysWhyFirst(t *testing.T) {
	const long = "/home/somebody/with a long name/draghand/pulls/2026-11-25T140322Z-M1-3"
	tests := []struct{ name, failed, want string }{
		{"write", `save to "` + long + `": write samples.csv: no space left on device`, "no space left on device"},
		{"sync", `save to "` + long + `": sync samples.csv: input/output error; what was written since the sync before is suspect`, "input/output error"},
		{"system call", `save to "` + long + `": write samples.csv: write ` + long + `/samples.csv: no space left on device`, "no space left on device"},
		{"no cause apart", `"` + long + `" takes no data and the memory for it is full: 12 lines are lost`, `"…/2026-11-25T140322Z-M1-3" takes no`},
	}
	for _, tt := range tests {
		for _, closed := range []bool{false, true} {
			for _, s := range sizes[:3] {
				f := states["loading"]()
				if closed {
					f = states["broken-saved"]()
					f.snap.Record.Saved, f.snap.Err = false, tt.failed
				}
				f.snap.Record.Failed = tt.failed
				frame := screen(f, s.w, s.h, termenv.Ascii).View()
				got := lineOf(frame, "  record ")
				if !strings.Contains(got, "NOT SAVED: "+tt.want) || !closed && !strings.Contains(got, "keep running") {
					t.Errorf("%s at %d×%d, closed %v: the record says %q", tt.name, s.w, s.h, closed, got)
				}
			}
		}
	}
	f := states["zeroed"]()
	f.snap.Err = tests[0].failed
	if got := lineOf(screen(f, 80, 24, termenv.Ascii).View(), "TROUBLE"); !strings.Contains(got, "no space left on device") {
		t.Errorf("the trouble is cut: %q", got)
	}
}

func TestNumbersOfOneAndNone(t *testing.T) {
	f := states["loading"]()
	f.snap.Record.Lines = 1
	f.snap.State.Gaps, f.snap.State.Faults = 1, 2
	frame := flat(f, 120, 40)
	for _, w := range []string{" 1 line ", " 1 gap ", " 2 faults "} {
		if !strings.Contains(frame, w) {
			t.Errorf("does not say %q:\n%s", w, frame)
		}
	}
	for _, r := range []float64{-0.001, -0.0049, math.Copysign(0, -1)} {
		if got := percent(r); got != "0 %" {
			t.Errorf("percent(%v) = %q", r, got)
		}
	}
}

// TestHelpOnTheDragHand: why it can lie below the force shown.
func TestHelpOnTheDragHand(t *testing.T) {
	for _, s := range sizes[:3] {
		m, _ := press(screen(states["loading"](), s.w, s.h, termenv.Ascii), "?")
		frame := strings.Join(strings.Fields(m.View()), " ")
		for _, w := range []string{"spike-proof", "one lone reading does not move it"} {
			if !strings.Contains(frame, w) {
				t.Errorf("%d×%d: help does not say %q:\n%s", s.w, s.h, w, m.View())
			}
		}
	}
}

// TestPeakMarkKeepsTheHeadings: wherever the drag hand is on the nearest rail,
// every heading above it can be read.
func TestPeakMarkKeepsTheHeadings(t *testing.T) {
	for _, s := range sizes[:3] {
		words := []string{"75", "90", "stop"}
		if s.w >= 120 {
			words = []string{"caution", "warning", "stop"}
		}
		shown := 0
		for ratio := 0.60; ratio < 1.12; ratio += 0.01 {
			f := states["loading"]()
			f.snap.State.Limits[2].PeakRatio = ratio
			got := lineOf(screen(f, s.w, s.h, termenv.Ascii).View(), "  limits ")
			shown += strings.Count(got, "▼")
			for _, w := range words {
				if !strings.Contains(got, w) {
					t.Errorf("%d×%d at %.3f: %q is rubbed out: %q", s.w, s.h, ratio, w, got)
				}
			}
		}
		if shown < 45 { // none where neither side has room, past the stop mark
			t.Errorf("%d×%d: the pointer is shown %d times of 52", s.w, s.h, shown)
		}
	}
}

// TestChartNamesEveryLevel: at every height of chart of the screens laid out, as
// the load comes near its limit and goes a little beyond, caution, warning and stop are
// in rows of their own, each with its name.
func TestChartNamesEveryLevel(t *testing.T) {
	for _, s := range sizes[:3] {
		for peak := 0.62; peak < 1.14; peak += 0.04 {
			for _, units := range []si.System{si.US, si.Metric} {
				f := at(36, fixtureLink*peak)
				m := screen(f, s.w, s.h, termenv.Ascii)
				m.units = units
				lines := strings.Split(m.View(), "\n")
				at := map[string]int{}
				for y := s.h / 2; y < len(lines); y++ {
					for _, name := range []string{" caution ", " warning ", " stop link bar "} {
						if strings.Contains(lines[y], name) {
							at[name] = y
						}
					}
				}
				if len(at) != 3 || at[" caution "] <= at[" warning "] || at[" warning "] <= at[" stop link bar "] {
					t.Errorf("%d×%d, peak at %.2f: the levels are in rows %v:\n%s", s.w, s.h, peak, at, m.View())
				}
			}
		}
	}
}
