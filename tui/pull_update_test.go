package tui

import (
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"draghand/internal/watch"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/pull"
	"draghand/internal/si"
)

func keyMsg(s string) tea.KeyMsg {
	switch s {
	case "ctrl+c":
		return tea.KeyMsg{Type: tea.KeyCtrlC}
	case "ctrl+z":
		return tea.KeyMsg{Type: tea.KeyCtrlZ}
	case "esc":
		return tea.KeyMsg{Type: tea.KeyEsc}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(s)}
}

// press sends keys and runs what commands they give, as the library would; it
// reports whether the screen asked to quit.
func press(m PullScreen, keys ...string) (PullScreen, bool) {
	quit := false
	for _, k := range keys {
		next, cmd := m.Update(keyMsg(k))
		m = next.(PullScreen)
		quit = quit || runCmd(cmd)
	}
	return m, quit
}

// runCmd runs a command, or the parts of a sequence, and says whether it ends
// in quitting.
func runCmd(cmd tea.Cmd) bool {
	if cmd == nil {
		return false
	}
	msg := cmd()
	switch msg.(type) {
	case nil:
		return false
	case tea.QuitMsg:
		return true
	}
	// A sequence is a slice type of the library's own; its second part quits.
	v := sequence(msg)
	quit := false
	for _, c := range v {
		quit = runCmd(c) || quit
	}
	return quit
}

func TestKeys(t *testing.T) {
	tests := []struct {
		name, state string // source: the keys of issue 2 and design 8
		keys        []string
		want        []watch.Command
		quit        bool
		says        string
	}{
		{"zero while slack", "zeroed", []string{"z"}, []watch.Command{watch.ZeroNow}, false, "zero asked for"},
		{"no zero once loaded", "loading", []string{"z"}, nil, false, "no zero under load"},
		{"acknowledge", "warning", []string{"a"}, []watch.Command{watch.AckAlarms}, false, ""},
		{"acknowledge a stop", "stop", []string{"a"}, []watch.Command{watch.AckAlarms}, false, ""},
		{"nothing to acknowledge", "loading", []string{"a"}, nil, false, ""},
		{"end asks while loading", "loading", []string{"e"}, nil, false, "end the pull now? the record is closed.  y / n"},
		{"end answered yes", "loading", []string{"e", "y"}, []watch.Command{watch.EndPull}, false, "ending the pull"},
		{"end answered no", "loading", []string{"e", "n"}, nil, false, "e end the pull"},
		{"end given up", "loading", []string{"e", "esc"}, nil, false, "e end the pull"},
		{"another key is no answer", "loading", []string{"e", "x", "q", "e"}, nil, false, "y / n"},
		{"an alarm can be acknowledged meanwhile", "warning", []string{"e", "a", "y"}, []watch.Command{watch.AckAlarms, watch.EndPull}, false, ""},
		{"end at once while slack", "zeroed", []string{"e"}, []watch.Command{watch.EndPull}, false, "ending the pull"},
		{"quit asks while loading", "loading", []string{"q"}, nil, false, "the rig is loaded"},
		{"quit answered yes", "loading", []string{"q", "y"}, []watch.Command{watch.EndPull}, true, ""},
		{"quit answered no", "loading", []string{"q", "n"}, nil, false, ""},
		{"quit asks on the stop screen", "stop", []string{"q"}, nil, false, "the rig is loaded"},
		{"quit while slack", "zeroed", []string{"q"}, []watch.Command{watch.EndPull}, true, ""},
		{"quit once closed", "broken-saved", []string{"q"}, nil, true, ""},
		{"no end once closed", "broken-saved", []string{"e", "a", "z"}, nil, false, "q leave"},
		{"acknowledge a stop once closed", "stop-closed", []string{"a"}, nil, false, "■ STOP"},
		{"acknowledge blindness once closed", "blind-closed", []string{"a"}, nil, false, "■ CANNOT SEE THE FORCE"},
		{"quit a closed stop", "stop-closed", []string{"q"}, nil, true, ""},
		{"ctrl+c ends and quits at once", "loading", []string{"ctrl+c"}, []watch.Command{watch.EndPull}, true, ""},
		{"ctrl+c while asked", "loading", []string{"e", "ctrl+c"}, []watch.Command{watch.EndPull}, true, ""},
		{"ctrl+z does nothing and says so", "loading", []string{"ctrl+z"}, nil, false, "ctrl+z would stop the readings: it does nothing here"},
		{"ctrl+z on the stop screen", "stop", []string{"ctrl+z"}, nil, false, "ctrl+z would stop the readings: it does nothing here"},
		{"the last minute", "loading", []string{"w"}, nil, false, "the last 60 s"},
		{"the last ten seconds", "loading", []string{"w", "w"}, nil, false, "the last 10 s"},
		{"round to the whole", "loading", []string{"w", "w", "w"}, nil, false, "the whole pull"},
		{"without load the whole is the last 30 s", "zeroed", nil, nil, false, "the last 30 s, no load"},
		{"units", "loading", []string{"u"}, nil, false, "26.64 of 48.00 kN"},
		{"units and back", "loading", []string{"u", "u"}, nil, false, "5,989 of 10,791 lbf"},
		{"help", "loading", []string{"?"}, nil, false, "leave at once, which ends the pull"},
		{"before the first snapshot", "no-snapshot", []string{"a", "z", "e", "?", "u"}, nil, false, "waiting for the pull"},
	}
	for _, tt := range tests {
		f := states[tt.state]()
		m, quit := press(screen(f, 80, 24, termenv.Ascii), tt.keys...)
		if got := f.commands(); !slices.Equal(got, tt.want) || quit != tt.quit {
			t.Errorf("%s: commands %v and quit %v, want %v and %v", tt.name, got, quit, tt.want, tt.quit)
		}
		if frame := m.View(); !strings.Contains(frame, tt.says) {
			t.Errorf("%s: does not say %q:\n%s", tt.name, tt.says, frame)
		}
	}
}

