package tui

import "github.com/charmbracelet/bubbles/key"

// measureKeys are the keys of the screen on which a bar is measured. A key that
// would do nothing now is disabled, and then neither answers nor shows.
type measureKeys struct {
	Move, Edit, Choice, Save, Back, Help, Abort key.Binding
	Keep, Drop                                  key.Binding // while something is typed
}

func newMeasureKeys() measureKeys {
	bind := func(name, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(name, what))
	}
	return measureKeys{
		Move:   bind("up/down", "move", "up", "down", "k", "j", "tab", "shift+tab"),
		Edit:   bind("enter", "write", "enter"),
		Choice: bind("left/right", "choose", "left", "right"),
		Save:   bind("s", "keep", "s"),
		Back:   bind("b", "back", "b", "esc", "q"),
		Help:   bind("?", "help", "?"),
		Abort:  bind("ctrl+c", "leave at once", "ctrl+c"),
		Keep:   bind("enter", "take it, go on", "enter"),
		Drop:   bind("esc", "as it was", "esc"),
	}
}

// line are the keys for one line.
func (k *measureKeys) line(typing bool) []key.Binding {
	if typing {
		return []key.Binding{k.Keep, k.Drop}
	}
	return []key.Binding{k.Edit, k.Save, k.Move, k.Choice, k.Back, k.Help}
}

func (k *measureKeys) help() openHelp {
	long := func(b key.Binding, words string) key.Binding {
		b.SetHelp(b.Help().Key, words)
		return b
	}
	rows := []helpRow{{"keys now", ""}}
	rows = append(rows, keyRows(
		long(k.Edit, "write in the marked line, or over it by typing a figure; enter takes it and goes on to the next empty one"),
		long(k.Choice, "take another of what the line may be; of the looks, enter writes several"),
		long(k.Move, "another line"),
		long(k.Save, "keep all of it in the record; what stood there before stays in it too"),
		long(k.Back, "back without keeping; asked first where something is written"), k.Abort,
	)...)
	rows = append(rows, helpRow{}, helpRow{"what stands where", ""})
	return openHelp{title: "help: measuring the bar", rows: append(rows, measureRows()...)}
}

func measureRows() []helpRow {
	return []helpRow{
		{"safety", "take the halves out only when the pressure is off and stays off. A broken edge cuts, and a half may still be under spring"},
		{"final diameter", "put the halves together and measure where it is thinnest. It cannot be more than the bar had before"},
		{"final gauge", "between the two marks with the halves put together tightly. It needs the gauge length from before the pull"},
		{"where", "middle: in the middle half between the marks. outer-quarter: between the marks but outside of that. off-marks: in the thin part, outside the marks. shoulder: at the fillet. grip: in the thread or the grip, and then the pull does not count"},
		{"looks", "what the fracture shows: cup-and-cone and slant are tough metal, flat and coarse brittle; porous, dross and cold-lap are faults of the casting, and the strength is then that of the fault"},
		{"failed part", "a part of the rig that gave way in the place of the bar: the pull does not count"},
		{"dial", "a dial gauge beside the transducer, read at the peak: two that agree are worth more than one"},
		{"minimum", "what the strength is held against, with what it is from. The table of alloys gives one where it has it; none takes it back"},
		{"still open", "what stays unknown as long as nobody measures it"},
	}
}
