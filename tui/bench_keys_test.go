package tui

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/bench"
	"draghand/internal/pull"
)

func TestBenchKeys(t *testing.T) {
	refused := func() *fakeDesk { return readyDesk().refuse(unknownPin, unseen) }
	final := func() *fakeDesk { return readyDesk().refuse(unknownPin, noRig) }
	unready := func() *fakeDesk {
		d := readyDesk()
		d.view.Points = points(1)
		return d
	}
	failing := func() *fakeDesk {
		d := readyDesk()
		d.setErr, d.armErr = errors.New("there is no such thing"), errors.New("the board went away")
		return d
	}
	loaded := func() *fakeDesk {
		d := readyDesk()
		d.zeroErr = errors.New("no zero taken: it would hide the load of 463 lbf: take it off")
		return d
	}
	noPorts := func() *fakeDesk {
		d := readyDesk()
		d.portErr = errors.New("not while a pull is recorded")
		return d
	}
	tests := []struct {
		name  string // source: issue 4
		desk  func() *fakeDesk
		keys  []string
		calls []string
		front string
		says  string
	}{
		{"a arms", readyDesk, []string{"a"}, []string{`arm ""`}, "pull", "drag hand"},
		{"a does not arm what is refused", refused, []string{"a"}, nil, "bench", "not armed: "},
		{"o asks why", refused, []string{"o"}, nil, "bench", "arm all the same: why?"},
		{"no reason is none", refused, []string{"o", "enter"}, nil, "bench", "at least 3 letters"},
		{"two letters and blanks are none", refused, []string{"o", "o", " ", " ", "k", "1", "enter"}, nil, "bench", "at least 3 letters"},
		{"a reason arms", refused, []string{"o", "o", "l", "d", "enter"}, []string{`arm "old"`}, "pull", ""},
		{"esc does not arm", refused, []string{"o", "o", "l", "d", "esc"}, nil, "bench", "cannot be armed yet"},
		{"keys are text while typed", refused, []string{"o", "q", "a", "z", "l", "p"}, nil, "bench", "qazlp"},
		{"nothing overrules what is final", final, []string{"o", "a"}, nil, "bench", "no rig is chosen"},
		{"o is nothing when ready", readyDesk, []string{"o"}, nil, "bench", "READY"},
		{"arming fails", failing, []string{"a"}, []string{`arm ""`}, "bench", "NOT ARMED: the board went away"},
		{"z takes a zero", readyDesk, []string{"z"}, []string{"zero"}, "bench", "let nothing touch the rig"},
		{"z under load says why not", loaded, []string{"z"}, []string{"zero"}, "bench", "it would hide the load of 463 lbf"},
		{"space sees to one point", unready, []string{"tab", " "}, []string{"confirm p2 true"}, "bench", "2 of 11"},
		{"and goes on to the next", unready, []string{"tab", " ", " "}, []string{"confirm p2 true", "confirm p3 true"}, "bench", "3 of 11"},
		{"a point is taken back", unready, []string{"tab", "up", " "}, []string{"confirm p1 false"}, "bench", "0 of 11"},
		{"space in the set-up sees to nothing", unready, []string{" "}, nil, "bench", "1 of 11"},
		{"right takes the next choice", readyDesk, []string{"down", "down", "right"}, []string{`set kind "crush"`}, "bench", "crush"},
		{"left goes round", readyDesk, []string{"down", "down", "left"}, []string{`set kind "proof"`}, "bench", "proof"},
		{"right is nothing where nothing is to choose", readyDesk, []string{"right", "left"}, nil, "bench", ""},
		{"enter changes a field", readyDesk, []string{"down", "down", "down", "enter", "2", "enter"}, []string{`set melt "M12"`}, "bench", "M12"},
		{"esc leaves it", readyDesk, []string{"down", "down", "down", "enter", "2", "esc"}, nil, "bench", "melt M1 "},
		{"what cannot be used says so", failing, []string{"down", "down", "down", "enter", "enter"}, []string{`set melt "M1"`}, "bench", "not usable: there is no such thing"},
		{"shift+tab goes back", readyDesk, []string{"shift+tab"}, nil, "bench", "▸ rig"},
		{"p with no ports", readyDesk, []string{"p"}, nil, "bench", "no port is found"},
		{"p refused", noPorts, []string{"p"}, nil, "bench", "not while a pull is recorded"},
		{"r with no files", readyDesk, []string{"r"}, nil, "bench", "draghand rig new"},
		{"l opens the shelf", readyDesk, []string{"l"}, nil, "shelf", ""},
		{"? opens help", readyDesk, []string{"?"}, nil, "bench", "help: the bench"},
	}
	for _, tt := range tests {
		d := tt.desk()
		a, quit := drive(t, app(d, 120, 40, termenv.Ascii), tt.keys...)
		if got := d.calls(); !slices.Equal(got, tt.calls) || inFront(a) != tt.front || quit {
			t.Errorf("%s: asked %q with %s in front, quit %v; want %q, %s", tt.name, got, inFront(a), quit, tt.calls, tt.front)
		}
		if frame := a.View(); !strings.Contains(frame, tt.says) {
			t.Errorf("%s: does not say %q:\n%s", tt.name, tt.says, frame)
		}
	}
}