// TestDisabledKeysVanish: what a key would not do now is not offered.
func TestDisabledKeysVanish(t *testing.T) {
	tests := map[string]struct{ offers, hides []string }{
		"zeroed":       {[]string{"z take zero", "q leave"}, []string{"a acknowledge"}},
		"loading":      {[]string{"e end the pull"}, []string{"z take zero", "a acknowledge"}},
		"warning":      {[]string{"a acknowledge"}, []string{"z take zero"}},
		"broken-saved": {[]string{"q leave"}, []string{"e end the pull", "a acknowledge", "z take zero"}},
	}
	for state, tt := range tests {
		frame := screen(states[state](), 120, 40, termenv.Ascii).View()
		for _, k := range tt.offers {
			if !strings.Contains(frame, k) {
				t.Errorf("%s: %q is not offered", state, k)
			}
		}
		for _, k := range tt.hides {
			if strings.Contains(frame, k) {
				t.Errorf("%s: %q is offered", state, k)
			}
		}
	}
}

// TestRefusedZeroSaysWhy: z is never answered with nothing. The whole reason is
// on the screen at every size, and gone once the load begins or a zero is taken.
func TestRefusedZeroSaysWhy(t *testing.T) {
	for _, s := range sizes {
		for _, set := range []bool{false, true} {
			f := states["zeroed"]()
			f.snap.State.Zero.Set = set
			m, _ := press(screen(f, s.w, s.h, termenv.Ascii), "z")
			f.snap.State.Zero.Refused = refusal + "\x1b[2J"
			f.snap.Now += time.Second
			m = send(m, EdgeMsg{})
			frame := strings.Join(strings.Fields(m.View()), " ")
			if !strings.Contains(frame, "ZERO REFUSED: "+refusal) {
				t.Errorf("%d×%d, a zero before: %v: the reason is not on the screen:\n%s", s.w, s.h, set, m.View())
			}
			if set && s.w >= minWidth && !strings.Contains(frame, ", kept") {
				t.Errorf("%d×%d: does not say that the zero before is kept:\n%s", s.w, s.h, m.View())
			}
			m, _ = press(m, "z")
			if s.w >= minWidth && !strings.Contains(m.View(), "zero asked for") {
				t.Errorf("%d×%d: z again is answered with nothing:\n%s", s.w, s.h, m.View())
			}
			f.snap.State.Phase = pull.Loading
			if m = send(m, EdgeMsg{}); strings.Contains(m.View(), "ZERO REFUSED") {
				t.Errorf("%d×%d: the reason stays under load", s.w, s.h)
			}
		}
	}
}

