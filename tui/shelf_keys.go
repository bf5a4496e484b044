package tui

import "github.com/charmbracelet/bubbles/key"

// shelfKeys are the keys of the shelf. A key that would do nothing now is
// disabled, and then neither answers nor shows.
type shelfKeys struct {
	Up, Down, PageUp, PageDown, First, Last, Open, Again, Back, Help, Abort key.Binding
}

func newShelfKeys() shelfKeys {
	bind := func(name, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(name, what))
	}
	return shelfKeys{
		Up:       bind("up", "one up", "up", "k"),
		Down:     bind("down", "one down", "down", "j"),
		PageUp:   bind("pgup", "a page up", "pgup"),
		PageDown: bind("pgdn", "a page down", "pgdown", " "),
		First:    bind("home", "the newest", "home", "g"),
		Last:     bind("end", "the oldest", "end", "G"),
		Open:     bind("enter", "look at the pull again", "enter"),
		Again:    bind("r", "read the shelf again", "r"),
		Back:     bind("b", "back to the bench", "b", "esc"),
		Help:     bind("?", "help", "?"),
		Abort:    bind("ctrl+c", "leave at once", "ctrl+c"),
	}
}

// line are the keys for one line.
func (k *shelfKeys) line() []key.Binding {
	short := func(b key.Binding, name, what string) key.Binding {
		b.SetHelp(name, what)
		return b
	}
	move := short(k.Down, "up/down", "choose")
	move.SetEnabled(k.Up.Enabled() || k.Down.Enabled())
	return []key.Binding{short(k.Open, "enter", "look again"), move, short(k.Again, "r", "read again"), short(k.Back, "b", "bench"), k.Help}
}

// help explains the shelf: the keys that work now, and what stands where.
func (k *shelfKeys) help() openHelp {
	rows := []helpRow{{"keys now", ""}}
	rows = append(rows, keyRows(k.Up, k.Down, k.PageUp, k.PageDown, k.First, k.Last, k.Open, k.Again, k.Back, k.Abort)...)
	rows = append(rows, helpRow{}, helpRow{"what stands where", ""})
	return openHelp{title: "help: the shelf", rows: append(rows, shelfRows()...)}
}

func shelfRows() []helpRow {
	return []helpRow{
		{"list", "the pull records on the shelf, the newest on top, by the time here"},
		{"result", "the strength, where a bar broke; what it bore at least, where it did not; else the force of the drag hand"},
		{"outcome", "how the pull ended; simulated, by eye and imported ones say so"},
		{"unfinished", "the pull was cut off; what was saved of it is as good"},
		{"damaged", "its head cannot be read: draghand check says what of it is intact"},
		{"newer", "made by a newer draghand; update to read it"},
		{"foreign", "a folder that is no pull record"},
		{"below", "more of the record that is chosen, or beside the list where there is room. Results stand as they were reckoned when the pull was closed"},
	}
}
