package tui

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/x/ansi"
)

// ReplayKeys are the keys of a replay. A key that would do nothing now is
// disabled, and then neither answers nor shows.
type ReplayKeys struct {
	Play, Back, On, BackOne, OnOne, Start, End, Peak, Break, Alarm, Faster, Slower, Window, Story, Units, Help, Quit, Abort key.Binding
}

// DefaultReplayKeys are the keys as shipped.
func DefaultReplayKeys() ReplayKeys {
	bind := func(name, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(name, what))
	}
	return ReplayKeys{
		Play:    bind("space", "play", " "),
		Back:    bind("←", "1 s back", "left"),
		On:      bind("→", "1 s on", "right"),
		BackOne: bind(",", "one reading back", ",", "shift+left"),
		OnOne:   bind(".", "one reading on", ".", "shift+right"),
		Start:   bind("home", "start", "home"),
		End:     bind("end", "end", "end"),
		Peak:    bind("p", "peak", "p"),
		Break:   bind("b", "break", "b"),
		Alarm:   bind("n", "next alarm", "n"),
		Faster:  bind("+", "faster", "+", "="),
		Slower:  bind("-", "slower", "-"),
		Window:  bind("w", "time shown", "w"),
		Story:   bind("v", "events", "v"),
		Units:   bind("u", "lbf or kN", "u"),
		Help:    bind("?", "help", "?"),
		Quit:    bind("q", "leave", "q", "esc"),
		Abort:   bind("ctrl+c", "leave at once", "ctrl+c"),
	}
}

// all are the keys in the order they are explained.
func (k *ReplayKeys) all() []*key.Binding {
	return []*key.Binding{
		&k.Play, &k.Back, &k.On, &k.BackOne, &k.OnOne, &k.Peak, &k.Break, &k.Alarm, &k.Start, &k.End,
		&k.Slower, &k.Faster, &k.Window, &k.Story, &k.Units, &k.Help, &k.Quit, &k.Abort,
	}
}

// line is the one line of keys, w cells at most; those that are used least are
// left out first. Help names all.
func (k ReplayKeys) line(w int) string {
	second, reading, speed := k.Back, k.BackOne, k.Faster
	second.SetHelp("←→", "1 s")
	reading.SetHelp(", .", "one reading")
	speed.SetHelp("+ -", "speed")
	speed.SetEnabled(true) // one of both always does something
	shown := []key.Binding{k.Play, second, reading, k.Peak, k.Break, k.Alarm, speed, k.Window, k.Story, k.Units, k.Help, k.Quit}
	for _, less := range []string{"u", "+ -", ", .", "v", "w", "←→"} {
		h := plainHelp(0)
		if ansi.StringWidth(h.ShortHelpView(shown)) <= w {
			break
		}
		for i := range shown {
			if shown[i].Help().Key == less {
				shown[i].SetEnabled(false)
			}
		}
	}
	h := plainHelp(w)
	return h.ShortHelpView(shown)
}

// words are all keys that do something now, each with what it does.
func (k ReplayKeys) words() string {
	var out []string
	for _, b := range k.all() {
		if b.Enabled() {
			out = append(out, b.Help().Key+" "+b.Help().Desc)
		}
	}
	return strings.Join(out, "; ")
}
