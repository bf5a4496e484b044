package tui

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"draghand/internal/compare"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/shelf"
	"draghand/internal/si"
)

// compareDesk is a desk that reckons records to the pulls it was given.
type compareDesk struct {
	*fakeDesk
	pulls   []compare.Pull
	err     error
	reckon  func(ctx context.Context, done func(int)) // before it answers; nil: nothing
	file    string
	keepErr error
	kept    *compare.Comparison
}

func (d *compareDesk) Reckon(ctx context.Context, dirs []string, done func(int)) ([]compare.Pull, error) {
	if d.reckon != nil {
		d.reckon(ctx, done)
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	return d.pulls, d.err
}

func (d *compareDesk) KeepComparison(c *compare.Comparison) (string, error) {
	d.kept = c
	return d.file, d.keepErr
}

// made-up bars of a melt with these strengths in MPa; simulated, no metal was broken.
func comparePulls(melt, alloy string, mpa ...float64) []compare.Pull {
	var out []compare.Pull
	for i, v := range mpa {
		p := compare.Pull{
			Bar: fmt.Sprintf("%s-%d", melt, i+1), Melt: melt, Alloy: alloy, Kind: pull.Tension, Counts: "yes",
			Started:  time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC).Add(time.Duration(i) * 31 * time.Minute),
			Diameter: 12.5 * si.Millimetre, Strength: si.Stress(v) * si.Megapascal, U: 3.2 * si.Megapascal, Expanded: 6.4 * si.Megapascal, Common: 2.6 * si.Megapascal,
			CommonBy: "rig example rig, calibration 2026-03", RigName: "example rig", Calibration: "2026-03", Simulated: true,
		}
		p.Area = si.Area(math.Pi / 4 * float64(p.Diameter*p.Diameter))
		long := 0.18 + 0.013*float64(i%4)
		p.Elongation = &long
		p.Record = p.Started.Format("2006-01-02T150405Z") + "-" + p.Bar
		p.Dir = "/shelf/" + p.Record
		out = append(out, p)
	}
	return out
}

// letOff makes a pull one that bore at least its strength.
func letOff(p *compare.Pull) {
	p.AtLeast, p.Strength, p.Out = p.Strength, 0, "it bore at least so much: let off before it broke"
}

// leaveOut makes a pull one that does not count.
func leaveOut(p *compare.Pull, why string) { p.Strength, p.Counts, p.Out = 0, "no", why }

var (
	meltOne   = []float64{309, 314, 305, 311, 317, 302, 312, 308}
	meltTwo   = []float64{296, 301, 288, 293, 299, 291, 304}
	meltThree = []float64{321, 318, 326, 315, 323}
)

// compareScreen is a comparison of a size over a desk, not yet reckoned.
func compareScreen(d Desk, by compare.By, n, w, h int, profile termenv.Profile) CompareScreen {
	r := lipgloss.NewRenderer(os.Stdout)
	r.SetHasDarkBackground(true)
	r.SetColorProfile(profile)
	m := newCompareScreen(d, themeOf(r), openCompare{of: make([]shelf.Entry, n), by: by})
	m.zone = time.UTC
	return compareSend(m, tea.WindowSizeMsg{Width: w, Height: h})
}

// compareSend hands messages over, and runs what they lead to but ticks.
func compareSend(m CompareScreen, msgs ...tea.Msg) CompareScreen {
	for _, msg := range msgs {
		for range 8 {
			next, cmd := m.Update(msg)
			m = next.(CompareScreen)
			if _, tick := msg.(tickMsg); tick || cmd == nil {
				break
			}
			if msg = cmd(); msg == nil {
				break
			}
		}
	}
	return m
}

func compareKeysOf(keys ...string) []tea.Msg {
	var out []tea.Msg
	for _, k := range keys {
		out = append(out, keyNamed(k))
	}
	return out
}

// compareState is a comparison of pulls, and keys that were pressed in it.
type compareState func(w, h int, p termenv.Profile) CompareScreen

func compareOf(pulls []compare.Pull, by compare.Field, keys ...string) compareState {
	return compareOn(&compareDesk{fakeDesk: readyDesk(), pulls: pulls, file: "/home/foundry/draghand/reports/bars-2026-11-25.html"}, by, keys...)
}

