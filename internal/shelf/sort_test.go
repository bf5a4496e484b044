package shelf

import (
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Each key orders, what is not known comes last either way, and those that are alike
// stay as they were.
func TestSort(t *testing.T) {
	el := func(v float64) *float64 { return &v }
	bar := func(name, melt, id, alloy string, d si.Length, s si.Stress, e *float64, counts string, o pull.Phase, day int) Entry {
		return Entry{
			Name: name, Condition: Whole, Started: time.Date(2026, 11, day, 0, 0, 0, 0, time.UTC), Strength: s, Elongation: e, Counts: counts, Outcome: o,
			Specimen: specimen.Specimen{Melt: melt, ID: id, Alloy: alloy, Diameters: []si.Length{d}},
		}
	}
	all := []Entry{
		bar("a", "M10", "2", "c905", 12*si.Millimetre, 300e6, el(0.2), "no", pull.Broken, 9),
		bar("b", "M2", "10", "C905", 0, 0, nil, "", "", 8),
		bar("c", "m2", "9", "A356", 10*si.Millimetre, 100e6, el(0), "yes", pull.LetOff, 7),
		bar("d", "", "", "", 12*si.Millimetre, 300e6, nil, "with-remarks", pull.Broken, 6),
		{Name: "2026-11-08T120000Z-x", Condition: Damaged},
		{Name: "odd", Condition: Foreign},
	}
	for _, c := range []struct{ by, want string }{
		{"began", "a2bcdo"},
		{"-began", "dcb2ao"},
		{"bar", "cbad2o"},
		{"-bar", "abcd2o"},
		{"alloy", "cbad2o"},
		{"-alloy", "abcd2o"}, // C905 before c905: nothing else tells them apart
		{"diameter", "cadb2o"},
		{"-diameter", "adcb2o"},
		{"strength", "cadb2o"},
		{"-strength", "adcb2o"},
		{"elongation", "cabd2o"},
		{"-elongation", "acbd2o"},
		{"counts", "cdab2o"},
		{"-counts", "adcb2o"},
		{"outcome", "adcb2o"},
		{"-outcome", "cadb2o"},
	} {
		by, reverse, err := ParseSort(c.by)
		must(t, err)
		now := append([]Entry(nil), all...)
		Sort(now, by, reverse)
		var got strings.Builder
		for _, e := range now {
			got.WriteByte(e.Name[0])
		}
		if got.String() != c.want {
			t.Errorf("%s: %s, want %s", c.by, got.String(), c.want)
		}
	}
	if _, _, err := ParseSort("weight"); err == nil || !strings.Contains(err.Error(), "strength") {
		t.Errorf("%v", err)
	}
}

// Numbers in names are numbers.
func TestNatural(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"M2", "M10", -1},
		{"M10", "M2", 1},
		{"m2", "M10", -1},
		{"M02", "M2", -1},
		{"M2", "M2", 0},
		{"M", "M1", -1},
		{"M1a", "M1", 1},
		{"1-2", "1-10", -1},
		{"", "a", -1},
		{"99999999999999999999998", "99999999999999999999999", -1},
		{"a1b", "a1c", -1},
		{"Z", "a", 1},
	} {
		if got := natural(c.a, c.b); got != c.want || natural(c.b, c.a) != -c.want {
			t.Errorf("%q and %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

func BenchmarkSortTenThousand(b *testing.B) {
	all := tenThousand()
	for i := 0; b.Loop(); i++ {
		Sort(all, []SortKey{ByBar, ByStrength, ByBegan}[i%3], i%2 == 0)
	}
}
