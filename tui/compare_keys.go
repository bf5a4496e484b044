package tui

import (
	"github.com/charmbracelet/bubbles/key"

	"draghand/internal/si"
)

// compareKeys are the keys of the comparison. A key that would do nothing now is
// disabled, and then neither answers nor shows.
type compareKeys struct {
	Before, Next, Up, Down, PageUp, PageDown, First, Last key.Binding
	Part, Plot, By, Bound, Type, Minimum, Side, Level     key.Binding
	Units, Open, Export, Stop, Back, Help, Abort          key.Binding
	Keep, Drop                                            key.Binding // while something is typed
}

func newCompareKeys() compareKeys {
	bind := func(name, what string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(name, what))
	}
	return compareKeys{
		Before:   bind("left", "the group before", "left"),
		Next:     bind("right", "the next group", "right"),
		Up:       bind("up", "one up, in the words or the bars", "up", "k"),
		Down:     bind("down", "one down", "down", "j"),
		PageUp:   bind("pgup", "a page up", "pgup"),
		PageDown: bind("pgdn", "a page down", "pgdown", " "),
		First:    bind("home", "the first", "home"),
		Last:     bind("end", "the last", "end"),
		Part:     bind("tab", "words, bars or plot of the group", "tab"),
		Plot:     bind("p", "another plot: dots of all groups, then how one group spreads, by the bell curve and by Weibull", "p"),
		By:       bind("g", "group by melt, alloy, tag, marks or all together", "g"),
		Bound:    bind("c", "another bound: 90/95, 99/95, 95/95", "c"),
		Type:     bind("t", "type a bound, as 99/90", "t"),
		Minimum:  bind("m", "type the minimum that the strength is to hold; nothing takes it away", "m"),
		Side:     bind("o", "look for a bar apart on either side, low or high", "o"),
		Level:    bind("l", "how sure the tests must be: 5 %, 1 %, 10 %", "l"),
		Units:    bind("u", "ksi or MPa", "u"),
		Open:     bind("enter", "look at the pull of the marked bar again", "enter"),
		Export:   bind("e", "write the report, a page to print or to send", "e"),
		Stop:     bind("b", "stop reckoning, back to the shelf", "b", "esc", "q"),
		Back:     bind("b", "back to the shelf", "b", "esc", "q"),
		Help:     bind("?", "help", "?"),
		Abort:    bind("ctrl+c", "leave at once", "ctrl+c"),
		Keep:     bind("enter", "reckon with it", "enter"),
		Drop:     bind("esc", "as it was", "esc"),
	}
}

// enable keeps what is chosen within what there is, and lets the keys answer that
// would do something now.
func (m *CompareScreen) enable() {
	k, some := &m.keys, m.known && len(m.c.Groups) > 0
	k.Stop.SetEnabled(m.pulls == nil && m.failed == "")
	k.Back.SetEnabled(!k.Stop.Enabled())
	k.Before.SetEnabled(some && m.chosen > 0)
	k.Next.SetEnabled(some && m.chosen < len(m.c.Groups)-1)
	r, laid := m.laid()
	m.bar = max(0, min(m.bar, m.bars()-1))
	inBars := laid && r.bars.h > 2
	up, down := inBars && m.bar > 0, inBars && m.bar < m.bars()-1
	if laid && !inBars && r.list.h > 1 {
		most := max(0, len(r.words)-(r.list.h-1))
		m.from = max(0, min(m.from, most))
		up, down = m.from > 0, m.from < most
	}
	for _, b := range []*key.Binding{&k.Up, &k.PageUp, &k.First} {
		b.SetEnabled(up)
	}
	for _, b := range []*key.Binding{&k.Down, &k.PageDown, &k.Last} {
		b.SetEnabled(down)
	}
	for _, b := range []*key.Binding{&k.Plot, &k.By, &k.Bound, &k.Type, &k.Minimum, &k.Side, &k.Level, &k.Units} {
		b.SetEnabled(some)
	}
	k.Part.SetEnabled(some && !(inBars && r.list.h > 1))
	k.Open.SetEnabled(inBars && m.bars() > 0 && m.opening == "" && !m.keeping)
	k.Export.SetEnabled(some && !m.keeping && !m.running)
}

