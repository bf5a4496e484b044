package compare_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"draghand/internal/compare"
)

func TestParseBy(t *testing.T) {
	for text, want := range map[string]compare.By{
		"all": {Field: compare.ByAll}, " Melt ": {Field: compare.ByMelt}, "alloy": {Field: compare.ByAlloy}, "marks": {Field: compare.ByMarked},
		"tag": {Field: compare.ByTag}, "tag: wet  sand ,dry-sand": {Field: compare.ByTag, Tags: []string{"wet sand", "dry-sand"}},
	} {
		got, err := compare.ParseBy(text)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%q: %+v, %v", text, got, err)
		}
	}
	for _, bad := range []string{"", "rig", "melt:M1", "tag:", "tag:a,,b", "tag:a,a", "all:", "tag:" + strings.Repeat("x", 65), "tag:a\x1b"} {
		if by, err := compare.ParseBy(bad); err == nil {
			t.Errorf("%q: %+v", bad, by)
		}
	}
}

func TestParseBound(t *testing.T) {
	for text, want := range map[string][2]float64{"90/95": {0.9, 0.95}, " 99 % / 95%": {0.99, 0.95}, "99.9/50": {0.999, 0.5}} {
		p, q, err := compare.ParseBound(text)
		if err != nil || p != want[0] || q != want[1] {
			t.Errorf("%q: %v %v %v", text, p, q, err)
		}
	}
	// 0.90/0.95 is meant as fractions: taken as percent it would be another bound.
	for _, bad := range []string{"", "90", "90/", "/95", "0.90/0.95", "100/95", "90/100", "NaN/95", "90/95/99", "49/95", "-90/95", "Inf/95"} {
		if p, q, err := compare.ParseBound(bad); err == nil {
			t.Errorf("%q: %v %v", bad, p, q)
		}
	}
}

// FuzzParse: whatever is written, what is read of it prints as what is read as the very
// same, and a bound lies within its ends.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"melt", "tag:wet-sand,dry-sand", "tag: a b ,c", "TAG:a", "90/95", "99.9 % / 50", "tag:\u00a0a", "tag:a:b", "1e2/95"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if by, err := compare.ParseBy(s); err == nil {
			again, err := compare.ParseBy(by.String())
			if err != nil || by.Field != again.Field || !slices.Equal(by.Tags, again.Tags) {
				t.Fatalf("%q is read as %+v and then as %+v, %v", s, by, again, err)
			}
		}
		if p, q, err := compare.ParseBound(s); err == nil {
			b := compare.Bound{Content: p, Confidence: q}
			x, y, err := compare.ParseBound(b.Name())
			if !(p >= 0.5 && p < 1 && q >= 0.5 && q < 1) || err != nil || x-p > 1e-6 || p-x > 1e-6 || y-q > 1e-6 || q-y > 1e-6 {
				t.Fatalf("%q is read as %v %v, named %q, and read as %v %v, %v", s, p, q, b.Name(), x, y, err)
			}
		}
	})
}