// TestStopOutlivesThePull: a stop or blindness nobody has acknowledged stays
// when the pull closes by itself, and once acknowledged what happened stays
// named beside how the pull came out.
func TestStopOutlivesThePull(t *testing.T) {
	for state, word := range map[string]string{"stop-closed": "■ STOP", "blind-closed": "■ CANNOT SEE THE FORCE"} {
		for _, s := range sizes[:3] {
			m := NewPullScreen(states[state](), Options{Out: os.Stdout, CloseAfter: time.Second, NoColor: true})
			m = send(m, tea.WindowSizeMsg{Width: s.w, Height: s.h})
			for at := range 3 {
				next, cmd := m.Update(tickMsg{id: m.tickID, at: time.Unix(int64(1000+2*at), 0)})
				if m = next.(PullScreen); isQuit(cmd) {
					t.Fatalf("%s: the screen closed by itself over it", state)
				}
			}
			if frame := m.View(); !strings.Contains(frame, "press a to acknowledge") || strings.Contains(frame, "force on the specimen") {
				t.Errorf("%s at %d×%d: it does not take the screen:\n%s", state, s.w, s.h, frame)
			}
			m, _ = press(m, "a")
			top := strings.Join(strings.Split(m.View(), "\n")[1:3], "\n")
			for _, w := range []string{word, "acknowledged", "ENDED before a break was seen"} {
				if !strings.Contains(top, w) {
					t.Errorf("%s at %d×%d acknowledged: the banner does not say %q:\n%s", state, s.w, s.h, w, top)
				}
			}
			if frame := m.View(); strings.Contains(frame, "a acknowledge") {
				t.Errorf("%s: acknowledged, it is offered again", state)
			}
		}
	}
}

// TestActiveAlarmFirst: what is going on is named before what is new, whoever
// has acknowledged it, and both are named where there are two.
func TestActiveAlarmFirst(t *testing.T) {
	alarm := func(l pull.Level, limit, is string) pull.Alarm {
		return pull.Alarm{
			Level: l, Limit: limit, Load: 0.5, Allow: 1, Acked: strings.Contains(is, "acked"),
			Returned: strings.Contains(is, "returned"), Ahead: strings.Contains(is, "ahead"), Blind: strings.Contains(is, "blind"),
		}
	}
	tests := []struct {
		name   string // source: design 8
		alarms []pull.Alarm
		want   []string // in this order
	}{
		{"a caution over a stop", []pull.Alarm{alarm(pull.Caution, "b", ""), alarm(pull.Stop, "a", "acked")}, []string{"■ STOP   a", "△ CAUTION   b"}},
		{"a caution over blindness", []pull.Alarm{alarm(pull.Caution, "b", ""), alarm(pull.Stop, "", "acked blind")}, []string{"■ CANNOT SEE", "△ CAUTION   b"}},
		{"a warning that is over and a caution that is not", []pull.Alarm{alarm(pull.Warning, "b", "returned"), alarm(pull.Caution, "a", "acked")}, []string{"△ CAUTION   a", "▲ WARNING   b"}},
		{"where the load is, then where it will be", []pull.Alarm{alarm(pull.Warning, "b", "ahead"), alarm(pull.Caution, "a", "")}, []string{"△ CAUTION   a", "▲ WARNING   b"}},
		{"one of three is counted", []pull.Alarm{alarm(pull.Warning, "b", ""), alarm(pull.Caution, "c", ""), alarm(pull.Stop, "a", "acked")}, []string{"■ STOP   a", "▲ WARNING   b", "and 1 more"}},
		{"one alarm once", []pull.Alarm{alarm(pull.Warning, "b", "")}, []string{"▲ WARNING   b"}},
	}
	for _, tt := range tests {
		f := states["loading"]()
		f.snap.State.Alarms = tt.alarms
		top := strings.Join(strings.Split(screen(f, 120, 40, termenv.Ascii).View(), "\n")[1:3], "\n")
		rest := top
		for _, w := range tt.want {
			_, after, ok := strings.Cut(rest, w)
			if rest = after; !ok {
				t.Errorf("%s: the banner does not say %q in order %q:\n%s", tt.name, w, tt.want, top)
			}
		}
		if n := strings.Count(top, "■") + strings.Count(top, "▲") + strings.Count(top, "△"); n > 2 || n > len(tt.alarms) {
			t.Errorf("%s: %d alarms on the banner:\n%s", tt.name, n, top)
		}
	}
}

