package compare_test

import (
	"strings"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/record"
	"draghand/internal/si"
)

// Two bars may give the same rows where a coarse dial was logged by the second: under
// names of their own both count, with a doubt that names them; under one name the second
// is a copy, and what to do if it is not stands there.
func TestTablesOfTheSameRows(t *testing.T) {
	rows := func(i int, p *compare.Pull) {
		rec, _ := saved(t)
		rec.Head.Imported = &record.Imported{}
		rec.Head.Specimen.ID = p.Bar
		sum := "sum of " + p.Record
		if i == 0 || i == 3 {
			sum = "the same"
		}
		p.Imported = true
		p.Identify(&rec.Head, sum)
	}
	const doubt = "the tables of M1-1 and M1-4 hold the same rows"
	all := each(worked("M1"), rows)
	c := compare.Of(all, byMelt(), compare.NewOptions())
	g := &c.Groups[0]
	if len(g.Pulls) != 5 || !strings.Contains(g.CountOn.Doubtful, doubt) {
		t.Errorf("%+v %+v", g.Left, g.CountOn)
	}
	has(t, words(&c, si.US), "CAUTION: "+doubt+": bars may give them on a coarse gauge, but one bar counts once; look at the files.", "comes out and should not be trusted, since "+doubt)
	all[3].Out, all[3].Strength = "does not count", 0
	c = compare.Of(all, byMelt(), compare.NewOptions())
	hasNot(t, words(&c, si.US), "hold the same rows")

	all = each(worked("M1"), rows)
	again := all[3]
	again.Record, again.Dir = "again", "shelf/again"
	c = compare.Of(append(all, again), byMelt(), compare.NewOptions())
	g = &c.Groups[0]
	if len(g.Pulls) != 5 || len(g.Left) != 1 {
		t.Fatalf("%+v", g)
	}
	has(t, g.Left[0].Out, "the same readings under the same first name; a copy counts once, and another bar that gave the same rows is imported again under its own name")

	// In two groups the doubt is in both.
	all[3].Melt = "M2"
	c = compare.Of(all, byMelt(), compare.NewOptions())
	for i := range c.Groups {
		has(t, strings.Join(c.Groups[i].Notes, "; "), doubt)
	}
}
