package tui

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/exp/golden"
	"github.com/muesli/termenv"
)

func replayGoldens() map[string]func() string {
	out := map[string]func() string{}
	for name, make := range replayStates {
		for _, s := range sizes {
			out[goldenName(name, s.w, s.h)] = func() string { return replayScreen(make(), s.w, s.h, termenv.Ascii).View() }
		}
		for colour, profile := range colours {
			out[name+"-colours-"+colour] = func() string {
				var b strings.Builder
				for _, s := range sizes {
					fmt.Fprintf(&b, "%d×%d\n%s\n\n", s.w, s.h, replayScreen(make(), s.w, s.h, profile).View())
				}
				return b.String()
			}
		}
	}
	for _, s := range sizes[:3] {
		for as, keys := range map[string][]string{"help": {"?"}, "before-60": {"w"}, "before-10": {"w", "w"}, "story": {"v"}} {
			out[goldenName(as, s.w, s.h)] = func() string {
				m := replayScreen(replayStates["playing"](), s.w, s.h, termenv.Ascii)
				for _, k := range keys {
					next, _ := m.Update(keyMsg(k))
					m = next.(ReplayScreen)
				}
				return m.View()
			}
		}
	}
	return out
}

func TestReplayFrame(t *testing.T) {
	for name, frame := range replayGoldens() {
		t.Run(name, func(t *testing.T) { golden.RequireEqual(t, frame()) })
	}
}

func TestEveryReplayGoldenHasATest(t *testing.T) {
	files, err := filepath.Glob("testdata/TestReplayFrame/*.golden")
	if err != nil {
		t.Fatal(err)
	}
	owned := replayGoldens()
	for _, f := range files {
		if owned[strings.TrimSuffix(filepath.Base(f), ".golden")] == nil {
			t.Errorf("%s is of no test", f)
		}
	}
	if len(files) != len(owned) {
		t.Errorf("%d golden files for %d frames", len(files), len(owned))
	}
}

// No state breaks a frame at any size, with help or without, in any window; and
// each says at every size that it is a replay.
func TestReplayFrameFits(t *testing.T) {
	drawnAlone(t)
	for name, make := range replayStates {
		m := replayScreen(make(), 80, 24, termenv.ANSI256)
		for _, w := range []int{0, 1, 2, 3, 10, 20, 40, 60, 79, 80, 81, 83, 100, 120, 150, 163, 200} {
			for _, h := range []int{0, 1, 2, 4, 12, 23, 24, 25, 30, 35, 36, 45, 52, 60} {
				for m.pull.shown = range shownTimes {
					m.help = m.pull.shown == lastTen
					m.pull.width, m.pull.height = w, h
					frame := m.View()
					checkText(t, name, frame, w, h)
					if w >= len(replayWord) && h > 0 && !strings.Contains(frame, "REPLAY") {
						t.Fatalf("%s at %d×%d does not say what it is:\n%s", name, w, h, frame)
					}
				}
			}
		}
	}
}

// What a person must find of a replay at every size that is laid out, and what may
// never stand there: it asks nobody to do anything on the rig.
func TestReplayFrameSays(t *testing.T) {
	tests := map[string][]string{
		"end":         {"replay: BROKE at", "at 0:45.0 of 0:45.0, paused, everything read", "result   strength ", "q leave", "2026-11-25T140322Z-M1-3"},
		"playing":     {"at 0:22.0 of 0:45.0, playing × 2, everything read", "drag hand", "space pause", "loading", "simulated"},
		"alarm":       {"replay: ■ STOP was raised at 0:31.2, link bar"},
		"blind":       {"replay: ■ the force could not be seen from", "not seen: open circuit"},
		"recomputing": {"recomputing with corrected-arms.toml", "reading the record", "33 % so far"},
		"recomputed":  {"recomputed with corrected-arms.toml", "no alarm was raised"},
		"damaged":     {"DAMAGED at byte 1048576 (line 30001)", "; shown up to 0:30.0"},
		"unfinished":  {"never closed"},
		"closing":     {"replay: BROKE at", "reading …, 4 % so far"},
	}
	never := []string{"release", "press a", "stop pumping", "pump more slowly", "let off slowly", "NOT SAVED", "nothing watches", "keep running", "needs 2 quiet seconds", "let nothing touch", "end the pull"}
	for name := range replayStates {
		for _, s := range sizes {
			frame := replayScreen(replayStates[name](), s.w, s.h, termenv.Ascii).View()
			flat := strings.Join(strings.Fields(frame), " ")
			for _, word := range tests[name] {
				if s != sizes[3] && !strings.Contains(frame, word) {
					t.Errorf("%s at %d×%d does not say %q:\n%s", name, s.w, s.h, word, frame)
				}
			}
			for _, word := range never {
				if strings.Contains(flat, word) {
					t.Errorf("%s at %d×%d says %q:\n%s", name, s.w, s.h, word, frame)
				}
			}
		}
	}
	small := map[string][]string{
		"alarm":       {"STOP was raised at 0:31.2", "at 0:36.0 of 0:45.0", "80 columns"},
		"recomputing": {"recomputing with", "reading"},
		"damaged":     {"DAMAGED"},
	}
	for name, words := range small {
		flat := strings.Join(strings.Fields(replayScreen(replayStates[name](), 60, 18, termenv.Ascii).View()), " ")
		for _, word := range words {
			if !strings.Contains(flat, word) {
				t.Errorf("%s at 60×18 does not say %q:\n%s", name, word, flat)
			}
		}
	}
}

