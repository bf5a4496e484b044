package tui

import "github.com/charmbracelet/bubbles/key"

// calibrateKeys are the keys of a calibration. A key that would do nothing now is
// disabled, and then neither answers nor shows.
type calibrateKeys struct {
	Value, Zero, Save, Drop, Move, Lines, Falling, Ack, Help, Quit, Abort key.Binding
	Keep, Leave                                                           key.Binding // while a value is typed
	AckTyping                                                             key.Binding // where a letter is text
}

func newCalibrateKeys() calibrateKeys {
	bind := func(name, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(name, what))
	}
	return calibrateKeys{
		Value:     bind("enter", "value", "enter"),
		Zero:      bind("z", "zero", "z"),
		Save:      bind("s", "save", "s"),
		Drop:      bind("d", "drop point", "d", "delete"),
		Move:      bind("up/down", "point", "up", "down", "k", "j"),
		Lines:     bind("pgup/pgdn", "lines", "pgup", "pgdown"),
		Falling:   bind("f", "falling", "f"),
		Ack:       bind("a", "acknowledge", "a"),
		Help:      bind("?", "help", "?"),
		Quit:      bind("q", "leave", "q"),
		Abort:     bind("ctrl+c", "leave at once", "ctrl+c"),
		AckTyping: bind("ctrl+a", "acknowledge", "ctrl+a"),
		Keep:      bind("enter", "take the point", "enter"),
		Leave:     bind("esc", "no point", "esc"),
	}
}

// line are the keys for one line.
func (k *calibrateKeys) line(mode calibrateMode) []key.Binding {
	if mode == valuing {
		return []key.Binding{k.AckTyping, k.Keep, k.Leave}
	}
	short := func(b key.Binding, name, what string) key.Binding {
		b.SetHelp(name, what)
		return b
	}
	return []key.Binding{
		k.Ack, short(k.Value, "0-9", "value"), k.Zero, k.Save, short(k.Drop, "d", "drop"), k.Help, k.Quit, k.Move,
		short(k.Lines, "pgdn", "more"), k.Falling,
	}
}

// help explains the screen: the keys that work now, and what stands where.
func (k *calibrateKeys) help() openHelp {
	long := func(b key.Binding, words string) key.Binding {
		b.SetHelp(b.Help().Key, words)
		return b
	}
	rows := []helpRow{{"keys now", ""}}
	rows = append(rows, keyRows(
		long(k.Ack, "acknowledge the alarms: the bell stops, what is on stays told. Release the pressure first. While a value is typed: ctrl+a, or enter on an empty line"),
		long(k.Value, "type what the reference shows; a digit begins it by itself. It may be typed before the reading stands still"),
		long(k.Zero, "take a new zero, with all load off the rig"),
		long(k.Save, "save what the points say as a calibration of this rig"),
		long(k.Drop, "drop the marked point, after a question"),
		long(k.Move, "mark another point"),
		long(k.Falling, "the falling points on the scale of the plot, or the rising ones alone"),
		long(k.Lines, "move through the lines below"),
		long(k.Quit, "leave; asked first where points are not saved or the rig is loaded"), k.Abort,
	)...)
	rows = append(rows, helpRow{}, helpRow{"what stands where", ""})
	return openHelp{title: "help: calibrate", rows: append(rows, calibrateRows()...)}
}

func calibrateRows() []helpRow {
	return []helpRow{
		{"safety", "calibrating loads the rig as a pull does: guard up, nobody in line with the load, nobody under a hanging weight. The program warns; it is no safety device"},
		{"figures", "what the rig reads now, above the zero: the pressure at its gauge port, and the force it makes of that by its file, in the place of the reference"},
		{"stands", "whether the reading stands still long enough to make a point of it. The point takes the mean of that time"},
		{"rail", "the part of the rig that is nearest to its limit now; the diamond is the most that was seen here. Caution, warning and stop are where they are in a pull"},
		{"reference", "what is typed of it. A number alone has the unit of the point before"},
		{"points", "▲ rising or ▼ falling, as the load went. The line is made of rising points alone, since a pull rises; falling ones show the friction"},
		{"less line", "what the reference said less what the line says there: the residual"},
		{"plot", "what is less the line, over the reference; the marked point stands in brackets, ! is the one that does not fit. The shaded band is how far the line itself may be off, 95 %; points scatter more than that"},
		{"±", "covers 95 %, by Student's t"},
		{"claims", "a class is stated only where the reference has a certificate that is good enough for it; otherwise it was compared with something, and that is what stands there"},
	}
}
