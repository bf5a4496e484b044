package tui

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// checkNow is the time of the fixtures.
var checkNow = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// checkEntries are the check bars of a stock, ten days apart, the last nine days ago;
// broken at these forces on the specimen, in kN, 0: let off. From bar number
// change on, below none, the ram is another.
func checkEntries(stock string, change int, forces ...float64) (out []shelf.Entry) {
	for i, f := range forces {
		e := shelf.Entry{
			Condition: shelf.Whole, Started: checkNow.Add(-time.Duration(10*(len(forces)-1-i)+9)*24*time.Hour - time.Hour), Kind: pull.Tension,
			Specimen: specimen.Specimen{ID: fmt.Sprint(i + 1), Melt: "check", Alloy: "1045", Diameters: []si.Length{12.5e-3}, Simulated: true, Stock: stock},
			RigName:  "example rig (simulated)", Source: "sim:", Outcome: pull.Broken, Peak: si.Force(f * 1000),
		}
		e.Name = e.Started.Format("2006-01-02T150405Z") + "-" + clean(stock) + "-" + e.Specimen.ID
		e.Dir = "/shelf/" + e.Name
		e.Stress = si.StressOn(e.Peak, e.Specimen.Area())
		if e.Strength = e.Stress; f == 0 {
			e.Outcome, e.Strength, e.Peak, e.Stress = pull.LetOff, 0, 20e3, si.StressOn(20e3, e.Specimen.Area())
			e.AtLeast = e.Stress
		}
		h := record.Head{Rig: exampleRig(), Specimen: e.Specimen, Kind: e.Kind, Closing: &record.Closing{}}
		if change >= 0 && i >= change {
			h.Rig.Ram.Area *= 1.02
		}
		e.Check = shelf.CheckOf(&h, &e)
		out = append(out, e)
	}
	return out
}

// steady are forces of a sound rig, kN.
var steady = []float64{36.8, 37.2, 36.6, 37.0, 36.9, 37.1, 36.7, 37.0, 36.5, 37.3, 36.9, 36.8, 37.05, 36.95}

func with(f []float64, more ...float64) []float64 { return append(append([]float64{}, f...), more...) }

// checkScreen is a chart of a size over a desk, not yet read.
func checkScreen(d Desk, w, h int, profile termenv.Profile) CheckScreen {
	r := lipgloss.NewRenderer(os.Stdout)
	r.SetHasDarkBackground(true)
	r.SetColorProfile(profile)
	m := newCheckScreen(d, themeOf(r))
	m.zone = time.UTC
	return checkSend(m, tea.WindowSizeMsg{Width: w, Height: h})
}

func checkSend(m CheckScreen, msgs ...tea.Msg) CheckScreen {
	for _, msg := range msgs {
		next, _ := m.Update(msg)
		m = next.(CheckScreen)
	}
	return m
}

func checkReadOf(all ...[]shelf.Entry) checkRead {
	var flat []shelf.Entry
	for _, a := range all {
		flat = append(flat, a...)
	}
	return checkRead{stocks: shelf.Stocks(flat), at: checkNow}
}

// checkStates are what the screen may show, each from a screen of any size.
func checkStates() map[string]func(w, h int, p termenv.Profile) CheckScreen {
	of := func(r checkRead, keys ...string) func(w, h int, p termenv.Profile) CheckScreen {
		return func(w, h int, p termenv.Profile) CheckScreen {
			m := checkSend(checkScreen(readyDesk(), w, h, p), r)
			for _, k := range keys {
				m = checkSend(m, keyOf(k))
			}
			return m
		}
	}
	creep := with(steady[:12], steady[:8]...)
	for i := range 9 {
		creep = append(creep, 37.05+0.05*float64(i))
	}
	a := checkEntries("drawn bar A", -1, with(steady, 37.6)...)
	b := checkEntries("drawn bar B", -1, 41, 41.3, 40.8)
	other := checkEntries("drawn bar A", -1, steady...)
	for i := range other {
		other[i].RigName = "old press"
	}
	var many []float64
	for i := range 300 {
		many = append(many, steady[i%len(steady)]+0.1*float64(i%3))
	}
	hostile := checkEntries("drawn\x1b[2J 鉄の棒 of a very long name that goes on and on", 3, 36.8, 37.2, 36.6, 39, 0)
	for i := range hostile {
		hostile[i].Specimen.Melt, hostile[i].RigName = "\x1b[31m鋳造溶解炉", "rig\x1b]0;x\a with a long, long name that goes on and on and on"
	}
	return map[string]func(w, h int, p termenv.Profile) CheckScreen{
		"loading":   func(w, h int, p termenv.Profile) CheckScreen { return checkScreen(readyDesk(), w, h, p) },
		"none":      of(checkReadOf()),
		"in":        of(checkReadOf(a, b, other)),
		"few":       of(checkReadOf(a, b), "down"),
		"elsewhere": of(checkReadOf(a, other), "down"),
		"earlier":   of(checkReadOf(a), "left", "left", "left"),
		"high":      of(checkReadOf(checkEntries("drawn bar A", -1, with(steady, 38.6)...))),
		"low":       of(checkReadOf(checkEntries("drawn bar A", -1, with(steady, 36.9, 35.2)...))),
		"wild":      of(checkReadOf(checkEntries("drawn bar A", -1, with(steady, 60, 37.0, 12, 37.0)...))),
		"run":       of(checkReadOf(checkEntries("drawn bar A", -1, creep...))),
		"changed":   of(checkReadOf(checkEntries("drawn bar A", 14, with(steady, 37.7, 38.0, 37.5)...))),
		"moved":     of(checkReadOf(checkEntries("drawn bar A", 6, 36.8, 37.2, 36.6, 37.0, 36.9, 37.1, 37.6, 37.9, 37.4, 37.7, 37.5, 37.8, 37.6))),
		"left-out":  of(checkReadOf(checkEntries("drawn bar A", -1, with(steady, 0)...))),
		"only-left": of(checkReadOf(checkEntries("drawn bar A", -1, 0, 0))),
		"equal":     of(checkReadOf(checkEntries("drawn bar A", -1, 37, 37, 37, 37, 37, 37))),
		"many":      of(checkReadOf(checkEntries("drawn bar A", -1, many...))),
		"hostile":   of(checkReadOf(hostile)),
		"error":     of(checkRead{err: errors.New("read the shelf: open /shelf: permission denied")}),
		"again": func(w, h int, p termenv.Profile) CheckScreen {
			return checkSend(of(checkReadOf(a))(w, h, p), checkRead{err: errors.New("read the shelf: open /shelf: permission denied")})
		},
		"not-opened": func(w, h int, p termenv.Profile) CheckScreen {
			return checkSend(of(checkReadOf(a))(w, h, p), shelfNotOpened{errors.New("no trace: a dial gauge read by eye")})
		},
		"stop": func(w, h int, p termenv.Profile) CheckScreen {
			rig := at(39.9, 48.9e3)
			rig.snap.State.Phase = pull.Loading
			d := readyDesk()
			d.view.Look = rig.raise(pull.Stop, nil).snap
			return checkSend(checkScreen(d, w, h, p), checkReadOf(a))
		},
	}
}

// lineWith is the first line of a frame that has a text.
func lineWith(t *testing.T, frame, text string) string {
	t.Helper()
	for _, l := range strings.Split(frame, "\n") {
		if strings.Contains(l, text) {
			return l
		}
	}
	t.Fatalf("no line has %q:\n%s", text, frame)
	return ""
}