// Each key wishes for what it says.
func TestReplayKeys(t *testing.T) {
	f := replayStates["playing"]()
	m := replayScreen(f, 120, 40, termenv.Ascii)
	for _, test := range []struct {
		key  tea.KeyMsg
		want Transport
	}{
		{tea.KeyMsg{Type: tea.KeySpace, Runes: []rune(" ")}, Transport{Do: PlayPause}},
		{tea.KeyMsg{Type: tea.KeyLeft}, Transport{Do: SeekBy, To: -time.Second}},
		{tea.KeyMsg{Type: tea.KeyRight}, Transport{Do: SeekBy, To: time.Second}},
		{tea.KeyMsg{Type: tea.KeyShiftLeft}, Transport{Do: Step, By: -1}},
		{tea.KeyMsg{Type: tea.KeyShiftRight}, Transport{Do: Step, By: 1}},
		{keyMsg(","), Transport{Do: Step, By: -1}},
		{keyMsg("."), Transport{Do: Step, By: 1}},
		{tea.KeyMsg{Type: tea.KeyHome}, Transport{Do: SeekStart}},
		{tea.KeyMsg{Type: tea.KeyEnd}, Transport{Do: SeekEnd}},
		{keyMsg("p"), Transport{Do: SeekPeak}},
		{keyMsg("b"), Transport{Do: SeekTo, To: seconds(fixtureBreaks) - 1}},
		{keyMsg("n"), Transport{Do: SeekNextAlarm}},
		{keyMsg("+"), Transport{Do: Faster, By: 2.5}},
		{keyMsg("-"), Transport{Do: Faster, By: 0.5}},
	} {
		f.wishes = nil
		m.Update(test.key)
		if len(f.wishes) != 1 || f.wishes[0] != test.want {
			t.Errorf("%q wished for %+v, want %+v", test.key, f.wishes, test.want)
		}
	}
	f.wishes = nil
	for _, k := range []string{"a", "z", "e", "y", "u", "w", "?"} { // none of the pull's commands reaches it
		m.Update(keyMsg(k))
	}
	if len(f.wishes)+len(f.commands()) > 0 {
		t.Errorf("wished for %+v, commanded %v", f.wishes, f.commands())
	}
	if _, cmd := m.Update(keyMsg("q")); cmd == nil || cmd() != (tea.QuitMsg{}) {
		t.Error("q does not leave")
	}
	// Keys that come in one message are as many keys.
	f.wishes = nil
	m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("+,+")})
	if want := []Transport{{Do: Faster, By: 2.5}, {Do: Step, By: -1}, {Do: Faster, By: 2}}; !slices.Equal(f.wishes, want) {
		t.Errorf("wished for %+v, want %+v", f.wishes, want)
	}
	// Slowest and fastest do not go on.
	for speed, k := range map[float64]string{100: "+", 0.1: "-"} {
		f.back.Speed, f.wishes = speed, nil
		m.load()
		m.Update(keyMsg(k))
		if len(f.wishes) > 0 {
			t.Errorf("%s at × %v wished for %+v", k, speed, f.wishes)
		}
	}
}

// TestBreakBeforeItIsKnown: a break that is asked for before the record was read so
// far leads to the last reading before it as well.
func TestBreakBeforeItIsKnown(t *testing.T) {
	f := replayed(22, 38e3)
	at := f.back.Break
	f.back.Break, f.back.Known = -1, seconds(22)
	m := replayScreen(f, 80, 24, termenv.Ascii)
	next, _ := m.Update(keyMsg("b"))
	f.back.Break, f.back.At, f.back.Known = at, at, f.back.Length
	m = next.(ReplayScreen)
	m.load()
	if want := []Transport{{Do: SeekBreak}, {Do: SeekTo, To: at - 1}}; !slices.Equal(f.wishes, want) {
		t.Errorf("wished for %+v, want %+v", f.wishes, want)
	}
	f.back.At = at - 1
	m.load()
	if got := m.View(); !strings.Contains(got, "at 0:41.0 of 0:45.0, the last reading before the break") {
		t.Errorf("does not say what is shown:\n%s", got)
	}
}
