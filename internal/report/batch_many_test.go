package report

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"draghand/internal/compare"
)

// Of many groups that are doubtful for one reason the head of the page has one box, not
// one each, which would push the figures away; those of other reasons have their own,
// and no group is passed over in silence.
func TestBatchManyDoubts(t *testing.T) {
	var pulls []compare.Pull
	for g := range 60 {
		pulls = append(pulls, barsOf(fmt.Sprintf("M%d", g+1), 44.1, 45.3, 43.8, 46.0)...)
	}
	odd := barsOf("N1", 44.1, 45.3, 43.8, 46.0, 44.9)
	odd[0].Alloy = "C95400"
	c := compare.Of(append(pulls, odd...), compare.By{Field: compare.ByMelt}, compare.NewOptions())
	page := batchOf(t, &c, nil, inUS)
	head := part(t, page, "<header>", "</header>")
	for _, want := range []string{
		"WITH CAUTION, the strengths to count on of M1, M2, M3, M4, M5, M6, M7, M8 and 52 more groups: only 4 bars.",
		"SHOULD NOT BE TRUSTED, the strength to count on of N1: the alloys differ",
	} {
		if n := strings.Count(head, want); n != 1 {
			t.Errorf("%q is there %d times in %s", want, n, head)
		}
	}
	if n := strings.Count(head, ">SHOULD NOT BE TRUSTED") + strings.Count(head, ">WITH CAUTION"); n != 2 {
		t.Errorf("%d boxes", n)
	}
	if n := strings.Count(page, "With caution: only 4 bars."); n != 60 {
		t.Errorf("%d of 60 groups say so themselves", n)
	}
	if strings.Index(head, ">SHOULD NOT BE TRUSTED") > strings.Index(head, ">WITH CAUTION") {
		t.Error("the graver does not stand first")
	}
	if red, amber := strings.Count(page, `class="answer void"`), strings.Count(page, `class="answer care"`); red != 1 || amber != 60 {
		t.Errorf("%d and %d boxes", red, amber)
	}
	// As many reasons as groups: the first have their boxes, the rest one.
	pulls = nil
	for g := range 30 {
		pulls = append(pulls, barsOf(fmt.Sprintf("M%d", g+1), 44.1, 45.3, 43.8, 46.0, 44.9)...)
	}
	c = compare.Of(pulls, compare.By{Field: compare.ByMelt}, compare.NewOptions())
	for i := range c.Groups {
		c.Groups[i].CountOn.Doubtful = fmt.Sprint("reason ", i+1)
	}
	head = part(t, batchOf(t, &c, nil, inUS), "<header>", "</header>")
	for _, want := range []string{"of M1: reason 1.", "of M8: reason 8.", "WITH CAUTION too, each for a reason that stands with it: the strengths to count on of M9, M10, M11, M12, M13, M14, M15, M16 and 14 more groups."} {
		if !strings.Contains(head, want) {
			t.Errorf("no %q in %s", want, head)
		}
	}
	if n := strings.Count(head, ">WITH CAUTION"); n != 9 {
		t.Errorf("%d boxes", n)
	}
}

// The dots of many groups are drawn in parts on one scale, each of which fits a sheet of
// paper: one picture would be cut through a row, and have its scale at its end alone.
func TestBatchManyDots(t *testing.T) {
	for groups, want := range map[int][]int{1: {1}, 16: {16}, 17: {9, 8}, 40: {14, 14, 12}, 45: {14, 14, 12}} {
		var pulls []compare.Pull
		for g := range groups {
			pulls = append(pulls, barsOf(fmt.Sprintf("M%d", g+1), 44.1, 45.3, 43.8, 46.0+float64(g)/10)...)
		}
		c := compare.Of(pulls, compare.By{Field: compare.ByMelt}, compare.NewOptions())
		page := batchOf(t, &c, nil, inUS)
		section := part(t, page, `<section id="groups"`, "</section>")
		pictures := strings.Split(section, "<svg ")[1:]
		var rows []int
		for _, p := range pictures {
			rows = append(rows, strings.Count(p, ">n = 4</text>"))
			if axis := part(t, p, `dy="17"`, "</text>"); axis != part(t, pictures[0], `dy="17"`, "</text>") {
				t.Errorf("%d groups: another scale, %s", groups, axis)
			}
		}
		if fmt.Sprint(rows) != fmt.Sprint(want) {
			t.Errorf("%d groups are drawn as %v, want %v", groups, rows, want)
		}
		if n := strings.Count(section, "5 more groups are not drawn."); n != max(0, groups-MostGroups)/5 {
			t.Errorf("%d groups: those that are not drawn are told %d times", groups, n)
		}
		for _, m := range highs.FindAllStringSubmatch(section, -1) {
			if h, err := strconv.ParseFloat(m[1], 64); err != nil || h > 960*1.2 { // A4 has some 1.45 times its width within the margins
				t.Errorf("%d groups: a picture %s high, %v", groups, m[1], err)
			}
		}
	}
}

var highs = regexp.MustCompile(`viewBox="0 0 960 ([0-9.]+)"`)
