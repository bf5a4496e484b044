package tui

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/x/ansi"
)

// shelfKeys are the keys of the shelf. A key that would do nothing now is
// disabled, and then neither answers nor shows.
type shelfKeys struct {
	Up, Down, PageUp, PageDown, First, Last, More, Less                               key.Binding
	Open, Filter, Order, Reverse, Mark, MarkAll, Groups, Unmark, Overlay, Compare     key.Binding
	Finish, Label, Remark, Recover, Trash, Undo, Units, Again, All, Back, Help, Abort key.Binding
	Keep, Drop                                                                        key.Binding // while something is typed
}

func newShelfKeys() shelfKeys {
	bind := func(name, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(name, what))
	}
	return shelfKeys{
		Up:       bind("up", "one up", "up", "k"),
		Down:     bind("down", "one down", "down", "j"),
		PageUp:   bind("pgup", "a page up", "pgup"),
		PageDown: bind("pgdn", "a page down", "pgdown"),
		First:    bind("home", "the first", "home", "g"),
		Last:     bind("end", "the last", "end", "G"),
		More:     bind("right", "more of the chosen record", "right"),
		Less:     bind("left", "what stands above of it", "left"),
		Open:     bind("enter", "look again", "enter"),
		Filter:   bind("/", "filter", "/"),
		Order:    bind("s", "sort", "s"),
		Reverse:  bind("S", "turn the order round", "S"),
		Mark:     bind("space", "mark", " "),
		MarkAll:  bind("M", "mark all", "M"),
		Groups:   bind("A B C D", "mark into a group", "A", "B", "C", "D"),
		Unmark:   bind("0", "no marks", "0"),
		Overlay:  bind("o", "overlay", "o"),
		Compare:  bind("c", "compare", "c"),
		Finish:   bind("f", "finish", "f"),
		Label:    bind("n", "name", "n"),
		Remark:   bind("m", "remark", "m"),
		Recover:  bind("R", "recover", "R"),
		Trash:    bind("x", "trash", "x"),
		Undo:     bind("U", "take back", "U"),
		Units:    bind("u", "lbf or kN", "u"),
		Again:    bind("r", "read again", "r"),
		All:      bind("esc", "no filter", "esc"),
		Back:     bind("b", "bench", "b", "esc", "q"),
		Help:     bind("?", "help", "?"),
		Abort:    bind("ctrl+c", "leave at once", "ctrl+c"),
		Keep:     bind("enter", "keep", "enter"),
		Drop:     bind("esc", "as it was", "esc"),
	}
}

// lines are the keys of a mode in at most n lines of w cells. Where there is no room
// those give way that are needed least; the help has them all.
func (k *shelfKeys) lines(mode shelfMode, w, n int) []string {
	named := func(b key.Binding, name, what string) key.Binding {
		b.SetHelp(name, what)
		return b
	}
	move := named(k.Down, "up/down", "choose")
	move.SetEnabled(k.Up.Enabled() || k.Down.Enabled())
	switch mode {
	case filtering:
		return []string{closeKeys([]key.Binding{named(k.Keep, "enter", "keep it"), named(k.Drop, "esc", "no filter"), move}, w)}
	case labelling:
		return []string{closeKeys([]key.Binding{named(k.Keep, "enter", "keep the label"), named(k.Drop, "esc", "as it was"), named(k.Keep, "tab", "next line")}, w)}
	case noting:
		return []string{closeKeys([]key.Binding{named(k.Keep, "enter", "keep the remark"), named(k.Drop, "esc", "no remark")}, w)}
	}
	all := []key.Binding{
		k.Recover, k.Undo, k.Open, k.Filter, k.Mark, named(k.Groups, "A–D", "a group"), k.MarkAll, k.Overlay, k.Compare,
		k.Finish, k.Order, k.Label, k.Remark, k.Trash, k.Units, k.Again, k.Back, k.Help,
	}
	all = slices.DeleteFunc(all, func(b key.Binding) bool { return !b.Enabled() })
	least := []string{"u", "r", "A–D", "M", "n", "m", "s", "enter", "U", "x", "space", "o", "f", "c", "/"}
	if out := keyLines(all, "   ", w); len(out) <= n {
		return out
	}
	for i, b := range all {
		if b.Help().Key == k.Back.Help().Key {
			all[i] = named(k.Back, "b", "back")
		}
	}
	for _, name := range least {
		if len(keyLines(all, "  ", w)) <= n {
			break
		}
		all = slices.DeleteFunc(all, func(b key.Binding) bool { return b.Help().Key == name })
	}
	out := keyLines(all, "  ", w)
	return out[:min(n, len(out))]
}

