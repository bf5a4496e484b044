package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"draghand/internal/specimen"
)

// Label is what a record is called by people: it may be wrong at first.
type Label struct {
	ID   string   // of the specimen
	Melt string   // it was turned from
	Tags []string // free words that serve as groups
}

// MaxLabel bounds a specimen's and a melt's name, in bytes.
const MaxLabel = 64

// ErrLabel marks a label that cannot be taken as it is.
var ErrLabel = errors.New("label not taken")

// Label is what the record is called now.
func (h *Head) Label() Label {
	return Label{ID: h.Specimen.ID, Melt: h.Specimen.Melt, Tags: slices.Clone(h.Specimen.Tags)}
}

// Valid is the label without the blanks around its parts, and without tags that are
// there twice. A tag holds no comma and no semicolon, which part tags where they are
// typed. The error matches ErrLabel and names all that is wrong with it.
func (l Label) Valid() (Label, error) { return l.ValidFrom(Label{}) }

// ValidFrom is Valid of a label that takes the place of another: what that has already
// is taken as it is.
func (l Label) ValidFrom(was Label) (Label, error) {
	var out Label
	var errs []error
	for _, one := range []struct {
		what, text, was string
		to              *string
	}{{"specimen", l.ID, was.ID, &out.ID}, {"melt", l.Melt, was.Melt, &out.Melt}} {
		if one.text == one.was {
			*one.to = one.text
			continue
		}
		*one.to = strings.TrimSpace(one.text)
		switch {
		case len(*one.to) > MaxLabel:
			errs = append(errs, fmt.Errorf("the name of the %s is longer than %d bytes", one.what, MaxLabel))
		case !specimen.Seen(*one.to):
			errs = append(errs, fmt.Errorf("the name of the %s, %q, holds what is no text", one.what, *one.to))
		}
	}
	var given []string
	for _, t := range l.Tags {
		old := slices.Contains(was.Tags, t)
		if !old {
			t = strings.TrimSpace(t)
		}
		if slices.Contains(out.Tags, t) {
			continue
		}
		out.Tags = append(out.Tags, t)
		switch {
		case old:
			given = append(given, "old") // it counts, and is not looked at
		case strings.ContainsAny(t, ",;"):
			errs = append(errs, fmt.Errorf("tag %q holds a comma or a semicolon, which part tags", t))
		default:
			given = append(given, t)
		}
	}
	if err := (specimen.Specimen{Tags: given}).Validate(); err != nil {
		errs = append(errs, err)
	}
	if err := errors.Join(errs...); err != nil {
		return l, fmt.Errorf("%w: %w", ErrLabel, err)
	}
	return out, nil
}

// Relabel gives the record in dir another label, in one step and under its lock:
// while a pull is recorded in it, it fails with ErrBusy. What it was called before
// joins what people said of it. The folder keeps its name; whatever else pull.json
// holds stays as it is, the results too, and samples.csv is not touched. A label that
// is there already changes nothing. Its errors are those of Open, ErrLabel, and
// ErrRemark where there is no room to keep the old label.
func Relabel(dir string, to Label) error { return relabel(OS{}, dir, to, time.Now()) }

func relabel(fsys FS, dir string, to Label, at time.Time) (err error) {
	h, err := readHead(dir) // before the lock, which makes a file
	if err != nil {
		return err
	}
	if _, err = to.ValidFrom(h.Label()); err != nil {
		return err
	}
	unlock, err := Lock(dir)
	if err != nil {
		return fmt.Errorf("label the record: %w", err)
	}
	defer func() { err = errors.Join(err, unlock()) }()
	path := filepath.Join(dir, HeadFile)
	text, err := os.ReadFile(path)
	if err != nil {
		return fmt.Errorf("label the record: %w", err)
	}
	h, err = decodeHead(path, text)
	if err != nil {
		return err
	}
	was := h.Label()
	if to, err = to.ValidFrom(was); err != nil { // it may have been labelled meanwhile
		return err
	}
	said := was.replacedBy(to, at)
	if len(said) == 0 {
		return nil
	}
	if len(h.Said)+len(said) > MaxSaidEach {
		return tooManySaid(len(h.Said), ", and the old label would be lost")
	}
	h.Said = append(h.Said, said...)
	h.Specimen.ID, h.Specimen.Melt, h.Specimen.Tags = to.ID, to.Melt, to.Tags
	text, err = withLabel(text, to)
	if err == nil {
		text, err = withSaid(text, h.Said)
	}
	if err == nil {
		err = sameHead(path, text, h)
	}
	if err == nil {
		err = replace(fsys, path, text)
	}
	if err != nil {
		return fmt.Errorf("label the record: %w", err)
	}
	return nil
}

