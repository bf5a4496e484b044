package tui

import (
	"strings"
	"testing"

	"github.com/muesli/termenv"

	"draghand/internal/bench"
	"draghand/internal/pull"
	"draghand/internal/si"
)

// TestLeavingALoadedRig: no screen leaves a loaded rig without asking.
func TestLeavingALoadedRig(t *testing.T) {
	onBench := func(d *fakeDesk) App { return app(d, 80, 24, termenv.Ascii) }
	after := func(d *fakeDesk) App { return afterApp(d, 80, 24, termenv.Ascii) }
	loadedDesk := func() *fakeDesk {
		d := endedDesk(pull.Tension, pull.Broken)
		d.view.Look = states["loading"]().snap
		return d
	}
	for _, tt := range []struct {
		name string
		open func(*fakeDesk) App
		desk *fakeDesk
		asks string
	}{
		{"bench", onBench, loadedDesk(), leaveLoaded},
		{"after", after, loadedDesk(), leaveLoaded},
		{"after a pull that ended under load", after, endedDesk(pull.Tension, pull.Ended), leaveMaybe},
		{"bench without load", onBench, readyDesk(), ""},
		{"after without load", after, endedDesk(pull.Tension, pull.Broken), ""},
	} {
		a, quit := drive(t, tt.open(tt.desk), "q")
		if quit != (tt.asks == "") || !strings.Contains(a.View(), tt.asks) {
			t.Errorf("%s: quit %v without %q:\n%s", tt.name, quit, tt.asks, a.View())
			continue
		}
		if tt.asks == "" {
			continue
		}
		if b, quit := drive(t, a, "a", "z", "n"); quit || strings.Contains(b.View(), tt.asks) || len(tt.desk.calls()) > 0 {
			t.Errorf("%s: n does not stay, or asked %v", tt.name, tt.desk.calls())
		}
		if _, quit := drive(t, a, "y"); !quit {
			t.Errorf("%s: y does not leave", tt.name)
		}
	}
}

// TestEndingUnseen: who ends a pull whose force is not seen is told that the rig
// may be loaded.
func TestEndingUnseen(t *testing.T) {
	for _, s := range sizes {
		f := states["blind"]()
		for i := range f.snap.State.Alarms {
			f.snap.State.Alarms[i].Acked = true
		}
		for _, k := range []string{"e", "q"} {
			m, _ := press(screen(f, s.w, s.h, termenv.Ascii), k)
			if got := m.View(); len(f.commands()) > 0 || !strings.Contains(got, "the rig may be loaded") || !strings.Contains(got, "y / n") {
				t.Errorf("%s at %d×%d: %v\n%s", k, s.w, s.h, f.commands(), got)
			}
		}
	}
}

// TestHelpCloses: any key closes help on every screen and does nothing else, but a
// on the pull screen, which acknowledges as well.
func TestHelpCloses(t *testing.T) {
	for _, k := range []string{"?", "q", "e", "u", "esc", "a"} {
		f := states["warning"]()
		m, quit := press(screen(f, 80, 24, termenv.Ascii), "?", k)
		if m.help || quit || m.ask != noQuestion || m.units != si.US || (len(f.commands()) > 0) != (k == "a") {
			t.Errorf("pull, %s: help %v, quit %v, %v", k, m.help, quit, f.commands())
		}
		r := replayed(22, 38e3)
		v := replayScreen(r, 80, 24, termenv.Ascii)
		n, _ := v.Update(keyMsg("?"))
		if !strings.Contains(n.View(), "any key closes this") {
			t.Errorf("the help of a replay does not say how it closes:\n%s", n.View())
		}
		n, cmd := n.Update(keyMsg(k))
		if n.(ReplayScreen).help || cmd != nil || len(r.wishes) > 0 {
			t.Errorf("replay, %s: help %v, wishes %v", k, n.(ReplayScreen).help, r.wishes)
		}
	}
}

