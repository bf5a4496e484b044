package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// compareWide is the room of the labels of the words.
const compareWide = 12

// sentence is the answer in one sentence.
func (m *CompareScreen) sentence(g *compare.Group) string {
	switch {
	case g.CountOn != nil:
		return clean(g.CountOn.Sentence(g, m.units))
	case g.Refused != "":
		return clean(g.NoBound(m.units))
	case len(g.Pulls) == 1:
		return "One bar says nothing of the next: a strength to count on needs three bars that count, and five before it is worth much."
	case g.Alike:
		all := fmt.Sprintf("All %d bars", len(g.Pulls))
		if len(g.Pulls) == 2 {
			all = "Both bars"
		}
		return all + " read alike: their scatter is finer than what was read, so that there is no bound and no strength to count on yet."
	case len(g.Pulls) > 1:
		return "No bound can be stated of these bars, and no strength to count on."
	case len(g.Censored) > 0:
		return "No bar of these broke and counts: what they bore at least stands among the bars, and no strength can be counted on from it."
	}
	return "No bar of these counts: there is no strength to count on. Why each is left out stands below."
}

// holdsFor says what bars the answer is for, and what it is not.
func (m *CompareScreen) holdsFor(g *compare.Group) string {
	if g.CountOn == nil || g.CountOn.Nothing(m.units) {
		return ""
	}
	return clean(g.HoldsFor(m.units))
}

// doubts are what speaks against trusting the figures: of the group, then of the
// comparison.
func (m *CompareScreen) doubts(g *compare.Group) (out []string) {
	have := map[string]bool{}
	add := func(text string) {
		if text = clean(text); text != "" && !have[text] {
			have[text] = true
			out = append(out, text)
		}
	}
	add(m.c.Unread()) // the missing bar may be the weak one
	for _, n := range g.Notes {
		add(n)
	}
	for _, n := range m.c.Notes {
		add(n)
	}
	return out
}

// compareLine is a line of the words; a whole one has no label beside it.
type compareLine struct {
	benchLine
	whole bool
}

// compareListed are how many bars that do not count stand among the words; the list of
// the bars has them all.
const compareListed = 6

// wordLines are what is known of a group in words, w cells wide, what the answer
// hangs on first. The sentence is among them where it does not stand above.
func (m *CompareScreen) wordLines(g *compare.Group, w int, sentence bool) (lines []compareLine) {
	say := func(label, text string, k ink) {
		for i, t := range wrapWhole(text, w-2-compareWide) {
			if i > 0 {
				label = ""
			}
			line := benchLine{label: label, text: t, ink: k}
			if strings.HasPrefix(label, "△") {
				line.word = caution
			}
			lines = append(lines, compareLine{benchLine: line})
		}
	}
	if sentence {
		for _, t := range wrapWhole(m.sentence(g), w-2) {
			lines = append(lines, compareLine{benchLine{text: t, ink: strong}, true})
		}
		for _, t := range wrapWhole(m.holdsFor(g), w-2) {
			lines = append(lines, compareLine{benchLine{text: t}, true})
		}
	}
	for i, t := range m.doubts(g) {
		label := "△ caution"
		if i > 0 {
			label = "△"
		}
		say(label, t, plain)
	}
	if c := g.CountOn; c != nil {
		say("the rig", clean(c.CoverageSays(g)), plain)
	}
	say("chosen", clean(m.c.Options.Chosen.Words()), plain)
	say("minimum", m.underText(g), plain)
	say("difference", m.differenceText(), plain)
	say("groups", m.analysisText(), plain)
	say("apart", m.apartText(g), plain)
	say("bell curve", m.bellText(g), plain)
	say("steadiness", m.weibullText(g), plain)
	if e := &g.Elongation; e.N > 0 {
		say("elongation", si.Number(100*e.Mean, 1)+" % in the mean of "+barsText(e.N)+", "+si.Number(100*e.Least, 1)+" to "+si.Number(100*e.Most, 1)+" %", plain)
	}
	m.sayOthers(say, "at least", g.Censored)
	m.sayOthers(say, "left out", g.Left)
	m.sayOthers(say, "no group", m.c.Outside)
	return lines
}

// sayOthers tells bars that do not count, each with why, as far as they are few.
func (m *CompareScreen) sayOthers(say func(label, text string, k ink), label string, of []compare.Pull) {
	for i := range of {
		if i == compareListed && len(of) > i+1 {
			say("", fmt.Sprintf("and %s more: tab lists them all", si.Number(float64(len(of)-i), 0)), faint)
			return
		}
		say(label, m.whyText(&of[i]), plain)
		label = ""
	}
}

// whyText is a bar that does not count: what it bore, or why it is left out.
func (m *CompareScreen) whyText(b *compare.Pull) string {
	switch {
	case b.Censored():
		return m.toldApart(b) + " bore at least " + b.AtLeast.Text(m.units) + ": " + atLeastWhy(b)
	case b.Out == "":
		return pullName(b)
	}
	return m.toldApart(b) + ": " + clean(b.Out)
}

// toldApart is what a bar is called, with its folder where another one here is called so.
func (m *CompareScreen) toldApart(b *compare.Pull) string {
	name := pullName(b)
	if folder := m.folderOf(b); folder != "" {
		name += " (" + folder + ")"
	}
	return name
}

// folderOf is the folder of a bar where that is needed: another record here is of a bar
// of its name. Empty where it is not.
func (m *CompareScreen) folderOf(b *compare.Pull) string {
	if b.Record == "" || b.Record == b.Bar {
		return ""
	}
	for i := range m.bars() {
		if o := m.barAt(i); o.Bar == b.Bar && o.Record != b.Record {
			return cut(clean(b.Record), 60)
		}
	}
	return ""
}

// atLeastWhy is why a bar says no more.
func atLeastWhy(b *compare.Pull) string {
	return strings.TrimPrefix(clean(b.Out), "it bore at least so much: ")
}

// wrapWhole breaks a text into lines of w cells and cuts nothing: a word that is wider
// goes on in the next line.
func wrapWhole(s string, w int) []string {
	if w < 2 {
		return nil
	}
	var words []string
	for _, f := range bound(strings.Fields(s), w) {
		if ansi.StringWidth(f) > w {
			words = append(words, whole(f, w)...)
			continue
		}
		words = append(words, f)
	}
	return wrapWords(words, w, len(words))
}

// laid is where everything stands, where there is a group and room for it.
func (m *CompareScreen) laid() (compareRooms, bool) {
	if m.group() == nil || m.width < minWidth || m.height < minHeight {
		return compareRooms{}, false
	}
	return m.rooms(), true
}

// drawWords draws what is known of the group.
func (m *CompareScreen) drawWords(p *plate, r *compareRooms, g *compare.Group) {
	have, more := r.list.h-1, ""
	from := max(0, min(m.from, len(r.words)-have))
	for i := from; i < min(len(r.words), from+have); i++ {
		label := compareWide
		if r.words[i].whole {
			label = 0
		}
		r.words[i].draw(p, r.list.x, r.list.y+1+i-from, r.list.w, label)
	}
	if len(r.words) > have {
		more = fmt.Sprintf(" %d–%d of %d: up/down", from+1, min(len(r.words), from+have), len(r.words))
	}
	r.list.heading(p, "what to know of "+m.groupName(g), false, more)
}
