package tui

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/x/ansi"
)

// benchKeys are the keys of the bench. A key that would do nothing now is
// disabled, and then neither answers nor shows.
type benchKeys struct {
	Arm, Overrule, Move, Edit, Choice, Confirm, Section, Zero, Ports, Rigs, Shelf, Plan, Check, Help, Quit, Abort key.Binding
	Keep, Drop                                                                                                    key.Binding // while something is typed or chosen
}

func newBenchKeys() benchKeys {
	bind := func(name, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(name, what))
	}
	return benchKeys{
		Arm:      bind("a", "arm", "a"),
		Overrule: bind("o", "arm all the same", "o"),
		Move:     bind("up/down", "move", "up", "down", "k", "j"),
		Edit:     bind("enter", "change", "enter"),
		Choice:   bind("left/right", "choose", "left", "right"),
		Confirm:  bind("space", "seen to", " ", "enter"),
		Section:  bind("tab", "parts", "tab", "shift+tab"),
		Zero:     bind("z", "take zero", "z"),
		Ports:    bind("p", "ports", "p"),
		Rigs:     bind("r", "rigs", "r"),
		Shelf:    bind("l", "shelf", "l"),
		Plan:     bind("s", "plan", "s"),
		Check:    bind("b", "check bars", "b"),
		Help:     bind("?", "help", "?"),
		Quit:     bind("q", "leave", "q"),
		Abort:    bind("ctrl+c", "leave at once", "ctrl+c"),
		Keep:     bind("enter", "keep", "enter"),
		Drop:     bind("esc", "as it was", "esc"),
	}
}

// line are the keys for one line, the ones that lead on first.
func (k *benchKeys) line(mode benchMode) []key.Binding {
	keep, drop := k.Keep, k.Drop
	switch mode {
	case editing:
		return []key.Binding{keep, drop}
	case asking:
		keep.SetHelp("enter", "arm with this reason")
		drop.SetHelp("esc", "do not arm")
		return []key.Binding{keep, drop}
	case choosing:
		keep.SetHelp("enter", "take it")
		return []key.Binding{k.Move, keep, drop}
	}
	return []key.Binding{k.Arm, k.Overrule, k.Edit, k.Confirm, k.Section, k.Zero, k.Ports, k.Rigs, k.Shelf, k.Plan, k.Check, k.Help, k.Quit}
}

// short is the line of keys in w cells, each with a word: where there is no room those
// give way that are needed least, and the help has them.
func (k *benchKeys) short(mode benchMode, w int) string {
	drop := map[string]bool{}
	words := map[string]string{}
	gap := "   "
	line := func() string {
		var parts []string
		for _, b := range k.line(mode) {
			name := b.Help().Key
			if !b.Enabled() || drop[name] {
				continue
			}
			what, ok := words[name]
			if !ok {
				what = b.Help().Desc
			}
			parts = append(parts, strings.TrimSpace(name+" "+what))
		}
		return strings.Join(parts, gap)
	}
	steps := []func(){
		func() { gap = "  " },
		func() { words["z"] = "zero" },
		func() { drop["p"], drop["r"] = true, true },
		func() { words["enter"], words["space"] = "set", "seen" },
		func() { drop["s"] = true },
		func() { words["o"] = "arm still" },
		func() { words["b"] = "checks" },
		func() { drop["b"] = true },
		func() { drop["z"] = true },
		func() { drop["l"] = true },
		func() { drop["tab"] = true },
		func() { words["?"] = "" },
	}
	for _, step := range steps {
		if t := line(); ansi.StringWidth(t) <= w {
			return t
		}
		step()
	}
	return cut(line(), w)
}

// help explains the bench: the keys that work now, and what stands where.
// whole is what the screen may have had no room for, calibrate the command for this rig.
func (k *benchKeys) help(whole []helpRow, calibrate string) openHelp {
	long := func(b key.Binding, words string) key.Binding {
		b.SetHelp(b.Help().Key, words)
		return b
	}
	rows := append(whole, helpRow{"keys now", ""})
	if !k.Arm.Enabled() {
		rows = append(rows, helpRow{k.Arm.Help().Key, "arm the pull, once nothing is in the way; now it says what is missing"})
	}
	rows = append(rows, keyRows(
		long(k.Arm, "arm the pull: from then on everything is recorded"),
		long(k.Overrule, "arm all the same, for a reason you type"),
		long(k.Section, "the next part: set-up, points, rig; with shift the one before"),
		long(k.Move, "move within a part"),
		long(k.Edit, "change a field; enter keeps it and goes on to the next empty one"),
		long(k.Choice, "take another of what a field may be"),
		long(k.Confirm, "this point is seen to, or not after all; then the next open one"),
		long(k.Zero, "take a new zero, with all load off the rig"),
		long(k.Ports, "ports that readings may come from"),
		long(k.Rigs, "rig files that are found"),
		long(k.Shelf, "the shelf: the records of pulls"),
		long(k.Plan, "which bar to turn for this rig and metal"),
		long(k.Check, "the check bars of this rig: does it still read as it did"),
		long(k.Quit, "leave the program"), k.Abort,
	)...)
	rows = append(rows, helpRow{}, helpRow{"what stands where", ""})
	return openHelp{title: "help: the bench", rows: append(rows, benchRows(calibrate)...)}
}

func benchRows(calibrate string) []helpRow {
	return []helpRow{
		{"safety", "the program warns. It is no safety device: it cannot hold a load, only tell you that a limit is near"},
		{"figures", "what the rig reads now, above the zero: the pressure at the gauge port, and the force that makes on the specimen. Nothing is recorded until the pull is armed"},
		{"source", "where readings come from, how many a second, how old the newest is, and what was wrong with some"},
		{"zero", "the reading that counts as no load. It needs 2 quiet seconds with all load off; the scatter beside it is how far readings lie apart"},
		{"set-up", "what is pulled and how. What cannot be used says why below it; an empty field shows an example"},
		{"points", "what only a person can see to. Each is confirmed by itself, and each stands in the record"},
		{"rig", "every part with a known limit and what it may carry, and by name those nobody knows a limit of: nothing can warn of them"},
		{"calibrate", "to hold the rig against a reference leave the bench, which holds the source, and run: " + calibrate + " (or --at gauge, --at ram; the reference by its name)"},
		{"not yet", "why the pull is not armed, and what to do. Some reasons can be overruled by one of yours, which is kept in the record; the others cannot"},
	}
}