func compareOn(d *compareDesk, by compare.Field, keys ...string) compareState {
	return func(w, h int, p termenv.Profile) CompareScreen {
		m := compareScreen(d, compare.By{Field: by}, len(d.pulls), w, h, p)
		m = compareSend(m, compareReckoned{pulls: d.pulls})
		return compareSend(m, compareKeysOf(keys...)...)
	}
}

func joined(all ...[]compare.Pull) (out []compare.Pull) {
	for _, a := range all {
		out = append(out, a...)
	}
	return out
}

// compareStates are what the screen may show.
func compareStates() map[string]compareState {
	one, two, three := comparePulls("M1", "C90500", meltOne...), comparePulls("M2", "C90500", meltTwo...), comparePulls("M3", "C90500", meltThree...)
	five := joined(one, two, three, comparePulls("M4", "C90500", 299, 306, 303, 295, 308), comparePulls("M5", "C90500", 310, 307, 316))
	apart := comparePulls("M1", "C90500", append([]float64{244}, meltOne...)...)
	mixed := comparePulls("M1", "C90500", append(append([]float64{}, meltOne...), 318, 300, 322)...)
	for _, i := range []int{8, 10} {
		letOff(&mixed[i])
	}
	none := comparePulls("M6", "C90500", 300, 301, 302)
	for i := range none {
		leaveOut(&none[i], "does not count: it broke in the grip")
	}
	none = append(none, compare.Unreadable("/shelf/2026-11-21T100000Z-M6-9", &record.HeadError{Path: "/shelf/2026-11-21T100000Z-M6-9/pull.json", Fault: "is torn, its end is missing", Err: errors.New("no readable JSON: unexpected end of JSON input")}))
	many := joined(one, comparePulls("M1", "C90500", make([]float64, 30)...))
	for i := range many[len(one):] {
		p := &many[len(one)+i]
		p.Bar, p.Dir = fmt.Sprintf("M1-%d", len(one)+i+1), fmt.Sprintf("%s-%d", p.Dir, i)
		leaveOut(p, "does not count: it broke outside the gauge length, at a mark of the tool")
	}
	skew := comparePulls("M7", "C90500", 250, 251, 251.5, 252, 252.5, 253, 254, 256, 259, 265, 278, 301, 340)
	hostile := joined(comparePulls("\x1b[2J鋳造溶解炉 of a very long name that goes on and on", "C90500\x1b]0;x\a", meltOne...), comparePulls("b\u200d\u202e\r\n", "", meltTwo...))
	letOff(&hostile[3])
	leaveOut(&hostile[9], "damaged\x1b[31m: 鋳 "+fmt.Sprint(make([]int, 60)))
	otherRig := comparePulls("M2", "C90500", meltTwo...)
	for i := range otherRig {
		otherRig[i].CommonBy, otherRig[i].RigName = "rig old press", "old press"
	}
	unknown := comparePulls("M1", "C90500", meltOne...)
	for i := range unknown {
		unknown[i].U, unknown[i].Expanded, unknown[i].Common = 0, 0, 0
	}
	partly := comparePulls("M1", "C90500", meltOne...)
	partly[0].U, partly[0].Common, partly[5].U, partly[5].Common = 0, 0, 0, 0
	bare := joined(comparePulls("M1", "C90500", meltOne...), comparePulls("M2", "C90500", meltTwo...))
	for i := range bare {
		bare[i].Calibration, bare[i].CommonBy = "", "rig example rig"
	}
	marked := joined(one, two)
	for i := range marked {
		if i%3 < 2 {
			marked[i].Marked = []string{"left tray", "right tray"}[i%3]
		}
	}
	reckoning := func(done int) compareState {
		return func(w, h int, p termenv.Profile) CompareScreen {
			m := compareScreen(&compareDesk{fakeDesk: readyDesk()}, compare.By{Field: compare.ByMelt}, 40, w, h, p)
			m.counting.Store(int64(done))
			return compareSend(m, tickMsg{id: m.tickID})
		}
	}
	minimum := func(text string) []string {
		keys := []string{"m"}
		for _, r := range text {
			keys = append(keys, string(r))
		}
		return append(keys, "enter")
	}
	return map[string]compareState{
		"reckoning": reckoning(11),
		"one-group": compareOf(one, compare.ByMelt),
		"two":       compareOf(joined(one, two), compare.ByMelt, "right"),
		"two-rigs":  compareOf(joined(one, otherRig), compare.ByMelt),
		"five":      compareOf(five, compare.ByMelt, "right", "right"),
		"five-dots": compareOf(five, compare.ByMelt, "right", "p"),
		"alike":     compareOf(comparePulls("M1", "C90500", 300, 300, 300, 300, 300), compare.ByMelt),
		"one-bar":   compareOf(comparePulls("M1", "C90500", 309), compare.ByMelt),
		"none":      compareOf(none, compare.ByMelt),
		"apart":     compareOf(apart, compare.ByMelt),
		"apart-low": compareOf(apart, compare.ByMelt, "o", "l", "tab"),
		"skew":      compareOf(skew, compare.ByMelt),
		"below":     compareOf(comparePulls("M1", "C90500", 220, 300, 340), compare.ByMelt, append(minimum("30 ksi"), "p")...),
		"two-bars":  compareOf(comparePulls("M1", "C90500", 299, 303), compare.ByMelt, minimum("30 ksi")...),
		"held":      compareOf(one, compare.ByMelt, minimum("40 ksi")...),
		"not-held":  compareOf(one, compare.ByMelt, minimum("310 MPa")...),
		"not-known": compareOf(unknown, compare.ByMelt, minimum("20 ksi")...),
		"partly":    compareOf(partly, compare.ByMelt),
		"bare-rig":  compareOf(bare, compare.ByMelt),
		"all":       compareOf(five, compare.ByAll),
		"by-alloy":  compareOf(joined(one, two, comparePulls("M8", "C95500", 612, 640, 625, 633, 619)), compare.ByAlloy),
		"by-marks":  compareOf(marked, compare.ByMarked),
		"left-many": compareOf(many, compare.ByMelt),
		"left-bars": compareOf(many, compare.ByMelt, "tab", "end"),
		"bars":      compareOf(mixed, compare.ByMelt, "tab", "down", "down"),
		"normal":    compareOf(mixed, compare.ByMelt, "p", "p"),
		"weibull":   compareOf(mixed, compare.ByMelt, "p", "p", "p"),
		"wei-apart": compareOf(apart, compare.ByMelt, "p", "p", "p"),
		"metric": func(w, h int, p termenv.Profile) CompareScreen {
			d := readyDesk()
			d.view.Units = si.Metric
			return compareOn(&compareDesk{fakeDesk: d, pulls: joined(one, two)}, compare.ByMelt)(w, h, p)
		},
		"typing":      compareOf(one, compare.ByMelt, "t", "9", "9", "/", "9", "0"),
		"typed":       compareOf(one, compare.ByMelt, "t", "9", "9", "/", "9", "0", "enter"),
		"typed-wrong": compareOf(one, compare.ByMelt, "t", "9", "9", "enter"),
		"scrolled":    compareOf(mixed, compare.ByMelt, "end"),
		"exported":    compareOf(joined(one, two), compare.ByMelt, "e"),
		"not-exported": compareOn(&compareDesk{
			fakeDesk: readyDesk(), pulls: one, keepErr: errors.New("write /home/foundry/draghand/reports/bars.html: no space left on device"),
		}, compare.ByMelt, "e"),
		"not-opened": func(w, h int, p termenv.Profile) CompareScreen {
			return compareSend(compareOf(one, compare.ByMelt, "tab")(w, h, p), shelfNotOpened{errors.New("it has no readings")})
		},
		"failed": func(w, h int, p termenv.Profile) CompareScreen {
			m := compareScreen(&compareDesk{fakeDesk: readyDesk()}, compare.By{Field: compare.ByMelt}, 4, w, h, p)
			return compareSend(m, compareReckoned{err: errors.New("the shelf is gone")})
		},
		"nothing":    compareOf(nil, compare.ByMelt),
		"hostile":    compareOf(hostile, compare.ByMelt),
		"long-names": compareOf(comparePulls(strings.Repeat("long", 240), "C90500", meltOne...), compare.ByMelt),
		"stop": func(w, h int, p termenv.Profile) CompareScreen {
			rig := at(39.9, 48.9e3)
			rig.snap.State.Phase = pull.Loading
			d := readyDesk()
			d.view.Look = rig.raise(pull.Stop, nil).snap
			return compareOn(&compareDesk{fakeDesk: d, pulls: one}, compare.ByMelt)(w, h, p)
		},
	}
}