// TestReasonIsForWhatWasShown: arming is handed the view in which the reason was
// asked for, not one that came while it was typed; what came then is told.
func TestReasonIsForWhatWasShown(t *testing.T) {
	d := readyDesk()
	d.view.Refusals = []bench.Refusal{{What: "11 points of 11 are not seen to", Next: "go round the rig"}}
	a, _ := drive(t, app(d, 120, 40, termenv.Ascii), "o", "o", "l", "d")
	d.mu.Lock()
	d.view.Refusals = append([]bench.Refusal{{What: "there is load on the rig: 22.0 kN", Next: "take it off"}}, d.view.Refusals...)
	d.armErr = &bench.Refused{Refusals: d.view.Refusals, Unseen: []string{"there is load on the rig: 22.0 kN"}}
	d.mu.Unlock()
	a = tell(a, EdgeMsg{})
	a, _ = drive(t, a, "enter")
	if d.shown == nil || len(d.shown.Refusals) != 1 {
		t.Errorf("armed for %+v, not for what was shown", d.shown)
	}
	if frame := a.View(); inFront(a) != "bench" || !strings.Contains(frame, "NOT ARMED: new since the reason was asked for: there is load on the rig: 22.0 kN") {
		t.Errorf("it is not told:\n%s", frame)
	}
}

// TestBenchTripNote: a trip line that is stated and not driven is a caution.
func TestBenchTripNote(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 40}} {
		d := readyDesk()
		d.view.TripNote = "the trip line stays dropped: it does not speak for a simulated rig or a file"
		if frame := app(d, size[0], size[1], termenv.Ascii).View(); !strings.Contains(frame, "the trip line stays dropped") {
			t.Errorf("at %v it is not told:\n%s", size, frame)
		}
	}
}

// TestBenchLists: ports and rig files are chosen from a list; a list that comes
// while something is typed does not take the keys away.
func TestBenchLists(t *testing.T) {
	d := readyDesk()
	d.ports, d.rigs = []string{"serial:/dev/ttyACM0", "sim:"}, []string{"example", "press"}
	a, _ := drive(t, app(d, 80, 24, termenv.Ascii), "tab", "p", "up", "up", "enter", "r", "down", "enter", "p", "esc")
	want := []string{`set source "serial:/dev/ttyACM0"`, `set rig "press"`}
	if got := d.calls(); !slices.Equal(got, want) {
		t.Errorf("asked %q, want %q", got, want)
	}
	if m := a.front.(BenchScreen); m.mode != browsing || m.section != setupSection {
		t.Errorf("mode %v in part %v after the list", m.mode, m.section)
	}
	a, _ = drive(t, a, "enter", "x")
	a = tell(a, screenMsg{a.id, listMsg{bench.FieldSource, []string{"y"}, nil}})
	if m := a.front.(BenchScreen); m.mode != editing {
		t.Error("a list that came late took the keys")
	}
}

// TestBenchWhileArming: nothing that is pressed while the desk arms falls on
// anything; ctrl+c leaves.
func TestBenchWhileArming(t *testing.T) {
	d := readyDesk()
	next, cmd := app(d, 80, 24, termenv.Ascii).Update(keyNamed("a"))
	a := next.(App)
	if !strings.Contains(a.View(), "arming: the record is being made") {
		t.Errorf("it is not said that the desk arms:\n%s", a.View())
	}
	for _, k := range []string{"a", "z", "l", "q", "enter", "?", "tab"} {
		next, more := a.Update(keyNamed(k))
		if a = next.(App); more != nil || inFront(a) != "bench" {
			t.Errorf("%s does something while arming", k)
		}
	}
	if _, quit := drive(t, a, "ctrl+c"); !quit {
		t.Error("ctrl+c does not leave while arming")
	}
	if a, _ = follow(t, a, cmd, 0); inFront(a) != "pull" || len(d.calls()) != 1 {
		t.Errorf("%s in front after %v", inFront(a), d.calls())
	}
}

