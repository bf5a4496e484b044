package tui

import "github.com/charmbracelet/bubbles/key"

// planKeys are the keys of the plan. A key that would do nothing now is disabled,
// and then neither answers nor shows.
type planKeys struct {
	Up, Down, Alloy, Strength, Own, Take, Back, Help, Abort key.Binding
	Keep, Drop                                              key.Binding // while a strength is typed
}

func newPlanKeys() planKeys {
	bind := func(name, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(name, what))
	}
	return planKeys{
		Up:       bind("up", "the next larger size", "up", "k"),
		Down:     bind("down", "the next smaller size", "down", "j"),
		Alloy:    bind("left/right", "another alloy of the table", "left", "right"),
		Strength: bind("s", "say how strong the metal is", "s"),
		Own:      bind("o", "what the bench says of the metal again", "o"),
		Take:     bind("enter", "take this metal to the bench, up to its upper strength; the diameter is measured, never planned", "enter"),
		Back:     bind("b", "back to the bench", "b", "esc"),
		Help:     bind("?", "help", "?"),
		Abort:    bind("ctrl+c", "leave at once", "ctrl+c"),
		Keep:     bind("enter", "plan with it", "enter"),
		Drop:     bind("esc", "as it was", "esc"),
	}
}

// line are the keys for one line.
func (k *planKeys) line(typing bool) []key.Binding {
	if typing {
		return []key.Binding{k.Keep, k.Drop}
	}
	short := func(b key.Binding, name, what string) key.Binding {
		b.SetHelp(name, what)
		return b
	}
	move := short(k.Down, "up/down", "size")
	move.SetEnabled(k.Up.Enabled() || k.Down.Enabled())
	return []key.Binding{
		short(k.Take, "enter", "take it"), move, short(k.Alloy, "left/right", "alloy"), short(k.Strength, "s", "strength"),
		short(k.Back, "b", "bench"), k.Help, short(k.Own, "o", "as on the bench"),
	}
}

// help explains the plan: the keys that work now, and what stands where.
func (k *planKeys) help() openHelp {
	rows := []helpRow{{"keys now", ""}}
	rows = append(rows, keyRows(k.Up, k.Down, k.Alloy, k.Strength, k.Own, k.Take, k.Back, k.Abort)...)
	rows = append(rows, helpRow{}, helpRow{"what stands where", ""})
	return openHelp{title: "help: the plan", rows: append(rows, planRows()...)}
}

func planRows() []helpRow {
	return []helpRow{
		{"safety", "a plan is arithmetic on what the rig file states. It sees no crack, no poor weld, no bent pin, no load from the side. It is no safety device"},
		{"on top", "the size to turn and why, or that there is none and what would have to be otherwise"},
		{"rails", "for each size where on the rail of the part that stops first the specimen is expected to break: the band. Dashes go on to the strongest that it may be. Caution, warning and stop are where they are in the pull; > means past the end"},
		{"margin", "how far the strongest specimen stays below the stop of that part; below nothing it is past it"},
		{"± strength", "how sure the strength would be: twice the standard uncertainty, from what the rig file, a calibration and a micrometer of 0.01 mm say"},
		{"verdict", "good; usable, with what is not good about it; or no, with what stands in the way"},
		{"below", "the chosen size: loads, reading, pace, and what it is the strongest metal for. The pace holds while the metal is elastic, for 10,000 to 100,000 psi a minute of stress (ASTM E8/E8M, from memory)"},
	}
}
