package shelf

import (
	"strings"
	"time"
	"unicode/utf8"
)

// Words is the text of an entry as filters look into it: in lower case, all of it in
// one piece. Made once by Fold, it saves each key of a filter to do so anew.
type Words struct {
	text    string // the spots, in their order, each with a parting behind it
	ends    [spots]uint32
	melt    uint32 // where the melt ends, in text
	id      uint32 // where the number of the bar begins, in text
	tagless bool
	when    time.Time
}

// spot is where a text stands in Words.
type spot int

const (
	atName spot = iota
	atBar       // melt and number, as a list shows them
	atAlloy
	atTags // each with a parting before it
	atRig
	atOutcome
	atCondition // a bare word is looked for up to here
	atKind
	atStock
	atSource
	spots // how many there are
)

// parting stands between two texts. It is in no text of UTF-8, so in no word of a term;
// strings.ToLower writes a sign for what is none.
const parting = "\xff"

// Fold makes the Words of entries, and gives how many bytes they hold. It is for who
// filters the same entries many times; nobody may read them meanwhile. Who changes a
// text of an entry later sets its Words to nil.
func Fold(all []Entry) (bytes int) {
	words := make([]Words, len(all))
	starts := make([]int, len(all)+1)
	var b strings.Builder
	b.Grow(128 * len(all)) // as usual ones take
	for i := range all {
		words[i].fold(&b, &all[i])
		starts[i+1] = b.Len()
	}
	text := b.String()
	for i := range all {
		words[i].text = text[starts[i]:starts[i+1]]
		all[i].Words = &words[i]
	}
	return len(text)
}

// fold writes the text of an entry behind what is there, and remembers where it stands.
func (w *Words) fold(b *strings.Builder, e *Entry) {
	bar, begin, at := &e.Specimen, b.Len(), spot(0)
	put := func(s string) uint32 {
		writeLower(b, s)
		return uint32(b.Len() - begin)
	}
	end := func() {
		w.ends[at] = uint32(b.Len() - begin)
		b.WriteString(parting)
		at++
	}
	put(e.Name)
	end()
	w.melt = put(bar.Melt)
	w.id = w.melt
	if bar.Melt != "" && bar.ID != "" {
		w.id = put("-")
	}
	put(bar.ID)
	end()
	put(bar.Alloy)
	end()
	w.tagless = len(bar.Tags) == 0
	for _, one := range bar.Tags {
		b.WriteString(parting)
		put(one)
	}
	end()
	for _, s := range []string{e.RigName, string(e.Outcome), string(e.Condition), string(e.Kind), bar.Stock, e.Source} {
		put(s)
		end()
	}
	w.when = e.When()
}

// writeLower writes a text in lower case; of ASCII without a copy.
func writeLower(b *strings.Builder, s string) {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			b.WriteString(strings.ToLower(s))
			return
		}
	}
	for i := range len(s) {
		b.WriteByte(lower(s[i]))
	}
}

// part is the text of a spot.
func (w *Words) part(at spot) string {
	begin := uint32(0)
	if at > 0 {
		begin = w.ends[at-1] + uint32(len(parting))
	}
	return w.text[begin:w.ends[at]]
}

// foldedIn says whether the text a term is about has its word, as worded does.
func (t *term) foldedIn(w *Words) bool {
	within := func(text string) bool {
		return t.exact && text == t.word || !t.exact && strings.Contains(text, t.word)
	}
	switch t.about {
	case onAlloy:
		return within(w.part(atAlloy))
	case onMelt:
		return within(w.text[w.ends[atName]+uint32(len(parting)) : w.melt])
	case onBar: // its number alone too, which a part of the whole has anyway
		return within(w.part(atBar)) || t.exact && w.id > w.melt && w.text[w.id:w.ends[atBar]] == t.word
	case onTag:
		if !t.exact {
			return strings.Contains(w.part(atTags), t.word)
		}
		for one := range strings.SplitSeq(w.part(atTags), parting) {
			if t.word != "" && one == t.word {
				return true
			}
		}
		return t.word == "" && w.tagless
	case onRig:
		return within(w.part(atRig))
	case onKind:
		return within(w.part(atKind))
	case onOutcome:
		return within(w.part(atOutcome))
	case onStock:
		return within(w.part(atStock))
	case onRecord:
		return within(w.part(atName))
	case onSource:
		return within(w.part(atSource))
	}
	return strings.Contains(w.text[:w.ends[atCondition]], t.word)
}
