package tui

import "github.com/charmbracelet/bubbles/key"

// afterKeys are the keys of the screen after a pull.
type afterKeys struct {
	Next, Finish, Remark, Look, Bench, Shelf, Move, Help, Quit, Abort key.Binding
	Keep, Drop                                                        key.Binding // while a remark is typed
}

func newAfterKeys() afterKeys {
	bind := func(name, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(name, what))
	}
	return afterKeys{
		Next:   bind("n", "next bar of this melt", "n"),
		Finish: bind("f", "finish", "f"),
		Remark: bind("m", "remark", "m"),
		Look:   bind("v", "look again", "v"),
		Bench:  bind("b", "bench", "b"),
		Shelf:  bind("l", "shelf", "l"),
		Move:   bind("up/down", "move through the lines", "up", "down", "k", "j", "pgup", "pgdown"),
		Help:   bind("?", "help", "?"),
		Quit:   bind("q", "leave", "q"),
		Abort:  bind("ctrl+c", "leave at once", "ctrl+c"),
		Keep:   bind("enter", "keep the remark", "enter"),
		Drop:   bind("esc", "no remark", "esc"),
	}
}

// line are the keys for one line.
func (k *afterKeys) line(mode afterMode) []key.Binding {
	if mode == remarking {
		return []key.Binding{k.Keep, k.Drop}
	}
	return []key.Binding{k.Next, k.Finish, k.Remark, k.Look, k.Bench, k.Help, k.Quit}
}

func (k *afterKeys) help() openHelp {
	long := func(b key.Binding, words string) key.Binding {
		b.SetHelp(b.Help().Key, words)
		return b
	}
	rows := []helpRow{{"keys now", ""}}
	rows = append(rows, keyRows(
		long(k.Next, k.Next.Help().Desc+"; the set-up stays"),
		long(k.Finish, "write down what is measured and seen on the bar: final sizes, where it broke, what it is held against"),
		long(k.Remark, "add a remark, kept in the record"),
		long(k.Look, "look at the pull again, at any speed"),
		long(k.Bench, "the bench as it was"),
		long(k.Shelf, "the shelf: the records of pulls"),
		long(k.Move, "move through the lines; pgup and pgdown by as many as are in sight"),
		long(k.Quit, "leave the program"), k.Abort,
	)...)
	rows = append(rows, helpRow{}, helpRow{"what stands where", ""})
	return openHelp{title: "help: after the pull", rows: append(rows, []helpRow{
		{"safety", "a pull that ended under load leaves the rig loaded: release the pressure before anybody reaches in"},
		{"figures", "what came out, and beside it the drag hand: the largest force, spike-proof. A strength stands there only where the bar broke; else what stands for it is named"},
		{"verdict", "the strength held against the minimum: pass, fail, or cannot tell at this uncertainty"},
		{"counts", "whether it is a strength of this bar. Not known before somebody has said where it broke"},
		{"outcome", "broken, faded, let off, ended or unclear, in words"},
		{"saved", "the record's name and folder, or in capitals that it is not saved"},
		{"remarks", "what a reader of the number must know; yours stand among them and in the record"},
		{"bars", "what this melt has given in this sitting, the newest last"},
		{"strength", "± is its expanded uncertainty (95 %); it is not stated where nothing says how accurate the force is"},
	}...)}
}
