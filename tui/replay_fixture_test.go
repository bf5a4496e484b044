package tui

import (
	"os"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// fakeReplay is a saved pull that stands still and notes what is wished for.
type fakeReplay struct {
	*fake
	back   Playback
	wishes []Transport
	closed bool
}

func (f *fakeReplay) Playback() Playback  { return f.back }
func (f *fakeReplay) Control(t Transport) { f.wishes = append(f.wishes, t) }
func (f *fakeReplay) Close()              { f.closed = true }

// replayed is a pull of 45 s up to peak newtons, saved, looked at t seconds in.
func replayed(t, peak float64) *fakeReplay {
	f := at(t, peak)
	f.trace = at(45, peak).trace
	f.snap.Record = watch.Record{Path: "r", Name: "2026-11-25T140322Z-M1-3", Lines: 45_001, Saved: true}
	f.snap.Source.Status = "ended"
	f.snap.Story = nil
	for _, e := range []watch.Told{
		{T: seconds(2), Kind: "zero", Text: "zero taken: 0.2 psi by the sensor's own line, noise 0.3 psi"},
		{T: seconds(5), Kind: "phase", Text: "loading"},
		{T: seconds(24.4), Kind: "alarm", Level: pull.Caution, Text: "caution: link bar carries 8,094 lbf of 10,791 lbf allowed"},
		{T: seconds(41.1), Kind: "break", Text: "break"},
	} {
		if e.T <= seconds(t) {
			f.snap.Story = append(f.snap.Story, e)
		}
	}
	return &fakeReplay{fake: f, back: Playback{
		At: seconds(t), Length: seconds(45), Speed: 1, Known: seconds(45), Line: int(t * 1000), Lines: 45_001,
		Peak: seconds(40.6), Break: seconds(fixtureBreaks), Alarms: []time.Duration{seconds(24.4), seconds(31.2), seconds(38)},
	}}
}

// replayEnd is how such a pull came out.
func replayEnd() *fakeReplay {
	f := replayed(45, 38e3)
	f.snap.State, f.snap.Closed, f.snap.Now = broken().snap.State, true, seconds(45)
	return f
}

// replayStates are the moments of a replay, by name. All are simulated.
var replayStates = map[string]func() *fakeReplay{
	"end": replayEnd,
	"playing": func() *fakeReplay {
		f := replayed(22, 38e3)
		f.back.Playing, f.back.Speed = true, 2
		return f
	},
	"alarm": func() *fakeReplay {
		f := replayed(36, 50e3)
		f.raise(pull.Stop, func(a *pull.Alarm) { a.Raised = seconds(31.2) })
		f.raise(pull.Caution, func(a *pull.Alarm) { a.Raised = seconds(24.4) })
		return f
	},
	"blind": func() *fakeReplay {
		f := replayed(24, 42e3)
		was := blind().snap.State
		f.snap.State = was
		return f
	},
	"recomputing": func() *fakeReplay {
		f := replayed(22, 38e3)
		f.trace.Reset()
		s := at(22, 38e3).snap.State
		blank := pull.State{T: seconds(45), Kind: s.Kind, Phase: pull.Slack, Nearest: 2, Limits: s.Limits, TripOK: true}
		for i := range blank.Limits {
			l := &blank.Limits[i]
			l.Load, l.Ratio, l.PeakRatio, l.Level = 0, 0, 0, pull.Quiet
		}
		f.snap.Story = nil
		f.snap.State, f.snap.Now, f.snap.Closed = blank, seconds(45), true
		f.back = Playback{At: seconds(45), Length: seconds(45), Speed: 1, Known: seconds(15), Peak: -1, Break: -1, Rig: "corrected-arms.toml", Seeking: true}
		return f
	},
	"recomputed": func() *fakeReplay {
		f := replayed(30, 46e3)
		f.back.Rig, f.back.Note = "corrected-arms.toml", "no alarm was raised"
		return f
	},
	"damaged": func() *fakeReplay {
		f := replayed(30, 38e3)
		f.snap.State.Phase, f.snap.State.Outcome = pull.Ended, pull.Ended
		f.back.Length, f.back.Known, f.back.At = seconds(30), seconds(30), seconds(30)
		f.back.Err = "samples.csv is damaged at byte 1048576 (line 30001): the time goes back"
		f.back.Break = -1
		return f
	},
	"unfinished": func() *fakeReplay {
		f := replayed(20, 38e3)
		f.back.Unfinished, f.snap.Record.Saved = true, false
		return f
	},
	"closing": func() *fakeReplay { // how it came out, while the pass has only begun
		f := replayEnd()
		f.back.Known, f.back.Lines, f.back.Line, f.back.Seeking = seconds(2), 0, 0, true
		return f
	},
	"long-names": func() *fakeReplay {
		f := replayed(22, 38e3)
		f.snap.Specimen.ID, f.snap.Specimen.Melt = "M1-3 漢字漢字漢字漢字漢字", "a melt \x1b[31mwith a very long name indeed, longer than any line of the terminal is wide"
		f.snap.Record.Name = "2026-11-25T140322Z-a-record-with-a-name-that-goes-on-and-on-and-on-and-on-and-on-and-on"
		f.snap.Source.Name = "serial:/dev/serial/by-id/a-name-that-is-long-\x07-and-longer-and-longer"
		f.back.Rig = "/home/somebody/rigs/漢字/a rig file with a long name\x1b]0;x\x07 and more of it and more of it.toml"
		return f
	},
	"hold": func() *fakeReplay {
		f := replayed(30, 38e3)
		f.snap = holding(61 * time.Second).snap
		return f
	},
}

// replayScreen is a replay's screen of a size, with a colour profile.
func replayScreen(p Player, w, h int, profile termenv.Profile) ReplayScreen {
	r := lipgloss.NewRenderer(os.Stdout)
	r.SetHasDarkBackground(true)
	r.SetColorProfile(profile)
	m := newReplayScreen(p, themeOf(r), si.US, tea.QuitMsg{})
	next, _ := m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return next.(ReplayScreen)
}
