package tui

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/help"
	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
)

// PullKeys are the keys of the pull screen. A key that would do nothing now is
// disabled, and then neither answers nor shows.
type PullKeys struct {
	Ack, Zero, Units, Window, Story, End, Quit, Help, Abort, Yes, No key.Binding
	// Suspend is answered by a note: stopping the program would stop the readings.
	Suspend key.Binding
}

// DefaultPullKeys are the keys as shipped.
func DefaultPullKeys() PullKeys {
	bind := func(name, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(name, what))
	}
	return PullKeys{
		Ack:     bind("a", "acknowledge", "a"),
		Zero:    bind("z", "take zero", "z"),
		Units:   bind("u", "lbf or kN", "u"),
		Window:  bind("w", "time shown", "w"),
		Story:   bind("v", "events", "v"),
		End:     bind("e", "end the pull", "e"),
		Quit:    bind("q", "leave", "q"),
		Help:    bind("?", "help", "?"),
		Abort:   bind("ctrl+c", "leave at once, which ends the pull", "ctrl+c"),
		Yes:     bind("y", "yes", "y", "Y"),
		No:      bind("n", "no", "n", "N", "esc", "enter"),
		Suspend: bind("ctrl+z", "does nothing", "ctrl+z"),
	}
}

// ShortHelp are the keys for one line.
func (k PullKeys) ShortHelp() []key.Binding {
	return []key.Binding{k.Ack, k.Zero, k.Units, k.Window, k.Story, k.End, k.Quit, k.Help}
}

// helpLine is the one line of keys, w cells at most. Where it is too long, the
// keys that only change what is shown are left out, the units first: those that
// act on the pull, and help, which names all of them, stay.
func helpLine(k PullKeys, w int) string {
	for _, less := range []*key.Binding{nil, &k.Units, &k.Story, &k.Window} {
		if less != nil {
			less.SetEnabled(false)
		}
		if wide := plainHelp(0); ansi.StringWidth(wide.ShortHelpView(k.ShortHelp())) <= w {
			break
		}
	}
	h := plainHelp(w)
	return h.ShortHelpView(k.ShortHelp())
}

// helpKeys are all keys that are enabled, each with its words, as a helpRow.
func helpKeys(k PullKeys) string {
	var out []string
	for _, b := range append(k.ShortHelp(), k.Abort, k.Suspend) {
		if b.Enabled() {
			out = append(out, strings.ReplaceAll(b.Help().Key+" "+b.Help().Desc, " ", "~"))
		}
	}
	return strings.Join(out, ", ")
}

// closeKeys is the line of keys in w cells, closer together before one is left out.
func closeKeys(keys []key.Binding, w int) string {
	h := plainHelp(0)
	if t := h.ShortHelpView(keys); ansi.StringWidth(t) <= w {
		return t
	}
	h = plainHelp(w)
	h.ShortSeparator = "  "
	return h.ShortHelpView(keys)
}

// alsoKey puts a key before the last two of a line of w cells where it has room.
func alsoKey(keys []key.Binding, also key.Binding, w int) []key.Binding {
	more := slices.Insert(slices.Clone(keys), len(keys)-2, also)
	if h := plainHelp(0); ansi.StringWidth(h.ShortHelpView(more)) > w {
		return keys
	}
	return more
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
