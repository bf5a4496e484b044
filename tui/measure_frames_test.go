package tui

import (
	"errors"
	"strings"
	"testing"

	"github.com/charmbracelet/x/exp/golden"
	"github.com/muesli/termenv"

	"draghand/internal/finish"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// fakeMeasuring is the form of a record that stands nowhere.
type fakeMeasuring struct {
	head    record.Head
	form    finish.Form
	changed bool
	saved   int
	err     error
}

func newFakeMeasuring(change func(h *record.Head)) *fakeMeasuring {
	bar := at(43, 38e3).snap.Specimen
	bar.GaugeLength = 50 * si.Millimetre
	m := &fakeMeasuring{head: record.Head{Kind: pull.Tension, Specimen: bar, Rig: exampleRig()}}
	if change != nil {
		change(&m.head)
	}
	m.form = finish.NewForm(m.head, si.US, specimen.Alloys())
	return m
}

func (m *fakeMeasuring) Name() string           { return "2026-11-25T140322Z-M1-3" }
func (m *fakeMeasuring) Bar() specimen.Specimen { return m.head.Specimen }
func (m *fakeMeasuring) Fields() []finish.Field { return m.form.Fields() }
func (m *fakeMeasuring) Changed() bool          { return m.changed }
func (m *fakeMeasuring) Missing() []string      { return m.form.Missing() }
func (m *fakeMeasuring) Set(id finish.FieldID, text string) error {
	m.changed = true
	return m.form.Set(id, text)
}

func (m *fakeMeasuring) Kept() string { return "kept: 43.9 ksi; pass at the minimum of 40.0 ksi" }

func (m *fakeMeasuring) Save() error {
	m.saved++
	return m.err
}

// measureDesk is the desk after a pull whose bar can be measured.
func measureDesk(change func(h *record.Head)) *fakeDesk {
	d := endedDesk(pull.Tension, pull.Broken)
	d.measuring = newFakeMeasuring(change)
	return d
}

// text are the keys that write a text.
func text(s string) (out []string) {
	for _, r := range s {
		out = append(out, string(r))
	}
	return out
}

// keys puts runs of keys together.
func keys(runs ...[]string) (out []string) {
	for _, r := range runs {
		out = append(out, r...)
	}
	return out
}

// written are the keys that write the first lines of the form.
func written() []string {
	return keys([]string{"enter"}, text("0.389 in"), []string{"enter", "enter"}, text("2.312 in"), []string{"enter", "right", "down", "enter"}, text("flat, coarse"), []string{"enter"})
}

// measureStates are the moments of measuring that every size of screen is held
// against. All are simulated.
var measureStates = map[string]func(t *testing.T) (*fakeDesk, []string){
	"empty": func(*testing.T) (*fakeDesk, []string) { return measureDesk(nil), nil },
	"writing": func(*testing.T) (*fakeDesk, []string) {
		return measureDesk(nil), keys([]string{"enter"}, text("0.389 in"))
	},
	"written": func(*testing.T) (*fakeDesk, []string) { return measureDesk(nil), written() },
	"too-thick": func(*testing.T) (*fakeDesk, []string) {
		return measureDesk(nil), keys([]string{"enter"}, text("0.501 in"), []string{"enter", "s"})
	},
	"all": func(*testing.T) (*fakeDesk, []string) {
		return measureDesk(nil), keys(written(), []string{"enter"}, text("none"), []string{"enter", "enter"}, text("5200 psi ± 50 psi"), []string{"enter", "enter"}, text("40 ksi from the drawing"), []string{"enter", "enter"}, text("break-1.jpg"), []string{"enter"})
	},
	"no-marks": func(*testing.T) (*fakeDesk, []string) {
		return measureDesk(func(h *record.Head) { h.Specimen.GaugeLength = 0 }), nil
	},
	"crush": func(*testing.T) (*fakeDesk, []string) {
		return measureDesk(func(h *record.Head) { h.Kind = pull.Crush }), nil
	},
	"not-kept": func(*testing.T) (*fakeDesk, []string) {
		d := measureDesk(nil)
		d.measuring.err = errors.New(`write "/home/somebody/draghand/pulls/2026-11-25T140322Z-M1-3/pull.json": no space left on device`)
		return d, append(written(), "s")
	},
	"leaving": func(*testing.T) (*fakeDesk, []string) { return measureDesk(nil), append(written(), "b") },
	"loaded": func(*testing.T) (*fakeDesk, []string) {
		d := measureDesk(nil)
		d.view.Look = states["stop"]().snap
		return d, nil
	},
	"hostile": func(*testing.T) (*fakeDesk, []string) {
		bad := "\x1b[2J\x1b]0;gone\a炉の三番目の溶湯👩‍🔧é\u202e" + strings.Repeat("long ", 40) + "\r\n\t\x00"
		return measureDesk(func(h *record.Head) { h.Specimen.ID, h.Specimen.Melt, h.Specimen.Alloy = bad, bad, bad }), keys([]string{"enter"}, text(bad), []string{"enter"})
	},
	"help": func(*testing.T) (*fakeDesk, []string) { return measureDesk(nil), []string{"?"} },
}

// measureOpen is the screen as it is reached from After.
func measureOpen(d *fakeDesk, w, h int, p termenv.Profile) App {
	a, _ := app(d, w, h, p).told(openAfter{})
	a.front = loadedAfter(a.front, d)
	a, _ = a.told(openMeasure{d.measuring})
	return a
}

func loadedAfter(m any, d *fakeDesk) AfterScreen {
	s := m.(AfterScreen)
	s.ended = d.ended
	return s
}

func TestMeasureFrame(t *testing.T) {
	for name, frame := range sittingFrames(measureStates, measureOpen) {
		t.Run(name, func(t *testing.T) { golden.RequireEqual(t, frame(t)) })
	}
}

// No line is wider than the terminal, no frame higher, and nothing but the theme's
// own escape sequences comes out, at any size.
func TestMeasureFits(t *testing.T) {
	for name, of := range measureStates {
		d, keys := of(t)
		a, _ := drive(t, measureOpen(d, 80, 24, termenv.ANSI256), keys...)
		for _, w := range []int{0, 1, 2, 3, 10, 20, 59, 79, 80, 81, 100, 109, 110, 120, 200} {
			for _, h := range []int{0, 1, 2, 4, 17, 23, 24, 25, 36, 60} {
				m, ok := a.front.(MeasureScreen)
				if !ok {
					t.Fatalf("%s: %T in front", name, a.front)
				}
				m.width, m.height = w, h
				checkAnyFrame(t, name, m.View(), w, h)
			}
		}
	}
}

// What is written is kept by s and leads back to After; what cannot be used is not
// kept, and the marked line is the one with the fault.
func TestMeasureKeeps(t *testing.T) {
	d := measureDesk(nil)
	a, _ := drive(t, measureOpen(d, 120, 40, termenv.Ascii), append(written(), "s")...)
	if d.measuring.saved != 1 {
		t.Fatalf("saved %d times", d.measuring.saved)
	}
	if _, ok := a.front.(AfterScreen); !ok {
		t.Errorf("%T in front, want After", a.front)
	}
	f, err := d.measuring.form.Finished()
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Diameters) != 1 || f.Where != specimen.MidGauge || len(f.Looks) != 2 {
		t.Errorf("written: %+v", f)
	}

	d = measureDesk(nil)
	a, _ = drive(t, measureOpen(d, 120, 40, termenv.Ascii), keys([]string{"enter"}, text("0.501 in"), []string{"enter", "down", "s"})...)
	m, ok := a.front.(MeasureScreen)
	if !ok || d.measuring.saved != 0 {
		t.Fatalf("%T in front, saved %d times: a faulty line must not be kept", a.front, d.measuring.saved)
	}
	if f := m.field(); f == nil || f.Fault == "" {
		t.Errorf("the marked line is %+v, want the faulty one", f)
	}
}

