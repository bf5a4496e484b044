package tui

import (
	"math"
	"os"
	"sync"
	"testing"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// TestMain pins what the terminal would otherwise decide, or runs one of the
// small programs that the terminal tests start in a pseudo-terminal.
func TestMain(m *testing.M) {
	if name := os.Getenv("TUI_TEST_PROGRAM"); name != "" {
		os.Exit(program(name))
	}
	lipgloss.SetColorProfile(termenv.Ascii)
	lipgloss.SetHasDarkBackground(true)
	os.Exit(m.Run())
}

// fake is a source that stands still.
type fake struct {
	mu    sync.Mutex
	snap  *watch.Snapshot
	trace watch.Pyramid
	bin   time.Duration // instead of the trace's own; 0: its own
	done  []watch.Command
}

func (f *fake) Snapshot() *watch.Snapshot {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.snap
}

func (f *fake) Trace(dst *watch.Trace, from, to time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.trace.CopyRange(dst, from, to)
	if f.bin != 0 {
		dst.Bin = f.bin
	}
}

func (f *fake) Do(c watch.Command) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.done = append(f.done, c)
}

func (f *fake) commands() []watch.Command {
	f.mu.Lock()
	defer f.mu.Unlock()
	return append([]watch.Command(nil), f.done...)
}

// screen is a pull screen of a size over a source, with a colour profile.
func screen(src Source, w, h int, profile termenv.Profile) PullScreen {
	m := NewPullScreen(src, Options{Out: os.Stdout, Units: si.US})
	r := lipgloss.NewRenderer(os.Stdout)
	r.SetHasDarkBackground(true)
	r.SetColorProfile(profile)
	m.theme = themeOf(r)
	return send(m, tea.WindowSizeMsg{Width: w, Height: h})
}

func send(m PullScreen, msgs ...tea.Msg) PullScreen {
	for _, msg := range msgs {
		next, _ := m.Update(msg)
		m = next.(PullScreen)
	}
	return m
}

// The simulated bar of the fixtures: 12.5 mm of a made-up melt on the example
// rig of the design: ram 250 kN, transducer 700 bar on 42.0 cm², link bar 48 kN.
const (
	fixtureShare  = 0.5
	fixtureLink   = 48e3
	fixtureRam    = 250e3
	fixtureArea   = 42e-4
	fixtureGauge  = 700e5
	fixtureBreaks = 41.0 // s
)

// forceAt is the force on the specimen t seconds into the simulated pull, up to
// peak newtons: slack for 4 s, pump strokes with some leak-back, flatter above
// two thirds, gone at the break.
func forceAt(t, peak float64) float64 {
	if t < 4 || t >= fixtureBreaks {
		return 25 * math.Sin(37*t)
	}
	u := (t - 4) / (fixtureBreaks - 4)
	f := peak * (1 - math.Pow(1-u, 1.8))
	stroke := math.Mod(t, 1.4) / 1.4
	return f + peak*0.012*(stroke-0.5) + 20*math.Sin(41*t)
}

// at is the pull as it stands t seconds in, if its largest force is peak.
func at(t, peak float64) *fake {
	f := &fake{}
	top, topT, now := 0.0, 0.0, 0.0
	for i := 0; float64(i)*0.01 <= t; i++ {
		ti := float64(i) * 0.01
		now = forceAt(ti, peak)
		f.trace.Add(time.Duration(i)*10*time.Millisecond, now)
		if now > top {
			top, topT = now, ti
		}
	}
	sp := specimen.Specimen{ID: "M1-3", Melt: "M1", Alloy: "C90500", Diameters: []si.Length{12.5e-3}, Simulated: true}
	point := func(t, force float64) pull.Point {
		return pull.Point{
			T: seconds(t), Specimen: si.Force(force), Ram: si.Force(force / fixtureShare),
			Gauge:  si.Pressure(force / fixtureShare / fixtureArea),
			Stress: si.StressOn(si.Force(force), sp.Area()),
		}
	}
	s := pull.State{
		T: seconds(t), Kind: pull.Tension, Phase: pull.Slack, Readings: int(t * 1000), Seen: true,
		Live: point(t, now), Peak: point(topT, top), PeakRaw: point(topT, top), TripOK: true,
		Zero: pull.Zero{Set: true, Quality: "quiet", T: 2 * time.Second, SD: 0.02e5},
	}
	limit := func(name string, at rig.Place, load, allow, top float64) pull.Limit {
		l := pull.Limit{
			Name: name, At: at, Load: load, Allowable: allow, Ratio: load / allow,
			PeakRatio: top / allow, AtForce: si.Force(now * allow / load),
		}
		switch {
		case l.Ratio >= 1:
			l.Level = pull.Stop
		case l.Ratio >= 0.9:
			l.Level = pull.Warning
		case l.Ratio >= 0.75:
			l.Level = pull.Caution
		}
		s.Worst = max(s.Worst, l.Level)
		return l
	}
	s.Limits = []pull.Limit{
		limit("ram", rig.AtRam, now/fixtureShare, fixtureRam, top/fixtureShare),
		limit("transducer", rig.AtGauge, now/fixtureShare/fixtureArea, fixtureGauge, top/fixtureShare/fixtureArea),
		limit("link bar", rig.AtFar, now, fixtureLink, top),
	}
	s.Nearest = 2
	if t > 5 {
		s.LoadedAt = seconds(5)
		s.Phase, s.Pace, s.StressPace = pull.Loading, si.ForceRate(850), si.StressRate(6.9e6)
		if s.Limits[2].Ratio > 0.5 && s.Limits[2].Ratio < 1 {
			s.Lead = seconds((fixtureLink - now) / 850)
		}
	}
	f.snap = &watch.Snapshot{
		State: s, Specimen: sp, RigName: "bench press", Units: si.US, Unknown: []string{"pins"},
		Levels: rig.Alarm{Caution: 0.75, Warning: 0.90, Stop: 1},
		Stop:   &rig.First{Part: "link bar", Specimen: fixtureLink},
		Source: watch.Source{Name: "sim:", Status: "live", Rate: 1000, Age: 2 * time.Millisecond},
		Record: watch.Record{Path: "r", Name: "2026-11-25T140322Z-M1-3", Lines: int64(t * 1000), Synced: 400 * time.Millisecond},
		Now:    seconds(t),
	}
	return f
}

func seconds(t float64) time.Duration { return time.Duration(t * float64(time.Second)) }

// raise puts an alarm of the nearest limit into a snapshot.
func (f *fake) raise(level pull.Level, edit func(*pull.Alarm)) *fake {
	s := &f.snap.State
	l := s.Limits[s.Nearest]
	a := pull.Alarm{Level: level, Limit: l.Name, Load: l.Load, Allow: l.Allowable, At: l.At, Raised: s.T}
	if edit != nil {
		edit(&a)
	}
	s.Alarms = append([]pull.Alarm{a}, s.Alarms...)
	return f
}

// close ends a pull and saves its record.
func (f *fake) close(outcome pull.Phase) *fake {
	s := &f.snap.State
	s.Phase, s.Outcome, s.Pace, s.StressPace, s.Lead = outcome, outcome, 0, 0, 0
	f.snap.Closed, f.snap.Record.Saved, f.snap.Source.Status = true, true, "ended"
	return f
}
