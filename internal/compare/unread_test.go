package compare_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/record"
	"draghand/internal/si"
)

// What could not be read is no pull that metal was broken for: of three simulated bars
// and a name that is none, all are simulated.
func TestSimulatedWithoutUnread(t *testing.T) {
	all := each(bars("M1", 43.2, 43.5, 44.1), func(_ int, p *compare.Pull) { p.Simulated = true })
	all = append(all, compare.Unreadable("nosuch", errors.New("no bar or melt nosuch")))
	c := compare.Of(all, compare.By{Field: compare.ByAll}, compare.NewOptions())
	if sim, of := c.Groups[0].Simulated(); sim != 3 || of != 3 {
		t.Errorf("%d of %d", sim, of)
	}
	if n := c.UnreadCount(); n != 1 {
		t.Errorf("%d could not be read", n)
	}
	has(t, words(&c, si.US), "all (simulated): 3 bars count", "Left out:", "nosuch: it cannot be read")
	hasNot(t, words(&c, si.US), "of 4 simulated")
}

// What cannot be read is told wherever pulls were looked for, taken or not: nobody
// knows its melt.
func TestUnreadIsTold(t *testing.T) {
	bad := compare.Unreadable("shelf/2026-M1-3", errors.New("pull.json ends in the middle"))
	for name, row := range map[string]struct {
		pulls  []compare.Pull
		beside []string
		want   string
	}{
		"none":    {nil, nil, ""},
		"taken":   {[]compare.Pull{bad}, nil, "1 record could not be read (2026-M1-3): whether it is of a melt that is compared, nobody knows"},
		"beside":  {nil, []string{"2026-M10-3", "2026-M2-3"}, "2 records could not be read (2026-M2-3 and 2026-M10-3): whether they are of a melt that is compared, nobody knows"},
		"both":    {[]compare.Pull{bad}, []string{"b", "a"}, "3 records could not be read (2026-M1-3, a and b): whether they are of a melt that is compared, nobody knows"},
		"of many": {nil, []string{"a", "b", "c", "d", "e"}, "5 records could not be read (a, b, c and 2 more): whether they are of a melt that is compared, nobody knows"},
	} {
		o := compare.NewOptions()
		o.Chosen.Unread = row.beside
		c := compare.Of(slices.Concat(worked("M1"), row.pulls), byMelt(), o)
		if got := c.Unread(); got != row.want {
			t.Errorf("%s: %q", name, got)
		}
		if row.want == "" {
			hasNot(t, words(&c, si.US), "could not be read")
			continue
		}
		has(t, words(&c, si.US), "CAUTION: "+row.want+".")
		b, err := json.Marshal(c.JSON())
		if err != nil {
			t.Fatal(err)
		}
		has(t, string(b), row.want)
		if len(row.beside) > 0 {
			has(t, string(b), `"unreadable":["`)
		}
	}
}

// A copy of a pull that is compared was not left behind, nor was one pull twice.
func TestCopyIsNotLeftBehind(t *testing.T) {
	all := each(worked("M1"), func(i int, p *compare.Pull) { p.Read = string(rune('a' + i)) })
	o := compare.NewOptions()
	o.Chosen.Behind = []compare.Behind{
		{Record: "copy", Bar: "M1-8", Melt: "M1", Read: "a"},
		{Record: "r9", Bar: "M1-9", Melt: "M1", Read: "z"},
		{Record: "r9-copy", Bar: "M1-9", Melt: "M1", Read: "z"},
		{Record: "r10", Bar: "M1-10", Melt: "M1"},
		{Record: "r11", Bar: "M1-11", Melt: "M1"},
	}
	c := compare.Of(all, byMelt(), o)
	has(t, words(&c, si.US), "3 more pulls of this melt that could be read were not taken: M1-9, M1-10 and M1-11;")
	o.Chosen.Behind = o.Chosen.Behind[:1]
	c = compare.Of(all, byMelt(), o)
	hasNot(t, words(&c, si.US), "not taken", "CAUTION")
	if k := c.Groups[0].CountOn; k.Doubtful != "" {
		t.Errorf("doubtful: %s", k.Doubtful)
	}
}

// What is wrong with the head of a record is told in plain words, without its path: the
// record is named beside it.
func TestUnreadableInPlainWords(t *testing.T) {
	err := fmt.Errorf("open: %w", &record.HeadError{Path: "shelf/2026-M1-3/pull.json", Fault: "is torn, its end is missing", Err: errors.New("no readable JSON")})
	if p := compare.Unreadable("shelf/2026-M1-3", err); p.Out != "it cannot be read: pull.json is torn, its end is missing" || p.Record != "2026-M1-3" {
		t.Errorf("%q of %s", p.Out, p.Record)
	}
}
