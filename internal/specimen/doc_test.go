package specimen

import (
	"math"
	"os"
	"strings"
	"testing"

	"draghand/internal/si"
)

// The page's examples are understood, its figures are the code's, and its own
// alloys read.
func TestPage(t *testing.T) {
	b, err := os.ReadFile("../../docs/specimen.md")
	if err != nil {
		t.Fatal(err)
	}
	page := string(b)
	_, rest, ok := strings.Cut(page, "<!-- table: sizes -->\n")
	if !ok {
		t.Fatal("no table of sizes")
	}
	seen := 0
	for i, line := range strings.Split(rest, "\n") {
		if !strings.HasPrefix(line, "|") {
			break
		}
		if i < 2 {
			continue
		}
		cells := strings.Split(strings.Trim(line, "|"), "|")
		z, err := ParseSizes(strings.Trim(strings.TrimSpace(cells[1]), "`"))
		if err != nil || z.Shape.Word() != strings.TrimSpace(cells[0]) {
			t.Errorf("%s: %v, %v", line, z, err)
		}
		seen++
	}
	if seen != 3 {
		t.Errorf("%d shapes on the page, want 3", seen)
	}
	_, rest, _ = strings.Cut(page, "```csv\n")
	file, _, ok := strings.Cut(rest, "```")
	own, err := ReadAlloys("the page", strings.NewReader(file))
	if !ok || err != nil || len(own) != 2 {
		t.Errorf("own alloys of the page: %v, %v", own, err)
	}
	for _, column := range alloyColumns() {
		if !strings.Contains(page, "`"+column+"`") {
			t.Errorf("the column %s is not on the page", column)
		}
	}
	for _, s := range Standards() {
		family, _, _ := strings.Cut(s.Name, " ")
		if !strings.Contains(page, "`"+family+" ") {
			t.Errorf("%s is not on the page", s.Name)
		}
	}
	// "6 mm and ± 0.01 mm give … 0.19 %; the wall of a 12 x 1.5 mm tube … 0.38 %"
	for _, c := range []struct {
		s    Specimen
		want float64
	}{
		{Specimen{Diameters: []si.Length{6 * mm}}, 0.0019},
		{Specimen{Shape: Tube, Sections: []Section{{Outer: 12 * mm, Wall: 1.5 * mm}}}, 0.0038},
	} {
		if got := c.s.AreaU(); math.Abs(got-c.want) > 5e-5 {
			t.Errorf("%v: %v, the page says %v", c.s, got, c.want)
		}
	}
}
