package shelf

import (
	"strings"
	"unicode/utf8"
)

// in says whether a text has the word of a term, or is it, in whatever case.
func (t *term) in(text string) bool { return has(text, t.word, t.exact) }

// inTags looks into each tag; exactly nothing is a bar without any.
func (t *term) inTags(tags []string) bool {
	if t.exact && t.word == "" {
		return len(tags) == 0
	}
	for _, one := range tags {
		if t.in(one) {
			return true
		}
	}
	return false
}

// inBar looks into the name of a bar as a list has it, "M1-3", and where the whole is
// meant into its number alone too.
func (t *term) inBar(melt, id string) bool {
	if melt == "" || id == "" {
		return t.in(melt + id)
	}
	if t.in(id) || !t.exact && t.in(melt) {
		return true
	}
	if !strings.Contains(t.word, "-") {
		return false // it stands in neither part, and the hyphen is not asked for
	}
	var room [2 * (mostText + 8)]byte // on the stack: entries are bound to this
	name := append(append(append(room[:0], melt...), '-'), id...)
	return has(name, t.word, t.exact)
}

// has says whether text holds word, or is it, where word is in lower case and text
// in any. It makes no copy of a text that is ASCII, as nearly all are: it runs over
// ten thousand records at each key.
func has[T string | []byte](text T, word string, whole bool) bool {
	for i := range len(text) {
		if text[i] >= utf8.RuneSelf {
			low := strings.ToLower(string(text))
			return whole && low == word || !whole && strings.Contains(low, word)
		}
	}
	if whole {
		return len(text) == len(word) && startsWith(text, 0, word)
	}
	for i := 0; i+len(word) <= len(text); i++ {
		if startsWith(text, i, word) {
			return true
		}
	}
	return false
}

// startsWith says whether ASCII text goes on with word from i on, in whatever case.
func startsWith[T string | []byte](text T, i int, word string) bool {
	for j := range len(word) {
		c := text[i+j]
		if c >= 'A' && c <= 'Z' {
			c += 'a' - 'A'
		}
		if c != word[j] {
			return false
		}
	}
	return true
}
