package tui

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"draghand/internal/pull"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/trace"
)

// overlayDesk is a shelfDesk with traces, by folder.
type overlayDesk struct {
	shelfDesk
	traces map[string]*trace.Trace
	errs   map[string]error
	read   []string
	proofs map[string]*trace.Trace // of readings that are not as they were written
	proved []string
}

func (d *overlayDesk) Prove(ctx context.Context, dir string) (*trace.Trace, error) {
	d.proved = append(d.proved, dir)
	if t := d.proofs[dir]; t != nil {
		return t, ctx.Err()
	}
	return d.traces[dir], ctx.Err()
}

func (d *overlayDesk) Trace(dir string) (*trace.Trace, error) {
	d.read = append(d.read, dir)
	return d.traces[dir], d.errs[dir]
}

// madeTrace is the trace of a made-up, simulated pull: strokes of a pump up to a break
// at the entry's peak; no metal was pulled. slow is how many times as long it takes as
// the quickest.
func madeTrace(e *shelf.Entry, slow float64) *trace.Trace {
	const width = 20 * time.Millisecond
	rise := time.Duration(slow * 12 * float64(time.Second)).Truncate(width)
	t := &trace.Trace{
		Dir: e.Dir, Record: e.Name, Bar: barName(e), Kind: e.Kind, Outcome: e.Outcome, Width: width,
		Loaded: 3 * time.Second, Area: e.Specimen.Area(), Simulated: true,
	}
	t.Peak = t.Loaded + rise - 300*time.Millisecond
	t.PeakForce = e.Peak
	t.End = t.Loaded + rise + 5*time.Second
	if e.Outcome == pull.Broken {
		t.Break = t.Loaded + rise
	}
	for at := time.Duration(0); at < t.End; at += width {
		u := float64(at-t.Loaded) / float64(rise)
		f := 0.0
		switch {
		case u >= 0 && u < 1:
			stroke := math.Floor(u*20) / 20
			u = stroke + math.Min(0.05, 2*(u-stroke))
			f = float64(e.Peak) * (1 - math.Pow(1-u, 2))
		case u >= 1 && e.Outcome != pull.Broken: // let off
			f = float64(e.Peak) * math.Max(0, 1-4*(u-1))
		}
		noise := 40 * math.Sin(float64(at/width)*1.7)
		t.Columns = append(t.Columns, trace.Column{At: at, Low: si.Force(f + noise - 30), High: si.Force(f + noise + 30)})
	}
	return t
}

// overlayPulls are the first n of the made-up shelf with their traces.
func overlayPulls(n int) ([]shelf.Entry, *overlayDesk) {
	d := &overlayDesk{traces: map[string]*trace.Trace{}, errs: map[string]error{}}
	all := entriesOf(n)
	for i := range all {
		e := &all[i]
		e.Peak = si.Force(33_000 + 1_100*float64(i*5%8))
		if i > 4 {
			e.Specimen.Alloy, e.Peak = "356.0-T6", e.Peak*0.7
		}
		e.Stress = si.StressOn(e.Peak, e.Specimen.Area())
		d.traces[e.Dir] = madeTrace(e, 1+0.07*float64(i*3%7))
	}
	d.all = all
	return all, d
}

// overlayScreen is the overlay of a size, with the answers of the desk to the first n
// of its pulls; n < 0: to all.
func overlayScreen(of []shelf.Entry, d *overlayDesk, n, w, h int, profile termenv.Profile) OverlayScreen {
	r := lipgloss.NewRenderer(os.Stdout)
	r.SetHasDarkBackground(true)
	r.SetColorProfile(profile)
	m := newOverlayScreen(d, of, themeOf(r), si.US)
	m = overlaySend(m, tea.WindowSizeMsg{Width: w, Height: h})
	for i := range m.all {
		if m.all[i].waiting() && (n < 0 || i < n) {
			m = overlaySend(m, m.read(i)())
		}
	}
	return m
}

func overlaySend(m OverlayScreen, msgs ...tea.Msg) OverlayScreen {
	for _, msg := range msgs {
		next, _ := m.Update(msg)
		m = next.(OverlayScreen)
	}
	return m
}

// overlayPress presses keys and gives what the command of the last of them gives.
func overlayPress(m OverlayScreen, names ...string) (OverlayScreen, tea.Msg) {
	var out tea.Msg
	for _, name := range names {
		next, cmd := m.Update(keyOf(name))
		m, out = next.(OverlayScreen), nil
		if cmd != nil {
			out = cmd()
		}
	}
	return m, out
}

// mixedOverlay are eight pulls of which some cannot be drawn, or not whole.
func mixedOverlay() ([]shelf.Entry, *overlayDesk) {
	all, d := overlayPulls(8)
	all[1].ByEye, all[1].Specimen.Simulated = true, false
	all[2].Condition, all[2].Reason = shelf.Damaged, "pull.json is torn, its end is missing; put it back from a copy"
	d.errs[all[3].Dir] = fmt.Errorf("%s: %w", all[3].Name, trace.ErrBlank)
	t := d.traces[all[4].Dir]
	t.Damage = errors.New("samples.csv is damaged at byte 20")
	for i := range t.Columns { // out of sight for a second
		if at := t.Columns[i].At; at == 9*time.Second {
			t.Columns[i].Gap = true
		}
	}
	t.Columns = append(append([]trace.Column{}, t.Columns[:400]...), t.Columns[450:]...)
	none := d.traces[all[5].Dir]
	none.Loaded, none.Peak, none.PeakForce, none.Break = 0, 0, 0, 0
	d.traces[all[6].Dir].Area, all[6].Specimen.Diameters = 0, nil
	all[7].Condition = shelf.Writing
	return all, d
}