// TestNextBarAsksForDiameters: with the number filled in, the next empty field
// comes.
func TestNextBarAsksForDiameters(t *testing.T) {
	d := readyDesk()
	d.with(bench.FieldSpecimen, func(f *bench.Field) { f.Text = "" })
	d.with(bench.FieldDiameters, func(f *bench.Field) { f.Text, f.Read = "", "" })
	a, cmd := app(d, 80, 24, termenv.Ascii).told(openBench{at: bench.FieldSpecimen})
	a, _ = follow(t, a, cmd, 0)
	a, _ = drive(t, a, "enter", "M", "1", "-", "4", "enter", "enter", "1", "2", "m", "m", "enter")
	want := []string{`set specimen "M1-4"`, `set diameters "12mm"`}
	if got := d.calls(); !slices.Equal(got, want) {
		t.Errorf("asked %q, want %q\n%s", got, want, a.View())
	}
}

func TestAfterKeys(t *testing.T) {
	tests := []struct {
		name  string // source: issue 4
		keys  []string
		calls []string
		front string
		quit  bool
	}{
		{"q leaves", []string{"q"}, nil, "after", true},
		{"ctrl+c leaves", []string{"ctrl+c"}, nil, "after", true},
		{"ctrl+c leaves while typing", []string{"m", "x", "ctrl+c"}, nil, "after", true},
		{"b is the bench", []string{"b"}, nil, "bench", false},
		{"l is the shelf", []string{"l"}, nil, "shelf", false},
		{"n is the next bar", []string{"n"}, []string{"next bar"}, "bench", false},
		{"m types", []string{"m", "q", "b", "enter"}, []string{`remark "qb"`}, "after", false},
		{"esc gives up", []string{"m", "q", "esc"}, nil, "after", false},
		{"an empty remark is none", []string{"m", " ", "enter"}, nil, "after", false},
		{"a does nothing", []string{"a", "a", " ", "enter"}, nil, "after", false},
	}
	for _, tt := range tests {
		d := endedDesk(pull.Tension, pull.Broken)
		a, quit := drive(t, afterApp(d, 80, 24, termenv.Ascii), tt.keys...)
		if got := d.calls(); !slices.Equal(got, tt.calls) || inFront(a) != tt.front || quit != tt.quit {
			t.Errorf("%s: asked %q with %s in front, quit %v; want %q, %s, %v", tt.name, got, inFront(a), quit, tt.calls, tt.front, tt.quit)
		}
	}
}

// TestAfterWaitsForTheClose: how it came out is asked again until it is known.
func TestAfterWaitsForTheClose(t *testing.T) {
	d := endedDesk(pull.Tension, pull.Broken)
	d.closing = 2
	a := app(d, 80, 24, termenv.Ascii)
	a, cmd := a.told(openAfter{})
	a, _ = follow(t, a, cmd, 0)
	if !strings.Contains(a.View(), "closing the pull") {
		t.Errorf("not closing yet:\n%s", a.View())
	}
	b, _ := drive(t, a, "n", "m", "v")
	if len(d.calls()) > 0 {
		t.Errorf("before it is closed: asked %v", d.calls())
	}
	a, _ = tickNow(t, b)
	a, _ = tickNow(t, a)
	if !strings.Contains(a.View(), "Broken") {
		t.Errorf("it never came:\n%s", a.View())
	}
}

// TestRemarkNotKept: the text stays to be sent again.
func TestRemarkNotKept(t *testing.T) {
	d, keys := afterStates["remark-not-kept"](t)
	a, _ := drive(t, afterApp(d, 80, 24, termenv.Ascii), keys...)
	d.keepErr = nil
	a, _ = drive(t, a, "s", "enter")
	if got := d.calls(); !slices.Equal(got, []string{`remark "pore"`, `remark "pores"`}) || strings.Contains(a.View(), "NOT KEPT") {
		t.Errorf("asked %q:\n%s", got, a.View())
	}
}

