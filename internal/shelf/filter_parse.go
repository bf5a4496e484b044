package shelf

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// mostTerms bounds a filter: each term is held against every record at each key.
const mostTerms = 32

// TermError says which term of a filter cannot be understood, why, and what would do.
type TermError struct {
	Term string // as written
	Why  string
	Next string
	More int // how many other terms cannot be understood

	noField bool // whatever follows the sign, there is no such field
}

func (e *TermError) Error() string {
	text := fmt.Sprintf("%s: %s: %s", e.Term, e.Why, e.Next)
	if e.More > 0 {
		text += fmt.Sprintf(" (and %d more)", e.More)
	}
	return text
}

// ParseFilter reads a filter as a person types it: terms with blanks between, which
// must all hold, in whatever case.
//
//	M1            a word: part of bar, melt, alloy, tags, rig, record name, outcome or condition
//	alloy:C905    part of one field: alloy melt bar tag rig kind outcome stock record source
//	melt=M1       the whole of it; tag="" is a bar without any
//	tag:"wet sand"       quotes keep blanks, and signs in a word; "" is one quote in them
//	state:damaged counts:no is:simulated    one of a few words, or how one begins; counts:remarks too
//	strength>40ksi  strength>=300MPa  strength:40ksi..45ksi
//	since:2026-01  until:2026-02-03  on:2026-11-25    local time, the whole day, month or year
//	-term         the term must not hold
//
// There is no or, and none is looked for unless it stands in quotes.
//
// The quantities are strength, atleast (what a bar bore that did not break), force (the
// drag hand), stress, diameter and elongation (in %). What a record does not know of them is not in any
// range: a bar that only bore a stress has no strength.
//
// The error is a *TermError about the first term that cannot be understood; the filter
// is that of all others, so that a list can follow the typing.
func ParseFilter(text string) (Filter, error) { return ParseTyping(text, -1) }

// ParseTyping is ParseFilter of a text that is still being typed, with the cursor before
// the byte at: no fault is found with the term that the cursor stands in or behind, which
// may be half of one, but for a field that there is none of: nothing typed behind its sign
// mends it. The filter is the same.
func ParseTyping(text string, at int) (Filter, error) {
	var f Filter
	var first *TermError
	fail := func(e *TermError) {
		if first == nil {
			first = e
			return
		}
		first.More++
	}
	p := scanner{rest: strings.ToValidUTF8(text, "\uFFFD")}
	whole := len(p.rest)
	for {
		raw, ok := p.next()
		end := whole - len(p.rest)
		if !ok {
			break
		}
		if raw.head == "" && raw.op == "" && raw.value == "" && !raw.not {
			continue // two quotes with nothing between
		}
		t, err := raw.term()
		switch {
		case err != nil && !err.noField && end-raw.long < at && at <= end: // it is being typed
		case err != nil:
			fail(err)
		case len(f.terms) == mostTerms:
			fail(&TermError{Term: raw.shown, Why: fmt.Sprintf("a filter has at most %d terms", mostTerms), Next: "leave some out"})
		default:
			f.terms = append(f.terms, t)
		}
	}
	if first != nil {
		return f, first
	}
	return f, nil
}

// scanner parts a filter into its terms.
type scanner struct{ rest string }

// written is one term as it is written.
type written struct {
	not    bool
	head   string // before the sign; empty: a bare word
	op     string // ":", "=", ">", ">=", "<", "<="; empty: a bare word
	value  string // without quotes
	quoted bool
	shown  string // for an error
	long   int    // bytes of it as written
}

// next takes a term off the text.
func (p *scanner) next() (w written, ok bool) {
	p.rest = strings.TrimLeftFunc(p.rest, unicode.IsSpace)
	if p.rest == "" {
		return w, false
	}
	begin := p.rest
	defer func() {
		w.long = len(begin) - len(p.rest)
		w.shown = shownTerm(begin[:w.long])
	}()
	if rest, is := strings.CutPrefix(p.rest, "-"); is {
		w.not, p.rest = true, rest
	}
	w.value, w.quoted = p.value(true)
	if w.quoted || p.rest == "" || !strings.ContainsRune(signs, rune(p.rest[0])) {
		return w, true
	}
	w.head, w.op = w.value, p.rest[:1]
	p.rest = p.rest[1:]
	if (w.op == ">" || w.op == "<") && strings.HasPrefix(p.rest, "=") {
		w.op, p.rest = w.op+"=", p.rest[1:]
	}
	w.value, w.quoted = p.value(false)
	return w, true
}

// signs part a field from what is looked for.
const signs = ":=<>"

// value takes a word, or a text in quotes, off the text. A word that may be a field
// ends at a sign. Quotes that are never closed hold all that follows: somebody is
// still typing.
func (p *scanner) value(field bool) (v string, quoted bool) {
	if !strings.HasPrefix(p.rest, `"`) {
		end := strings.IndexFunc(p.rest, func(r rune) bool {
			return unicode.IsSpace(r) || field && strings.ContainsRune(signs, r)
		})
		if end < 0 {
			end = len(p.rest)
		}
		v, p.rest = p.rest[:end], p.rest[end:]
		return v, false
	}
	p.rest = p.rest[1:]
	var b strings.Builder
	for {
		part, rest, closed := strings.Cut(p.rest, `"`)
		b.WriteString(part)
		p.rest = rest
		if !closed || !strings.HasPrefix(rest, `"`) {
			return b.String(), true
		}
		b.WriteByte('"')
		p.rest = rest[1:]
	}
}

// shownTerm is a term for an error: it may be anything, and of any length.
func shownTerm(s string) string {
	const most = 40
	s = strings.Map(func(r rune) rune {
		if !unicode.IsGraphic(r) {
			return -1
		}
		return r
	}, s)
	if utf8.RuneCountInString(s) > most {
		s = string([]rune(s)[:most]) + "…"
	}
	return s
}

// quote writes what is looked for: plain where it reads as the same, else in quotes.
func quote(s string, field bool) string {
	plain := s != "" && !strings.ContainsFunc(s, unicode.IsSpace) && !strings.Contains(s, `"`)
	if field {
		plain = plain && !strings.HasPrefix(s, "-") && !strings.ContainsAny(s, signs)
	}
	if plain {
		return s
	}
	return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
}
