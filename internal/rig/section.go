package rig

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2/unstable"
)

// reader takes values out of a document and collects what is wrong with them.
type reader struct {
	doc    *document
	faults []Fault
	bad    map[string]bool // keys already told, told once
}

// fault notes one thing wrong with a key, on the key's line, or its table's
// where the key is missing. A second fault on one key adds nothing a person
// could use before the first is put right.
func (r *reader) fault(key, why, want string) {
	if r.bad[key] {
		return
	}
	r.bad[key] = true
	r.faults = append(r.faults, Fault{r.line(key), shorten(key), shorten(why), want})
}

// shorten keeps a text that quotes the file to what a person reads.
func shorten(s string) string {
	const most = 200
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	r := []rune(s)
	return string(r[:most]) + "…"
}

// underBad says whether a table that holds the key has been told already: what
// a missing table leaves at zero is no second fault.
func (r *reader) underBad(key string) bool {
	for i, c := range key {
		if c == '.' && r.bad[key[:i]] {
			return true
		}
	}
	return false
}

func (r *reader) line(key string) int {
	for k := key; k != ""; {
		if v, ok := r.doc.values[k]; ok {
			return v.line
		}
		if line, ok := r.doc.tables[k]; ok {
			return line
		}
		i := strings.LastIndexByte(k, '.')
		if i < 0 {
			break
		}
		k = k[:i]
	}
	return 1
}

// section is one table of the file.
type section struct {
	*reader
	name string
}

func (s section) key(k string) string { return s.name + "." + k }

func (s section) has(k string) bool { _, ok := s.doc.values[s.key(k)]; return ok }

func (s section) fault(k, why, want string) { s.reader.fault(s.key(k), why, want) }

// text takes a string.
func (s section) text(k, want string) (string, bool) {
	return s.quoted(k, want, func(v value) string { return "is " + v.written() + ", not text in quotes" })
}

// quantity takes the text of a number with a unit; a bare number gets the
// answer that it lacks one.
func (s section) quantity(k, want string) (string, bool) {
	return s.quoted(k, want, func(v value) string {
		if v.kind == unstable.Integer || v.kind == unstable.Float {
			return v.text + " has no unit"
		}
		return "is " + v.written()
	})
}

func (s section) quoted(k, want string, why func(value) string) (string, bool) {
	v, ok := s.doc.values[s.key(k)]
	if !ok {
		return "", false
	}
	if v.kind == unstable.String {
		return v.text, true
	}
	s.fault(k, why(v), want)
	return "", false
}

// plain takes a number without a dimension, bare or as text ("75 %").
func (s section) plain(k, want string) (string, bool) {
	v, ok := s.doc.values[s.key(k)]
	if !ok {
		return "", false
	}
	switch v.kind {
	case unstable.String, unstable.Float, unstable.Integer:
		return v.text, true
	}
	s.fault(k, "is "+v.written(), want)
	return "", false
}

// whole takes a whole number between two ends.
func (s section) whole(k string, low, high int, otherwise int, want string) int {
	v, ok := s.doc.values[s.key(k)]
	if !ok {
		return otherwise
	}
	n, err := number(v.text)
	if v.kind != unstable.Integer || err != nil || n < float64(low) || n > float64(high) {
		s.fault(k, fmt.Sprintf("is %s, not a whole number from %d to %d", v.written(), low, high), want)
		return otherwise
	}
	return int(n)
}

// yes takes true or false; false where it is not given. What is neither is told
// and taken as meant, so that nothing else is told because of it.
func (s section) yes(k, want string) bool {
	v, ok := s.doc.values[s.key(k)]
	if !ok {
		return false
	}
	if v.kind != unstable.Bool {
		s.fault(k, "is "+v.written()+", not true or false", want)
		return true
	}
	return v.text == "true"
}

// list takes a list of strings.
func (s section) list(k, want string) ([]string, bool) {
	v, ok := s.doc.values[s.key(k)]
	if !ok {
		return nil, false
	}
	if v.kind != unstable.Array {
		s.fault(k, "is "+v.written()+", not a list", want)
		return nil, false
	}
	out := make([]string, 0, len(v.items))
	for _, it := range v.items {
		if it.kind != unstable.String {
			s.fault(k, "holds "+it.written(), want)
			return nil, false
		}
		out = append(out, it.text)
	}
	return out, true
}

// choice takes one of a few words.
func (s section) choice(k string, required bool, words ...string) string {
	want := oneOf(words)
	t, ok := s.text(k, want)
	if !ok {
		if required {
			s.missing(k, want)
		}
		return ""
	}
	if !slices.Contains(words, t) {
		s.fault(k, fmt.Sprintf("%q is not known", t), want)
		return ""
	}
	return t
}

func (s section) missing(k, want string) {
	if !s.has(k) {
		s.fault(k, "missing", want)
	}
}

// only refuses keys that belong to another kind than the one stated.
func (s section) only(kind string, others ...string) {
	for _, k := range others {
		if s.has(k) {
			s.fault(k, "does not belong to "+kind, "the line taken out, or another kind")
		}
	}
}

// take reads a quantity given as text with a unit; ok is false where it is not
// given or wrong, which is then told.
func take[Q any](s section, k, want string, parse func(string) (Q, error)) (v Q, ok bool) {
	t, given := s.quantity(k, want)
	if !given {
		return v, false
	}
	v, err := parse(t)
	if err != nil {
		s.fault(k, why(err), want)
		return v, false
	}
	return v, true
}

// pair is take for a value that comes with a second one: a tolerance, the other
// end of a range.
func pair[Q any](s section, k, want string, parse func(string) (Q, Q, error)) (a, b Q, ok bool) {
	t, given := s.quantity(k, want)
	if !given {
		return a, b, false
	}
	a, b, err := parse(t)
	if err != nil {
		s.fault(k, why(err), want)
		return a, b, false
	}
	return a, b, true
}

// fraction reads a fraction, bare or as text.
func (s section) fraction(k string, otherwise float64, want string) float64 {
	t, ok := s.plain(k, want)
	if !ok {
		return otherwise
	}
	v, err := fraction(t)
	if err != nil {
		s.fault(k, why(err), want)
		return otherwise
	}
	return v
}

func (s section) fractionTol(k, want string, value, tol float64) (float64, float64, bool) {
	t, ok := s.plain(k, want)
	if !ok {
		return value, tol, false
	}
	v, d, err := fractionTol(t, tol)
	if err != nil {
		s.fault(k, why(err), want)
		return value, tol, false
	}
	return v, d, true
}

// oneOf lists words as a person would: "a", "b" or "c".
func oneOf(words []string) string {
	q := make([]string, len(words))
	for i, w := range words {
		q[i] = `"` + w + `"`
	}
	if len(q) == 1 {
		return q[0]
	}
	return strings.Join(q[:len(q)-1], ", ") + " or " + q[len(q)-1]
}