func TestLineEdit(t *testing.T) {
	tests := []struct {
		name, from string // source: by hand
		keys       []string
		want       string
	}{
		{"typed", "", []string{"a", "b"}, "ab"},
		{"in the middle", "ac", []string{"left", "b"}, "abc"},
		{"blanks", "", []string{"a", " ", "b"}, "a b"},
		{"back", "ab", []string{"backspace"}, "a"},
		{"back at the start", "ab", []string{"home", "backspace"}, "ab"},
		{"delete", "ab", []string{"home", "delete"}, "b"},
		{"delete at the end", "ab", []string{"delete"}, "ab"},
		{"clear", "ab cd", []string{"ctrl+u"}, ""},
		{"cut the rest", "ab cd", []string{"home", "right", "ctrl+k"}, "a"},
		{"a word", "ab cd ", []string{"ctrl+w"}, "ab "},
		{"wide", "", []string{"炉", "番", "left", "backspace"}, "番"},
		{"a letter and its mark are one", "e\u0301x", []string{"left", "backspace"}, "x"},
		{"a mark by itself joins", "e", []string{"\u0301", "backspace"}, ""},
		{"a paste is one line", "", []string{"a\r\nb\tc\x1b[31m\x00"}, "a b c"},
		{"beyond the ends", "a", []string{"left", "left", "left", "right", "right", "b"}, "ab"},
	}
	for _, tt := range tests {
		e := newLineEdit(tt.from)
		for _, k := range tt.keys {
			if !e.pressed(keyNamed(k)) {
				t.Errorf("%s: %q is not taken", tt.name, k)
			}
		}
		if got := e.text(); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
	e := newLineEdit("a")
	for _, k := range []tea.KeyMsg{{Type: tea.KeyTab}, {Type: tea.KeyCtrlZ}, {Type: tea.KeyF1}, {Type: tea.KeyRunes, Runes: []rune("x"), Alt: true}} {
		e.pressed(k)
	}
	if e.text() != "a" {
		t.Errorf("keys of no use changed the line to %q", e.text())
	}
	e.insert(strings.Repeat("x", 10_000))
	if n := len(e.text()); n > mostTyped {
		t.Errorf("%d characters, want at most %d", n, mostTyped)
	}
}

// FuzzLineEdit: whatever is typed, the line stays one clean line, its cursor
// inside, and its drawing inside its room.
func FuzzLineEdit(f *testing.F) {
	f.Add("ab", "炉e\u0301", uint8(3), uint8(9))
	f.Add("0", "0", uint8(200), uint8(0))
	f.Add("\x1b[2J", "👩‍🔧\u202e", uint8(200), uint8(2))
	f.Fuzz(func(t *testing.T, from, in string, moves, w uint8) {
		e := newLineEdit(from)
		types := []tea.KeyType{tea.KeyLeft, tea.KeyRight, tea.KeyBackspace, tea.KeyDelete, tea.KeyHome, tea.KeyCtrlW, tea.KeyCtrlK, tea.KeyEnd}
		for range 3 {
			e.pressed(tea.KeyMsg{Type: types[moves%8]})
			e.pressed(tea.KeyMsg{Type: types[moves/8%8]})
			e.insert(in)
			if e.at < 0 || e.at > len(e.parts) {
				t.Fatalf("cursor at %d of %d", e.at, len(e.parts))
			}
		}
		if s := e.text(); strings.IndexFunc(s, func(r rune) bool { return r < ' ' || r >= 0x7f && r < 0xa0 }) >= 0 {
			t.Fatalf("control characters in %q", s)
		}
		var p plate
		p.reset(int(w)+4, 1)
		e.draw(&p, 2, 0, int(w))
		for _, c := range []int{0, 1, int(w) + 2, int(w) + 3} {
			if p.cells[c].r != 0 {
				t.Fatalf("drawn outside of its room: %q", p.frame(&theme{}))
			}
		}
	})
}

// What is wrong with a field is told where there is no room for all of it.
func TestRefusalInFewWords(t *testing.T) {
	r := bench.Refusal{
		What:  `least yield: "3" is no stress: no unit (write it as a number and a unit, one of MPa, ksi, psi)`,
		Brief: `least yield: "3" is no stress: no unit`, Next: "correct what is written there", Final: true,
	}
	if got, want := refusalText(&r, 76), r.Brief+": "+r.Next; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := refusalText(&r, 200); got != r.What+": "+r.Next {
		t.Errorf("with room: %q", got)
	}
}

// Load that no record holds stays in sight, in every size.
func TestBenchTellsUnrecordedLoad(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		d := readyDesk()
		d.view.LoadSeen = &bench.LoadSeen{Largest: 2060, At: time.Date(2026, 11, 25, 14, 3, 22, 0, time.UTC)}
		a, _ := drive(t, app(d, size[0], size[1], termenv.Ascii))
		if frame := a.View(); !strings.Contains(frame, "not recorded: largest force 463 lbf at 14:03:22") {
			t.Errorf("%d×%d:\n%s", size[0], size[1], frame)
		}
	}
}

// What bears the force has its name by the kind.
func TestBenchNamesWhatIsPulled(t *testing.T) {
	for kind, want := range map[string]string{"crush": "% of it on the block", "proof": "% of it on the part", "": "of its force on the bar"} {
		d := readyDesk()
		for i := range d.view.Fields {
			if d.view.Fields[i].ID == bench.FieldKind {
				d.view.Fields[i].Text = kind
			}
		}
		a, _ := drive(t, app(d, 120, 40, termenv.Ascii))
		if frame := a.View(); !strings.Contains(frame, want) {
			t.Errorf("%q:\n%s", kind, frame)
		}
	}
}
