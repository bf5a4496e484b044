package compare_test

import (
	"strings"
	"testing"
	"time"

	"draghand/internal/compare"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// A record is one wherever the way to it leads and whatever a copy of it is called; what
// is met again is left out with its reason.
func TestTheSameRecord(t *testing.T) {
	for name, row := range map[string]struct {
		again func(p *compare.Pull) // of the third bar, once more
		same  string                // empty: it is another
	}{
		"by another way":       {func(p *compare.Pull) { p.Dir, p.Place = "R", "/root/shelf/rec-M1-3" }, "the same record as rec-M1-3, named twice: it counts once"},
		"by another way alone": {func(p *compare.Pull) { p.Dir, p.Place, p.Read = "R", "/root/shelf/rec-M1-3", "" }, "the same record as rec-M1-3, named twice: it counts once"},
		"a copy":               {func(p *compare.Pull) { p.Dir, p.Place, p.Record = "copy", "/root/copy", "copy" }, "the same record as rec-M1-3: the same readings"},
		"a copy labelled anew": {func(p *compare.Pull) { p.Dir, p.Place, p.Record, p.Bar = "copy", "/root/copy", "copy", "M1-23" }, "the same record as rec-M1-3, labelled otherwise: the same readings"},
		"a copy without name":  {func(p *compare.Pull) { p.Dir, p.Place, p.Record, p.Bar = "copy", "/root/copy", "copy", "copy" }, "labelled otherwise: the same readings"},
		"a copy elsewhere":     {func(p *compare.Pull) { p.Dir, p.Place = "usb/rec-M1-3", "/usb/rec-M1-3" }, "the same record as shelf/rec-M1-3: the same readings"},
		"other readings":       {func(p *compare.Pull) { p.Dir, p.Place, p.Read = "copy", "/root/copy", "other" }, ""},
		"readings not known":   {func(p *compare.Pull) { p.Dir, p.Place, p.Read = "copy", "/root/copy", "" }, ""},
	} {
		all := each(worked("M1"), func(_ int, p *compare.Pull) { p.Place, p.Read = "/root/"+p.Dir, "sum of "+p.Record })
		p := all[2]
		row.again(&p)
		p.Started = p.Started.Add(time.Hour) // later in order
		c := compare.Of(append(all, p), byMelt(), compare.NewOptions())
		g := &c.Groups[0]
		if row.same == "" {
			if len(g.Pulls) != 6 {
				t.Errorf("%s: %+v", name, g.Left)
			}
			continue
		}
		if len(g.Pulls) != 5 || len(g.Left) != 1 || g.Strength.N != 5 {
			t.Errorf("%s: %d count, %d left", name, len(g.Pulls), len(g.Left))
			continue
		}
		has(t, g.Left[0].Out, row.same)
		// In two groups it is in one of them alone, and by marks in none.
		all[2].Marked, p.Marked = "A", "B"
		c = compare.Of(append(all, p), compare.By{Field: compare.ByMarked}, compare.NewOptions())
		n := 0
		for i := range c.Groups {
			n += len(c.Groups[i].Pulls)
		}
		if n != 0 || len(c.Outside) != 6 {
			t.Errorf("%s: %d in groups", name, n)
		}
	}
}

// Of copies the one is taken that says the most: one that was looked at before one that
// was not, any before one that cannot be read; and one that is in a group.
func TestWhichCopyIsTaken(t *testing.T) {
	for name, row := range map[string]struct {
		first, second func(p *compare.Pull)
		taken         string
	}{
		"looked at":        {func(p *compare.Pull) { p.Counts = "" }, nil, "second"},
		"both looked at":   {nil, nil, "first"},
		"damaged":          {func(p *compare.Pull) { p.Strength, p.Out = 0, "the record is damaged" }, func(p *compare.Pull) { p.Counts = "" }, "second"},
		"ruled out":        {func(p *compare.Pull) { p.Counts = "" }, func(p *compare.Pull) { p.Strength, p.Counts, p.Out = 0, strength.CountsNot, "does not count" }, ""},
		"another melt's":   {nil, func(p *compare.Pull) { p.Melt = "M2" }, "first"},
		"it broke in grip": {func(p *compare.Pull) { p.Counts = "" }, func(p *compare.Pull) { p.AtLeast, p.Strength, p.Out = p.Strength, 0, "it bore at least so much" }, ""},
	} {
		one := bars("M1", 44)[0]
		other := one
		one.Record, one.Dir, one.Read = "first", "first", "sum"
		other.Record, other.Dir, other.Read, other.Started = "second", "second", "sum", one.Started.Add(time.Hour)
		if row.first != nil {
			row.first(&one)
		}
		if row.second != nil {
			row.second(&other)
		}
		c := compare.Of([]compare.Pull{one, other}, byMelt(), compare.NewOptions())
		got := ""
		for i := range c.Groups {
			for j := range c.Groups[i].Pulls {
				got += c.Groups[i].Pulls[j].Record
			}
		}
		if got != row.taken {
			t.Errorf("%s: %q counts, want %q", name, got, row.taken)
		}
	}
}

// One bar by several records, one of which bore at least so much, is a doubt.
func TestABarTwiceIsDoubtful(t *testing.T) {
	all := worked("M1")
	let := all[0]
	let.Record, let.Dir, let.AtLeast, let.Strength, let.Out = "let", "shelf/let", 40*si.KSI, 0, "it bore at least so much: let off"
	c := compare.Of(append(all, let), byMelt(), compare.NewOptions())
	has(t, c.Groups[0].CountOn.Doubtful, "more than one record is of the bar M1-1")
	// It is in the mean, the scatter and k once.
	if grave := c.Groups[0].CountOn.Grave; strings.Contains(grave, "more than one record") {
		t.Error(grave)
	}
}

// A bar that counts again and again makes the scatter and k smaller: what comes out is
// higher, and is not to be trusted.
func TestABarCountedAgainIsNotTrusted(t *testing.T) {
	all := worked("M1")
	for _, name := range []string{"again", "once more"} {
		p := all[0]
		p.Record, p.Dir = name, "shelf/"+name
		all = append(all, p)
	}
	once, c := compare.Of(all[:5], byMelt(), compare.NewOptions()), compare.Of(all, byMelt(), compare.NewOptions())
	if a, b := once.Groups[0].CountOn, c.Groups[0].CountOn; !(b.Strength > a.Strength) || b.Grade() != compare.NotTrusted || a.Grade() == compare.NotTrusted {
		t.Errorf("%v %q, counted again %v %q", a.Strength, a.Grade(), b.Strength, b.Grade())
	}
}

// What was read tells records apart, not what they are called: a trace goes by its
// readings and its beginning, a table by its readings, a dial by its figure, the moment,
// the section and what the bar was called first.
func TestFingerprint(t *testing.T) {
	head := func(change func(h *record.Head)) string {
		rec, _ := saved(t)
		h := rec.Head
		h.Started = time.Date(2026, 11, 20, 0, 0, 0, 0, time.UTC)
		change(&h)
		sum := "readings"
		if h.Source == "other" {
			sum = "others"
		}
		return compare.Fingerprint(&h, sum)
	}
	later := func(h *record.Head) { h.Started = h.Started.Add(time.Nanosecond) }
	label := func(h *record.Head) {
		h.Said = append(h.Said, record.Said{Text: "labelled anew: the specimen is 20, it was called " + h.Specimen.ID})
		h.Specimen.ID, h.Specimen.Tags = "20", nil
	}
	eye := func(newton si.Force) func(h *record.Head) {
		return func(h *record.Head) { h.Dial = &record.Dial{Force: &newton}; h.Specimen.ID = "3" }
	}
	table := func(h *record.Head) { h.Imported = &record.Imported{} }
	both := func(of ...func(h *record.Head)) func(h *record.Head) {
		return func(h *record.Head) {
			for _, f := range of {
				f(h)
			}
		}
	}
	none := func(*record.Head) {}
	for name, row := range map[string]struct {
		a, b func(h *record.Head)
		same bool
	}{
		"itself":                    {none, none, true},
		"a trace labelled anew":     {none, label, true},
		"a trace begun later":       {none, later, false},
		"another trace":             {none, func(h *record.Head) { h.Source = "other" }, false},
		"a table labelled anew":     {table, both(table, label), true},
		"a table imported later":    {table, both(table, later), true},
		"a table of another bar":    {table, both(table, func(h *record.Head) { h.Specimen.ID = "4" }), false},
		"a table of another melt":   {table, both(table, func(h *record.Head) { h.Specimen.Melt = "M7" }), false},
		"another table":             {table, both(table, func(h *record.Head) { h.Source = "other" }), false},
		"a dial labelled anew":      {eye(30e3), both(eye(30e3), label), true},
		"another figure":            {eye(30e3), eye(31e3), false},
		"another day":               {eye(30e3), both(eye(30e3), later), false},
		"another section":           {eye(30e3), both(eye(30e3), func(h *record.Head) { h.Specimen.Diameters = []si.Length{0.012} }), false},
		"another bar, same figure":  {eye(30e3), both(eye(30e3), func(h *record.Head) { h.Specimen.ID = "4" }), false},
		"another melt, same figure": {eye(30e3), both(eye(30e3), func(h *record.Head) { h.Specimen.Melt = "M7" }), false},
	} {
		a, b := head(row.a), head(row.b)
		if a == "" || b == "" || (a == b) != row.same {
			t.Errorf("%s: %q and %q", name, a, b)
		}
	}
	rec, _ := saved(t)
	if got := compare.Fingerprint(&rec.Head, ""); got != "" {
		t.Errorf("nothing was read, and yet %q", got)
	}
}

// Copies of a bar that nobody named have the names of their folders; that is no label.
func TestCopyOfANamelessBar(t *testing.T) {
	one := bars("M1", 44)[0]
	one.Bar, one.Read, one.ByEye = one.Record, "sum", true
	other := one
	other.Record, other.Bar, other.Dir = "zcopy", "zcopy", "shelf/zcopy"
	c := compare.Of([]compare.Pull{other, one}, byMelt(), compare.NewOptions())
	has(t, c.Groups[0].Left[0].Out, "the same record as rec-M1-1: the same figure for the same moment")
}

// A copy that was put into no group does not take the place of one that was.
func TestTheCopyInAGroupIsTaken(t *testing.T) {
	all := each(worked("M1"), func(_ int, p *compare.Pull) { p.Marked, p.Read = "A", "sum of "+p.Record })
	first := all[2]
	first.Record, first.Dir, first.Marked, first.Started = "copy", "shelf/copy", "", first.Started.Add(-time.Hour)
	all[2].Counts = "" // the copy even says more
	c := compare.Of(append(all, first), compare.By{Field: compare.ByMarked}, compare.NewOptions())
	if len(c.Groups) != 1 || len(c.Groups[0].Pulls) != 5 || len(c.Outside) != 1 || c.Outside[0].Record != "copy" {
		t.Errorf("%+v, outside %+v", c.Groups, c.Outside)
	}
}