func TestTicks(t *testing.T) {
	f := states["loading"]()
	m := screen(f, 80, 24, termenv.Ascii)
	f.snap = states["warning"]().snap
	if m = send(m, tickMsg{id: m.tickID + 1}); strings.Contains(m.View(), "WARNING") {
		t.Error("a tick of another loop was taken")
	}
	next, cmd := m.Update(tickMsg{id: m.tickID, at: time.Unix(0, 0)})
	if m = next.(PullScreen); !strings.Contains(m.View(), "WARNING") || cmd == nil {
		t.Error("the tick did not load the snapshot, or did not go on")
	}
	f.snap = states["stop"]().snap
	if m = send(m, EdgeMsg{}); !strings.Contains(m.View(), "at 102 % of its limit") {
		t.Error("the edge did not load the snapshot")
	}
}

func TestClosesByItselfUnlessTouched(t *testing.T) {
	for _, touch := range []bool{false, true} {
		f := states["loading"]()
		m := NewPullScreen(f, Options{Out: os.Stdout, CloseAfter: 5 * time.Second})
		m = send(m, tea.WindowSizeMsg{Width: 80, Height: 24})
		tick := func(at float64) bool {
			next, cmd := m.Update(tickMsg{id: m.tickID, at: time.Unix(1000, 0).Add(seconds(at))})
			m = next.(PullScreen)
			return cmd != nil && at >= 15 && isQuit(cmd)
		}
		tick(0)
		m, _ = press(m, "u") // a key before the end keeps nothing open
		f.snap = broken().snap
		tick(10)
		if touch {
			m, _ = press(m, "u")
		}
		tick(12)
		if got := strings.Contains(m.View(), "closes in 3 s"); got == touch {
			t.Errorf("touched %v: the countdown is shown: %v", touch, got)
		}
		if quit := tick(15.01); quit == touch {
			t.Errorf("touched %v: quit after 5 s: %v", touch, quit)
		}
	}
}

// isQuit runs a command that is either a tick or the end.
func isQuit(cmd tea.Cmd) bool {
	_, ok := cmd().(tea.QuitMsg)
	return ok
}

func TestPhaseWords(t *testing.T) {
	for phase, want := range map[pull.Phase]string{
		"": "slack, no load yet", pull.Loading: "loading", pull.PastPeak: "past the peak",
		pull.Faded: "faded, no snap", pull.LetOff: "let off", pull.Unclear: "unclear",
	} {
		if got := phaseText(&pull.State{Phase: phase}); got != want {
			t.Errorf("phaseText(%q) = %q, want %q", phase, got, want)
		}
	}
}

// A pause of the pump looks like a peak gone by: nobody claims it before the force
// is 5 % under the drag hand. Source: the rule of phaseText, by hand.
func TestPausedPhase(t *testing.T) {
	for now, want := range map[si.Force]string{30e3: "load held or falling", 28.5e3: "load held or falling", 28.4e3: "past the peak"} {
		s := &pull.State{Phase: pull.PastPeak}
		s.Live.Specimen, s.Peak.Specimen = now, 30e3
		if got := phaseText(s); got != want {
			t.Errorf("at %v of 30 kN: %q, want %q", now, got, want)
		}
	}
}

// A bar that was let off may be pumped again, so that pull stays open: whoever is
// done with it can end it, and is not asked, since nothing is loaded.
func TestLetOffCanBeEnded(t *testing.T) {
	f := at(30, 20e3)
	s := &f.snap.State
	s.Phase, s.Outcome = pull.LetOff, pull.LetOff
	m, quit := press(screen(f, 80, 24, termenv.Ascii), "e")
	if quit || m.ask != noQuestion || !slices.Equal(f.commands(), []watch.Command{watch.EndPull}) {
		t.Errorf("quit %v, question %v, commands %v", quit, m.ask, f.commands())
	}
}
