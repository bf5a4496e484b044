package tui

import (
	"github.com/charmbracelet/bubbles/help"
	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/lipgloss"
)

// PullKeys are the keys of the pull screen. A key that would do nothing now is
// disabled, and then neither answers nor shows.
type PullKeys struct {
	Ack, Zero, Units, End, Quit, Help, Abort, Yes, No key.Binding
}

// DefaultPullKeys are the keys as shipped. Ctrl+z is not among them: stopping
// the program would stop the readings.
func DefaultPullKeys() PullKeys {
	bind := func(name, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(name, what))
	}
	return PullKeys{
		Ack:   bind("a", "acknowledge", "a"),
		Zero:  bind("z", "take zero", "z"),
		Units: bind("u", "lbf or kN", "u"),
		End:   bind("e", "end the pull", "e"),
		Quit:  bind("q", "quit", "q"),
		Help:  bind("?", "help", "?"),
		Abort: bind("ctrl+c", "end and quit at once", "ctrl+c"),
		Yes:   bind("y", "yes", "y", "Y"),
		No:    bind("n", "no", "n", "N", "esc", "enter"),
	}
}

// ShortHelp are the keys for one line.
func (k PullKeys) ShortHelp() []key.Binding {
	return []key.Binding{k.Ack, k.Zero, k.Units, k.End, k.Quit, k.Help}
}

// helpLine is the one line of keys, w cells at most.
func helpLine(k PullKeys, w int) string {
	h := plainHelp(w)
	return h.ShortHelpView(k.ShortHelp())
}

// plainHelp is the help of the library without its own colours, which ask
// whether the terminal is dark; the plate gives the ink.
func plainHelp(w int) help.Model {
	h := help.New()
	none := lipgloss.NewStyle()
	h.Styles = help.Styles{
		Ellipsis: none, ShortKey: none, ShortDesc: none, ShortSeparator: none,
		FullKey: none, FullDesc: none, FullSeparator: none,
	}
	h.ShortSeparator = "   "
	h.Width = w
	return h
}
