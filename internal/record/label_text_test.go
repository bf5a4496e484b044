package record

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

// What cannot be seen, and what would part a tag in two, is no name that is given; what
// a record was called before by such a name stays as it is, until it is called anew.
func TestLabelText(t *testing.T) {
	for name, l := range map[string]Label{
		"turned round":    {ID: "1\u202e2"},
		"without a width": {Melt: "M\u200b1"},
		"joined":          {Tags: []string{"wet\u200dsand"}},
		"line":            {ID: "1\u20282"},
		"comma":           {Tags: []string{"a,b"}},
		"semicolon":       {Tags: []string{"a;b"}},
	} {
		if _, err := l.Valid(); !errors.Is(err, ErrLabel) {
			t.Errorf("%s: %v", name, err)
		}
		dir := copied(t, example)
		spoil(t, dir, HeadFile, func(b []byte) []byte {
			b, err := withLabel(b, l)
			must(t, err)
			return b
		})
		to := l
		to.Tags = append(slices.Clone(l.Tags), "new")
		if l.Melt == "" {
			to.Melt = "M2"
		} else {
			to.ID = "2"
		}
		if _, err := to.ValidFrom(l); err != nil {
			t.Errorf("%s: what it is called already is refused: %v", name, err)
		}
		must(t, Relabel(dir, to))
		h, err := HeadOf(dir)
		must(t, err)
		if got := h.Label(); got.ID != to.ID || got.Melt != to.Melt || !slices.Equal(got.Tags, to.Tags) {
			t.Errorf("%s: %q, want %q", name, got, to)
		}
		if _, err := to.Valid(); !errors.Is(err, ErrLabel) {
			t.Errorf("%s: given anew: %v", name, err)
		}
	}
	if _, err := (Label{ID: "炉é-7", Melt: "M 1", Tags: []string{"1150 °C"}}).Valid(); err != nil {
		t.Errorf("a name of letters: %v", err)
	}
}

// A label is one remark, whatever changes in it, as the old one was shown; where no
// other fits, what to do is told.
func TestRelabelOneRemark(t *testing.T) {
	dir := copied(t, example)
	must(t, Relabel(dir, Label{ID: "4", Melt: "M2", Tags: []string{"wet sand"}}))
	must(t, Relabel(dir, Label{ID: "5", Melt: "M\u00a03", Tags: nil}))
	h, err := HeadOf(dir)
	must(t, err)
	want := []string{
		"labelled anew: the melt is M2, it was called M1; the specimen is 4, it was called 3; it had no tags",
		"labelled anew: the melt is M 3, it was called M2; the specimen is 5, it was called 4; the tags were wet sand",
	}
	if got := h.SaidTexts(); !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	if id, melt := h.FirstLabel(); id != "3" || melt != "M1" {
		t.Errorf("first called %q %q", id, melt)
	}
	spoil(t, dir, HeadFile, func(b []byte) []byte { return full(t, b) })
	for name, err := range map[string]error{"label": Relabel(dir, Label{ID: "6"}), "remark": AddRemark(dir, "x")} {
		if !errors.Is(err, ErrRemark) || !strings.Contains(err.Error(), `keep a copy of its pull.json and take some out of "said" in it`) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