// replacedBy is what is said of a label when another takes its place: all of it, in one
// remark, or where it is longer than one in as many as it takes; empty where nothing
// changes.
func (l Label) replacedBy(to Label, at time.Time) []Said {
	var parts []string
	for _, one := range []struct{ what, was, is string }{{meltIs, l.Melt, to.Melt}, {specimenIs, l.ID, to.ID}} {
		if one.was != one.is {
			parts = append(parts, one.what+called(one.is)+wasCalled+called(one.was))
		}
	}
	if !slices.Equal(l.Tags, to.Tags) {
		parts = append(parts, noTags)
		if len(l.Tags) > 0 {
			parts[len(parts)-1] = tagsWere + strings.Join(l.Tags, ", ")
		}
	}
	if len(parts) == 0 {
		return nil
	}
	var out []Said
	say := func(text string) {
		if r := []rune(text); len(r) > MaxSaid { // of a head that no program of ours wrote
			text = string(r[:MaxSaid-1]) + "…"
		}
		if s, err := NewSaid(text, at); err == nil {
			out = append(out, s)
		}
	}
	if whole := labelAnew + strings.Join(parts, clauseEnd); utf8.RuneCountInString(whole) <= MaxSaid {
		say(whole)
		return out
	}
	for _, p := range parts {
		if utf8.RuneCountInString(labelAnew+p) <= MaxSaid || !strings.HasPrefix(p, tagsWere) {
			say(labelAnew + p)
			continue
		}
		l.sayTags(labelAnew+tagsWere, say)
	}
	return out
}

// sayTags says all tags, on as many lines as it takes.
func (l Label) sayTags(begin string, say func(string)) {
	line := begin
	for i, t := range l.Tags {
		if line != begin && utf8.RuneCountInString(line+", "+t) > MaxSaid {
			say(line)
			line = begin
		}
		if line != begin {
			line += ", "
		}
		if line += t; i == len(l.Tags)-1 {
			say(line)
		}
	}
}

func called(s string) string {
	if s == "" {
		return calledNone
	}
	return s
}

// withLabel puts a label into the text of pull.json.
func withLabel(text []byte, l Label) ([]byte, error) {
	var in struct {
		Specimen json.RawMessage `json:"specimen"`
	}
	if err := json.Unmarshal(text, &in); err != nil {
		return nil, err
	}
	bar := []byte(in.Specimen)
	if len(bar) == 0 || string(bar) == "null" {
		bar = []byte("{}")
	}
	// A head is laid out in this order.
	order := []string{
		"id", "melt", "alloy", "shape", "diameters_m", "sections_m", "size_limit_m", "gauge_length_m", "yield_pa", "expected_low_pa",
		"expected_high_pa", "expected_from", "tags", "simulated", "side", "check_stock",
	}
	put := func(name string, value any, empty bool) (err error) {
		var v []byte
		if !empty {
			if v, err = plainJSON(value); err != nil {
				return err
			}
		}
		bar, err = withField(bar, name, v, order[slices.Index(order, name)+1:]...)
		return err
	}
	err := errors.Join(put("id", l.ID, l.ID == ""), put("melt", l.Melt, l.Melt == ""), put("tags", l.Tags, len(l.Tags) == 0))
	if err != nil {
		return nil, err
	}
	return withField(text, "specimen", bar)
}

// sameHead says whether a text reads as a head does: what was put into it by hand may
// stand there twice, and is not guessed at.
func sameHead(path string, text []byte, h Head) error {
	got, err := decodeHead(path, text)
	if err != nil {
		return err
	}
	a, err := encodeHead(got)
	if err != nil {
		return err
	}
	b, err := encodeHead(h)
	if err != nil {
		return err
	}
	if !bytes.Equal(a, b) {
		return fmt.Errorf("%q holds a field twice, or in other letters: correct it by hand", path)
	}
	return nil
}