// A figure opens the marked line with itself, in the place of what stood there; what
// opens nothing is told.
func TestMeasureTakesAFigureAtOnce(t *testing.T) {
	d := measureDesk(nil)
	a, _ := drive(t, measureOpen(d, 120, 40, termenv.Ascii), text(".389 in")...)
	m := a.front.(MeasureScreen)
	if m.mode != writing || m.edit.text() != ".389 in" {
		t.Fatalf("mode %d, %q", m.mode, m.edit.text())
	}
	a, _ = drive(t, a, "enter", "up")
	if m = a.front.(MeasureScreen); m.field().Text != ".389 in" {
		t.Fatalf("%+v", m.field())
	}
	a, _ = drive(t, a, "0")
	if m = a.front.(MeasureScreen); m.edit.text() != "0" {
		t.Errorf("over what stood there: %q", m.edit.text())
	}
	a, _ = drive(t, a, "esc", "x")
	if m = a.front.(MeasureScreen); m.field().Text != ".389 in" || !strings.Contains(m.View(), "not written: enter writes in the marked line") {
		t.Errorf("%+v:\n%s", m.field(), m.View())
	}
	for len(m.field().Choices) == 0 {
		a, _ = drive(t, a, "down")
		m = a.front.(MeasureScreen)
	}
	a, _ = drive(t, a, "7")
	if m = a.front.(MeasureScreen); m.mode != measuring || m.note == "" {
		t.Errorf("%s is one of a few words: mode %d, %q", m.field().Label, m.mode, m.note)
	}
}

// Going back with something written is asked about, and nothing is kept.
func TestMeasureAsksBeforeDropping(t *testing.T) {
	d := measureDesk(nil)
	a, _ := drive(t, measureOpen(d, 120, 40, termenv.Ascii), append(written(), "b")...)
	if m, ok := a.front.(MeasureScreen); !ok || m.mode != measureLeaving {
		t.Fatalf("%T in front, want the question", a.front)
	}
	stays, _ := drive(t, a, "n")
	if _, ok := stays.front.(MeasureScreen); !ok {
		t.Errorf("after n %T in front", stays.front)
	}
	goes, _ := drive(t, a, "y")
	if _, ok := goes.front.(AfterScreen); !ok || d.measuring.saved != 0 {
		t.Errorf("after y %T in front, saved %d times", goes.front, d.measuring.saved)
	}
}