// keyLines sets keys into as many lines of w cells as they need.
func keyLines(keys []key.Binding, gap string, w int) (out []string) {
	for _, b := range keys {
		one := cut(b.Help().Key+" "+b.Help().Desc, w)
		last := len(out) - 1
		if last >= 0 && ansi.StringWidth(out[last])+len(gap)+ansi.StringWidth(one) <= w {
			out[last] += gap + one
			continue
		}
		out = append(out, one)
	}
	return out
}

// help explains the shelf: the keys that work now, and what stands where.
func (k *shelfKeys) help() openHelp {
	long := func(b key.Binding, words string) key.Binding {
		b.SetHelp(b.Help().Key, words)
		return b
	}
	rows := []helpRow{{"keys now", ""}}
	rows = append(rows, keyRows(
		long(k.Open, "look at the pull again"),
		long(k.Filter, "filter: the list narrows with each key; enter keeps it, esc takes it away"),
		long(k.All, "take the filter away"),
		long(k.Order, "sort by the next column"), k.Reverse,
		long(k.Mark, "mark the chosen record into group A, or take its mark"),
		long(k.MarkAll, "mark all that are shown into group A; those that have a mark keep it"),
		long(k.Groups, "mark it into that group: groups are compared with each other"),
		long(k.Unmark, "take all marks away"),
		long(k.Overlay, "lay the marked pulls over each other; without a mark, the chosen one alone"),
		long(k.Compare, "compare the marked pulls; without a mark, all that are shown"),
		long(k.Finish, "write down what is measured and seen on the bar"),
		long(k.Label, "name: correct melt, bar and tags; what they were stays as a remark"),
		long(k.Remark, "add a remark, kept in the record"),
		long(k.Recover, "close a record that was cut off with what is intact of it"),
		long(k.Trash, "move the marked records, or the chosen one, to the trash: asks first, deletes nothing"),
		long(k.Undo, "take back what went to the trash last"),
		k.Up, k.Down, k.PageUp, k.PageDown, k.First, k.Last, k.More, k.Less,
		k.Units, long(k.Again, "read the shelf again"), long(k.Back, "back to the bench; esc and q too"), k.Abort,
	)...)
	rows = append(rows, helpRow{}, helpRow{"what stands where", ""})
	return openHelp{title: "help: the shelf", rows: append(rows, shelfRows()...)}
}

func shelfRows() []helpRow {
	return []helpRow{
		{"list", "the pull records on the shelf, by the time here; an arrow at the head of a column says what it is sorted by, the top line says it in words"},
		{"strength", "where a bar broke, ± its expanded uncertainty (95 %) where that is known; what it bore at least, where it did not break; else the force of the drag hand"},
		{"counts", "whether it is a strength of this bar: + yes, ! with remarks, × no, ? open: nobody has said yet what is seen on the bar; f does. Only a tension pull has it"},
		{"outcome", "how the pull ended; simulated, by eye and imported ones say so"},
		{"A B C D", "before a record: the group it is marked into. A filter leaves marks as they are"},
		{"unfinished", "the pull was cut off; what was saved of it is as good: R closes it"},
		{"damaged", "its head, pull.json, is torn, altered or lost: only a copy helps; draghand check says more"},
		{"newer", "made by a newer draghand; update to read it"},
		{"foreign", "a folder that is no pull record"},
		{"trash", "a folder inside the shelf: nothing is deleted. U takes back what was moved in this sitting"},
		{"below", "more of the record that is chosen, with its force over time, or beside the list where there is room; what has no room there comes by right. Results stand as they were reckoned when the pull was closed or finished"},
		{"filter", "terms that must all hold: alloy:C905 melt=M1 tag:wet-sand counts:yes is:simulated strength>40ksi diameter:12mm..13mm since:2026-01 until:2026-03; a bare word looks everywhere, a minus before a term turns it round. counts:yes leaves out those with remarks: -counts:no -counts:unknown takes all that count"},
	}
}

// groupOf is the group a key stands for; 0: whether there is a mark at all.
func groupOf(name string) byte {
	if len(name) == 1 && strings.Contains("ABCD", name) {
		return name[0]
	}
	return 0
}
