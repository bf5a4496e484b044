package tui

import (
	"github.com/charmbracelet/bubbles/key"

	"draghand/internal/si"
	"draghand/internal/trace"
)

// overlayKeys are the keys of pulls over each other. A key that would do nothing now
// is disabled, and then neither answers nor shows.
type overlayKeys struct {
	Up, Down, Hide, Align, Stress, Window, Units, Open, Back, Help, Abort key.Binding
}

func newOverlayKeys() overlayKeys {
	bind := func(name, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(name, what))
	}
	return overlayKeys{
		Up:     bind("up", "bring the pull above to the front", "up", "k"),
		Down:   bind("down", "bring the pull below to the front", "down", "j"),
		Hide:   bind("space", "hide the chosen pull, or show it again", " "),
		Align:  bind("l", "line up at the start of the load, or at the peak", "l"),
		Stress: bind("s", "stress or force", "s"),
		Window: bind("w", "time shown", "w"),
		Units:  bind("u", "lbf or kN", "u"),
		Open:   bind("enter", "look at the chosen pull again", "enter"),
		Back:   bind("b", "back to the shelf", "b", "esc", "q"),
		Help:   bind("?", "help", "?"),
		Abort:  bind("ctrl+c", "leave at once", "ctrl+c"),
	}
}

// keyLine are the keys for one line, with what they would do now.
func (m *OverlayScreen) keyLine() []key.Binding {
	k := m.keys
	short := func(b key.Binding, name, what string) key.Binding {
		b.SetHelp(name, what)
		return b
	}
	hide, at, what, units := "hide", "at peak", "stress", "kN"
	if m.units != si.US {
		units = "lbf"
	}
	if m.chosen < len(m.all) && m.all[m.chosen].hidden {
		hide = "show"
	}
	if m.by == trace.Peak {
		at = "at load"
	}
	if m.stress {
		what = "force"
	}
	move := short(k.Down, "up/down", "front")
	move.SetEnabled(k.Up.Enabled() || k.Down.Enabled())
	line := []key.Binding{
		move, short(k.Hide, "space", hide), short(k.Align, "l", at), short(k.Stress, "s", what), short(k.Window, "w", "time"),
		short(k.Units, "u", units), short(k.Back, "b", "back"), k.Help,
	}
	return alsoKey(line, short(k.Open, "enter", "look again"), m.width-3)
}

// smallKeys are those of a screen without a chart.
func (m *OverlayScreen) smallKeys() []key.Binding {
	all := m.keyLine()
	return []key.Binding{all[3], all[len(all)-2], all[len(all)-1]}
}

// help explains the screen: the keys that work now, and what stands where.
func (k *overlayKeys) help() openHelp {
	rows := []helpRow{{"keys now", ""}}
	rows = append(rows, keyRows(k.Up, k.Down, k.Hide, k.Align, k.Stress, k.Window, k.Units, k.Open, k.Back, k.Abort)...)
	rows = append(rows, helpRow{}, helpRow{"what stands where", ""})
	return openHelp{title: "help: the overlay", rows: append(rows, overlayRows()...)}
}

func overlayRows() []helpRow {
	return []helpRow{
		{"a, b, …", "the pulls, the newest first, as on the page of a comparison of the same ones. Each has its letter on its own line, half-way up, at its peak and at its end, and a pattern of its own; the list shows which. The capitals on the shelf are groups"},
		{"┆", "where they are lined up, time 0: the start of the load, or the peak of the drag hand"},
		{"in front", "the chosen pull, marked ▸. Where two lines meet, the one in front is drawn and the other goes on behind it"},
		{"time", "from where they are lined up; before it is below zero. It is time, not how far the bar stretched: a quicker pull rises more steeply, of the same metal"},
		{"stress", "the force on the section that was measured before the pull. It does not follow a neck. A pull whose section nobody measured is left out, and the list says so"},
		{"a hole", "in a line: the force was out of sight there. The list counts them, where they fell under load"},
		{"damaged", "readings are missing or not as they were written, from the time on that stands there; what can be read is drawn. Each pull is held against what was written once all are drawn, which takes a while of a long one. draghand check says more"},
		{"till when", "each pull is drawn until 2 s after it broke, or to its end"},
		{"rise to peak", "how long the force rose, from the start of the load as the picture has it, time 0. Results and reports count from when the engine was sure of a load, commonly half a second later"},
		{"list", "the peak is that of the drag hand. What cannot be drawn stands there with its reason"},
		{"8", "is the most that is shown: of more that were marked, the first"},
	}
}