// overlayStates are what the screen may show, each of any size.
func overlayStates() map[string]func(w, h int, p termenv.Profile) OverlayScreen {
	of := func(n int, keys ...string) func(w, h int, p termenv.Profile) OverlayScreen {
		return func(w, h int, p termenv.Profile) OverlayScreen {
			all, d := overlayPulls(n)
			m, _ := overlayPress(overlayScreen(all, d, -1, w, h, p), keys...)
			return m
		}
	}
	mixed := func(keys ...string) func(w, h int, p termenv.Profile) OverlayScreen {
		return func(w, h int, p termenv.Profile) OverlayScreen {
			all, d := mixedOverlay()
			m, _ := overlayPress(overlayScreen(all, d, -1, w, h, p), keys...)
			return m
		}
	}
	return map[string]func(w, h int, p termenv.Profile) OverlayScreen{
		"loading": func(w, h int, p termenv.Profile) OverlayScreen {
			all, d := overlayPulls(5)
			return overlayScreen(all, d, 0, w, h, p)
		},
		"some-read": func(w, h int, p termenv.Profile) OverlayScreen {
			all, d := overlayPulls(5)
			return overlayScreen(all, d, 2, w, h, p)
		},
		"one":        of(1),
		"two":        of(2),
		"eight":      of(8),
		"twelve":     of(12, "down", "down"),
		"stress":     of(5, "s"),
		"peak":       of(8, "l"),
		"near":       of(3, "w"),
		"close":      of(3, "l", "w", "w"),
		"hidden":     of(4, " ", "down", "down"),
		"all-hidden": of(2, " ", "down", " "),
		"metric":     of(3, "u", "s"),
		"mixed":      mixed("down"),
		"harmed": func(w, h int, p termenv.Profile) OverlayScreen {
			all, d := harmedOverlay()
			m := overlayScreen(all, d, -1, w, h, p)
			return overlaySend(m, overProved{i: 1, trace: d.proofs[all[1].Dir]})
		},
		"no-section":  mixed("s", "down"),
		"no-trace":    func(w, h int, p termenv.Profile) OverlayScreen { return mixedOnly(1, 4, w, h, p) },
		"not-measure": func(w, h int, p termenv.Profile) OverlayScreen { return notMeasured(w, h, p) },
		"empty": func(w, h int, p termenv.Profile) OverlayScreen {
			return overlayScreen(nil, &overlayDesk{}, -1, w, h, p)
		},
		"opening": func(w, h int, p termenv.Profile) OverlayScreen {
			next, _ := of(2)(w, h, p).Update(keyOf("enter"))
			return next.(OverlayScreen)
		},
		"not-opened": func(w, h int, p termenv.Profile) OverlayScreen {
			return overlaySend(of(2)(w, h, p), shelfNotOpened{errors.New(`"/shelf/x/samples.csv" is damaged at byte 20 (line 2): no time`)})
		},
		"stop": func(w, h int, p termenv.Profile) OverlayScreen {
			rig := at(39.9, 48.9e3)
			rig.snap.State.Phase = pull.Loading
			all, d := overlayPulls(8)
			d.look = rig.raise(pull.Stop, nil).snap
			return overlayScreen(all, d, -1, w, h, p)
		},
		"hostile": func(w, h int, p termenv.Profile) OverlayScreen {
			all, d := hostileEntries(), &overlayDesk{traces: map[string]*trace.Trace{}, errs: map[string]error{}}
			for i := range all {
				all[i].Dir = fmt.Sprint("/shelf/", i)
				d.errs[all[i].Dir] = errors.New("open \x1b[2J鋳造: no such file")
				if i < 3 {
					d.traces[all[i].Dir], d.errs[all[i].Dir] = madeTrace(&all[i], 1), nil
				}
			}
			return overlayScreen(all, d, -1, w, h, p)
		},
	}
}

// mixedOnly are the pulls from..to−1 of the mixed ones, none of which can be drawn.
func mixedOnly(from, to, w, h int, p termenv.Profile) OverlayScreen {
	all, d := mixedOverlay()
	return overlayScreen(all[from:to], d, -1, w, h, p)
}

// notMeasured are pulls of bars nobody measured, as stress.
func notMeasured(w, h int, p termenv.Profile) OverlayScreen {
	all, d := overlayPulls(2)
	m := overlayScreen(all, d, -1, w, h, p)
	m, _ = overlayPress(m, "s")
	for i := range m.all {
		m.all[i].trace.Area = 0
	}
	return overlaySend(m, nil)
}

// asciiOverlay is a frame as the App gives it to a terminal that shows ASCII alone.
func asciiOverlay(m OverlayScreen) string {
	m.ascii = true
	a := App{opts: Options{ASCII: true}, theme: m.theme, front: m, width: m.width, height: m.height}
	return a.View()
}