// TestStopOffersWhatWorks: over a stop no help is offered nor remembered, and of a
// closed pull in a sitting no way past it; what was said goes with the next key.
func TestStopOffersWhatWorks(t *testing.T) {
	for _, state := range []string{"stop", "blind"} {
		f := states[state]()
		m, _ := press(screen(f, 80, 24, termenv.Ascii), "?")
		if m.help || strings.Contains(m.View(), "? help") {
			t.Errorf("%s: help is open %v or offered:\n%s", state, m.help, m.View())
		}
	}
	f := states["warning"]()
	m, _ := press(screen(f, 80, 24, termenv.Ascii), "?")
	f.snap = states["stop"]().snap
	m = send(m, EdgeMsg{})
	for i := range f.snap.State.Alarms {
		f.snap.State.Alarms[i].Acked = true
	}
	if m = send(m, EdgeMsg{}); m.help {
		t.Error("help comes back after a stop")
	}
	m = screen(states["stop-closed"](), 80, 24, termenv.Ascii)
	m.sitting = true
	m.load()
	if strings.Contains(m.View(), "q to the result") {
		t.Errorf("what does not work is offered:\n%s", m.View())
	}
	m, quit := press(m, "q")
	if quit || !strings.Contains(m.View(), "press a to acknowledge first") {
		t.Errorf("q over a stop says nothing:\n%s", m.View())
	}
	if m, _ = press(m, "a"); strings.Contains(m.View(), "acknowledge first") || !strings.Contains(m.View(), "q to the result") {
		t.Errorf("the note stays:\n%s", m.View())
	}
}

// TestUnitsStay: the units chosen in a pull are those of the sitting.
func TestUnitsStay(t *testing.T) {
	d := endedDesk(pull.Tension, pull.Broken)
	d.src = states["loading"]()
	a, _ := drive(t, app(d, 120, 40, termenv.Ascii), "a", "u")
	a, _ = a.told(openAfter{})
	a = tell(a, screenMsg{a.id, endedMsg{d.Ended()}})
	if frame := a.View(); !strings.Contains(frame, "kN") || strings.Contains(lineOf(frame, "drag hand"), "lbf") {
		t.Errorf("the result is in other units than the pull:\n%s", frame)
	}
	a, _ = drive(t, a, "b", "a")
	if m, ok := a.front.(PullScreen); !ok || m.units != si.Metric {
		t.Errorf("the next pull does not begin in them")
	}
}

// TestWhatIsInTheWay: a on a bench without a rig says what is missing, every key
// shows at the least size, and the help tells whole what was cut.
func TestWhatIsInTheWay(t *testing.T) {
	d := readyDesk()
	d.view.Refusals = []bench.Refusal{noReading, noRig, noDiameter, unseen}
	d.view.Source = bench.SourceFailed
	d.view.SourceErr = "cannot open /dev/ttyACM0: permission denied. Add yourself to the group that owns it (dialout on most machines), log out and in again, and see that no other program holds the port; then press p and take it again"
	a, _ := drive(t, app(d, 80, 24, termenv.Ascii), "a")
	if got := a.View(); !strings.Contains(got, "not armed: no reading comes") {
		t.Errorf("a says nothing:\n%s", got)
	}
	a, _ = drive(t, a, "tab", "tab", "tab")
	last := a.View()[strings.LastIndexByte(a.View(), '\n'):]
	for _, k := range []string{"enter ", "tab", "p ", "r ", "l shelf", "? help", "q leave"} {
		if !strings.Contains(last, k) {
			t.Errorf("key %q is not in %q", k, last)
		}
	}
	if got := strings.Join(strings.Fields(a.View()), " "); !strings.Contains(got, "? tells all of it") || !strings.Contains(got, "then press p and take it again") {
		t.Errorf("cut, and nowhere to read it:\n%s", got)
	}
	a, _ = drive(t, a, "?")
	got := strings.Join(strings.Fields(a.View()), " ")
	for _, words := range []string{noReading.Next, noRig.Next, noDiameter.Next, unseen.Next, "then press p and take it again", "a arm the pull, once nothing is in the way"} {
		if !strings.Contains(got, words) {
			t.Errorf("the help does not say %q:\n%s", words, a.View())
		}
	}
}
