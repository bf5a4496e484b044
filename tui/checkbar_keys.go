package tui

import "github.com/charmbracelet/bubbles/key"

// checkKeys are the keys of the check bars. A key that would do nothing now is
// disabled, and then neither answers nor shows.
type checkKeys struct {
	Up, Down, Earlier, Later, Newest, Open, Again, Back, Help, Abort key.Binding
}

func newCheckKeys() checkKeys {
	bind := func(name, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(name, what))
	}
	return checkKeys{
		Up:      bind("up", "the stock before", "up", "k"),
		Down:    bind("down", "the next stock", "down", "j"),
		Earlier: bind("left", "the bar before", "left"),
		Later:   bind("right", "the next bar", "right"),
		Newest:  bind("end", "the newest bar", "end", "G"),
		Open:    bind("enter", "look at the pull of this bar again", "enter"),
		Again:   bind("r", "read the shelf again", "r"),
		Back:    bind("b", "back to the bench", "b", "esc"),
		Help:    bind("?", "help", "?"),
		Abort:   bind("ctrl+c", "leave at once", "ctrl+c"),
	}
}

// line are the keys for one line.
func (k *checkKeys) line() []key.Binding {
	short := func(b key.Binding, name, what string) key.Binding {
		b.SetHelp(name, what)
		return b
	}
	stock := short(k.Down, "up/down", "stock")
	stock.SetEnabled(k.Up.Enabled() || k.Down.Enabled())
	bar := short(k.Later, "left/right", "bar")
	bar.SetEnabled(k.Earlier.Enabled() || k.Later.Enabled())
	return []key.Binding{stock, bar, short(k.Open, "enter", "look again"), short(k.Again, "r", "again"), short(k.Back, "b", "bench"), k.Help}
}

// help explains the chart: the keys that work now, and what stands where.
func (k *checkKeys) help() openHelp {
	rows := []helpRow{{"keys now", ""}}
	rows = append(rows, keyRows(k.Up, k.Down, k.Earlier, k.Later, k.Newest, k.Open, k.Again, k.Back, k.Abort)...)
	rows = append(rows, helpRow{}, helpRow{"what stands where", ""})
	return openHelp{title: "help: the check bars", rows: append(rows, checkRows()...)}
}

func checkRows() []helpRow {
	return []helpRow{
		{"what for", "bars of one bought stock should break at one strength. Where they do not, the rig has changed: the sensor, the friction of the ram, the share of the force on the bar, or the ram's area"},
		{"not seen", "what was wrong from the first bar on: a chart sees changes alone. Nor a crack, a weld or a pin: it is no safety device"},
		{"+", "a bar before there were limits: they need 5"},
		{"●", "a bar in control"},
		{"◆", "a bar out of control: beyond the limits, or the eighth in a row on one side of the mean. ▲ and ▼: the same, past the edge of the chart"},
		{"lines", "mean and limits that each bar was judged by: those of the bars before it, never of itself. The figures to the right are those of the newest. The limits lie 3 SD off the mean; SD is the standard deviation, from the differences of one bar to the next. After 20 bars they stand still, so that a drift cannot take them along"},
		{"│", "what makes the force was changed there: area, friction, path, sensor or calibration. The bars after it have limits of their own, and until they have are held against those before"},
		{"below", "the chosen bar, marked ▴ under the chart, and how far it lies off the mean, in % and in SD; and where the newest is out of control, what to look at, the first thing first"},
		{"left out", "bars that did not break, broke in the grip or do not count. Simulated and real ones, and those of two rigs, are never on one chart"},
	}
}