// line are the keys for one line, the most needed first.
func (m *CompareScreen) line() []key.Binding {
	k := &m.keys
	if m.typing != typingNothing {
		return []key.Binding{k.Keep, k.Drop}
	}
	short := func(b key.Binding, name, what string) key.Binding {
		b.SetHelp(name, what)
		return b
	}
	part := short(k.Part, "tab", "bars")
	if next := m.nextPart(); next == compareWords {
		part.SetHelp("tab", "words")
	} else if next == comparePlots {
		part.SetHelp("tab", "plot")
	}
	plot, by, export := short(k.Plot, "p", "plot"), short(k.By, "g", "by"), short(k.Export, "e", "report")
	back, bound, minimum := short(k.Back, "b", "shelf"), short(k.Bound, "c", "bound"), short(k.Minimum, "m", "minimum")
	units := short(k.Units, "u", "ksi")
	if m.units == si.US {
		units.SetHelp("u", "MPa")
	}
	line := []key.Binding{short(k.Stop, "b", "stop"), part, plot, by, bound, minimum, export, back, k.Help}
	if k.Open.Enabled() { // bound and minimum give way
		line = []key.Binding{short(k.Open, "enter", "look"), part, plot, by, export, back, k.Help, minimum, bound}
	}
	return alsoKey(line, units, m.width-4)
}

// help explains the comparison: the keys that work now, what stands where, and what
// the words mean.
func (k *compareKeys) help() openHelp {
	rows := []helpRow{{"keys now", ""}}
	rows = append(rows, keyRows(k.Before, k.Next, k.Up, k.Down, k.PageUp, k.PageDown, k.First, k.Last, k.Part, k.Plot, k.By, k.Bound,
		k.Type, k.Minimum, k.Side, k.Level, k.Units, k.Open, k.Export, k.Stop, k.Back, k.Abort)...)
	rows = append(rows, helpRow{}, helpRow{"what the words mean", ""})
	return openHelp{title: "help: bars beside each other", rows: append(rows, compareRows()...)}
}

func compareRows() []helpRow {
	return []helpRow{
		{"count on", "the bound less what the rig may be off, rounded down, for bars of this melt, this section and this kind. It is no promise for the next bar: of the bound of 90/95 up to 1 bar in 10 may be weaker, of 99/95 1 in 100. It is not for a casting of another thickness. It replaces no code and no licensed practice, and where a part can hurt someone neither is to be left out"},
		{"bound", "a strength that most bars lie above, the tolerance bound. 90/95: you can be 95 % sure (the confidence) that at least 90 % of such bars (the content) are stronger. It lies so many SD (k) below the mean, and of few bars it lies far below: more bars bring it up, and a steadier melt does"},
		{"for the rig", "what the rig and its calibration may be off (the common part of the uncertainty): it does the same to every bar and does not show in their scatter. More bars do not average it away, so it comes off the bound. Between two groups it cancels where rig and calibration are the same, and only there"},
		{"SD", "how far bars lie off their mean, typically: the standard deviation. CV is SD in % of the mean"},
		{"mean", "with the range in which the mean of very many such bars would lie, sure to 95 %"},
		{"apart", "a bar farther from the others than chance would put it (Grubbs' test of an outlier). At 5 % about one of 20 sound groups is flagged so, and one or more of eight in every third comparison. It is told, never dropped: look at the fracture and at the trace, and leave it out only for a reason you found there"},
		{"steadiness", "Weibull's m: how alike the weakest spots of bars are. As a rule of thumb brittle or gassy castings have 5 to 20, sound ductile metal above 30. Bars that bore at least so much count in it. Unbiased: what few bars make too large is taken off"},
		{"scale", "of Weibull: the strength below which 63 % of bars break"},
		{"at least", "a bar that bore so much and says no more: it was let off, or broke where that does not count (censored). It is left out of mean, SD and bound, and is kept in Weibull's m"},
		{"bell curve", "whether the bars spread as a normal distribution does (Anderson and Darling's test). The bound takes it so: where they do not, do not trust it"},
		{"differ", "p is how often chance alone would set like groups so far apart. Two groups: the difference of the means (Welch); more: the analysis of variance, which tells whether all are alike and not which of them is not"},
		{"bars", "each with its strength ± its expanded uncertainty, the part that all share included"},
		{"left out", "pulls that do not count or give no strength, each with why; tab lists them all"},
		{"dots", "● a bar, █ several in one place, ◆ a bar apart, > bore at least so much; under them [ the bound, ┼ the mean, ▴ the strength to count on; ‹ lies off the scale; ┆ the minimum"},
		{"spread", "bars by rank against a straight line: bars along the line spread as the line's law says. A bend, or a bar off the line, is a mixed melt, a flaw or a bad pull"},
		{"notes", "△ begins what speaks against trusting the figures"},
	}
}
