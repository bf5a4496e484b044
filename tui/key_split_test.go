package tui

import (
	"slices"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// atOnce presses keys that are read in one piece, and runs what they lead to.
func atOnce(t *testing.T, m tea.Model, keys string, paste bool) (tea.Model, bool) {
	t.Helper()
	quit := false
	todo := []tea.Msg{tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(keys), Paste: paste}}
	for i := 0; len(todo) > 0; i++ {
		if i > 100 {
			t.Fatal("the keys never end")
		}
		next, cmd := m.Update(todo[0])
		m, todo = next, todo[1:]
		if cmd == nil {
			continue
		}
		switch msg := cmd().(type) {
		case nil:
		case tea.QuitMsg:
			quit = true
		case tea.BatchMsg:
			for _, c := range msg {
				todo = append(todo, c())
			}
		default:
			todo = append(todo, msg)
		}
	}
	return m, quit
}

// TestKeysReadAtOnce: letters that come in one read, as of a key hammered or a
// slow line, are as many keys, in their order.
func TestKeysReadAtOnce(t *testing.T) {
	tests := []struct {
		state, keys string
		want        []watch.Command
		quit        bool
	}{
		{"stop", "aa", []watch.Command{watch.AckAlarms, watch.AckAlarms}, false},
		{"warning", "aaa", []watch.Command{watch.AckAlarms, watch.AckAlarms, watch.AckAlarms}, false},
		{"loading", "ey", []watch.Command{watch.EndPull}, false},
		{"loading", "en", nil, false},
		{"loading", "qy", []watch.Command{watch.EndPull}, true},
		{"zeroed", "zu", []watch.Command{watch.ZeroNow}, false},
	}
	for _, tt := range tests {
		f := states[tt.state]()
		_, quit := atOnce(t, screen(f, 80, 24, termenv.Ascii), tt.keys, false)
		if got := f.commands(); !slices.Equal(got, tt.want) || quit != tt.quit {
			t.Errorf("%s, %q: commands %v, quit %v; want %v, %v", tt.state, tt.keys, got, quit, tt.want, tt.quit)
		}
		// In a sitting the keys reach the pull as well.
		d := readyDesk()
		f = states[tt.state]()
		d.src = f
		a, _ := drive(t, app(d, 80, 24, termenv.Ascii), "a")
		atOnce(t, a, tt.keys, false)
		if got := f.commands(); !slices.Equal(got, tt.want) {
			t.Errorf("in a sitting, %s, %q: commands %v, want %v", tt.state, tt.keys, got, tt.want)
		}
	}
	m, _ := atOnce(t, screen(states["loading"](), 80, 24, termenv.Ascii), "uuu", false)
	if got := m.(PullScreen).units; got != si.Metric {
		t.Errorf("three times u: %v, want metric", got)
	}
}

// TestPasteIsNoKey: what is pasted outside a text does nothing, help open or not.
func TestPasteIsNoKey(t *testing.T) {
	for _, state := range []string{"stop", "warning", "loading", "zeroed", "broken-saved"} {
		f := states[state]()
		m := screen(f, 80, 24, termenv.Ascii)
		was := m.View()
		for _, text := range []string{"a", "ey", "qy", "u"} {
			next, quit := atOnce(t, m, text, true)
			if len(f.commands()) > 0 || quit || next.View() != was {
				t.Errorf("%s: %q pasted gives %v, quit %v", state, text, f.commands(), quit)
			}
		}
	}
	d := readyDesk()
	a, _ := drive(t, app(d, 80, 24, termenv.Ascii), "?")
	next, quit := atOnce(t, a, "aq", true)
	if a = next.(App); a.help == nil || quit || len(d.calls()) > 0 {
		t.Errorf("pasted under help: open %v, quit %v, %v", a.help != nil, quit, d.calls())
	}
	// Where keys are text it is one.
	d = endedDesk(pull.Tension, pull.Broken)
	a, _ = drive(t, afterApp(d, 80, 24, termenv.Ascii), "m")
	next, _ = atOnce(t, a, "a pore, e\u0301tude", true)
	a, _ = drive(t, next.(App), "enter")
	if want := []string{`remark "a pore, étude"`}; !slices.Equal(d.calls(), want) {
		t.Errorf("a paste into a remark: %q, want %q", d.calls(), want)
	}
}

// TestKeysFallOnWhatTheyLeadTo: the keys after one that leads elsewhere fall on
// the screen it led to, and none falls on a pull that is just being armed.
func TestKeysFallOnWhatTheyLeadTo(t *testing.T) {
	d := readyDesk()
	d.src = states["zeroed"]()
	a, _ := drive(t, app(d, 80, 24, termenv.Ascii))
	next, cmd := a.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("?a")})
	a, _ = follow(t, next.(App), cmd, 0)
	if a.help != nil || len(d.calls()) > 0 {
		t.Errorf("help open %v after its closing key, and %v", a.help != nil, d.calls())
	}
	next, cmd = a.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("aeq")})
	a, _ = follow(t, next.(App), cmd, 0)
	if got := d.src.(*fake).commands(); len(got) > 0 || inFront(a) != "pull" {
		t.Errorf("armed by a hasty hand: %v, %s in front", got, inFront(a))
	}
	d = endedDesk(pull.Tension, pull.Broken)
	next, cmd = afterApp(d, 80, 24, termenv.Ascii).Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("mpore")})
	if a, _ = follow(t, next.(App), cmd, 0); !a.front.(AfterScreen).takesText() || len(d.calls()) > 0 {
		t.Errorf("m and a word at once: %v", d.calls())
	}
}
