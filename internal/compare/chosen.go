package compare

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Chosen says how the pulls of a comparison were picked, and which of the same melts
// were not: a bound over picked bars is one of the picked alone.
type Chosen struct {
	How string // in words, "the whole shelf"; empty: nobody says
	// ByResult is what was asked of the bars that only came out in the pull, such as
	// strength>40ksi; empty: nothing was.
	ByResult string
	Foreign  int              // folders there that hold no pull record: none of the pulls
	Behind   []Behind         // pulls that could have been taken too
	Unread   []string         // names of records there that were not taken and cannot be read
	of       map[string][]int // by melt without capitals and blanks, places in Behind
}

// Behind is a readable tension pull that was not taken.
type Behind struct {
	Record, Bar, Melt string
	Dir               string
	Read              string // Fingerprint of what was read; empty: not known
	Simulated         bool
}

// picked is why bars that were picked by their result say nothing of a melt.
const picked = "bars were chosen by what came out"

// ordered is the choice with what was left behind in order. A copy of a pull that is
// compared was not left behind, nor was one pull twice.
func (c Chosen) ordered(taken []Pull) Chosen {
	c.How, c.ByResult = tidy(c.How), tidy(c.ByResult)
	c.Behind = slices.Clone(c.Behind)
	for i := range c.Behind {
		b := &c.Behind[i]
		b.Melt = tidy(b.Melt)
		b.Bar = orElse(tidy(b.Bar), b.Record)
	}
	slices.SortFunc(c.Behind, func(a, b Behind) int {
		return cmp.Or(inOrder(a.Melt, b.Melt), inOrder(a.Bar, b.Bar), strings.Compare(a.Record, b.Record))
	})
	met := map[string]bool{"": true}
	for i := range taken {
		met[taken[i].Read] = true
	}
	c.Behind = slices.DeleteFunc(c.Behind, func(b Behind) bool {
		again := b.Read != "" && met[b.Read]
		met[b.Read] = true
		return again
	})
	c.Unread = slices.Clone(c.Unread)
	slices.SortFunc(c.Unread, inOrder)
	c.of = map[string][]int{}
	for i := range c.Behind {
		if melt := folded(c.Behind[i].Melt); melt != "" {
			c.of[melt] = append(c.of[melt], i)
		}
	}
	return c
}

// Line says how the pulls were picked; empty where nobody says.
func (c *Chosen) Line() string {
	if c.How == "" {
		return ""
	}
	return "Compared: " + c.Words() + "."
}

// Words are how the pulls were picked, with what beside them is none; empty where nobody
// says.
func (c *Chosen) Words() string {
	switch {
	case c.How == "" || c.Foreign < 1:
		return c.How
	case c.Foreign == 1:
		return c.How + "; 1 folder there is no pull record, and is not among them"
	}
	return fmt.Sprintf("%s; %d folders there are no pull records, and are not among them", c.How, c.Foreign)
}

// notes are what the choice takes from the bound of a group.
func (c *Chosen) notes(g *Group) (out []string) {
	if c.ByResult != "" {
		out = append(out, fmt.Sprintf("%s (%s): the bound holds for no melt", picked, c.ByResult))
	}
	all, whose := c.behind(g)
	if len(all) == 0 {
		return out
	}
	return append(out, fmt.Sprintf("%s %s that could be read %s not taken: %s; to leave a bar out needs a reason in the bar, never in its figure",
		plural(len(all), "more pull"), whose, map[bool]string{true: "was", false: "were"}[len(all) == 1], first(all)))
}

// behind are the bars of a group's melts that were not taken, and whose they are.
func (c *Chosen) behind(g *Group) (all []string, whose string) {
	if len(c.Behind) == 0 {
		return nil, ""
	}
	var at []int
	melts := 0
	for _, melt := range each(func(p *Pull) string { return folded(p.Melt) }, g.Pulls, g.Censored, g.Left) {
		had := len(at)
		for _, i := range c.of[melt] {
			if g.likes(&c.Behind[i]) {
				at = append(at, i)
			}
		}
		if len(at) > had {
			melts++
		}
	}
	slices.Sort(at)
	for _, i := range at {
		all = append(all, c.Behind[i].Bar)
	}
	if melts == 1 {
		return all, "of this melt"
	}
	return all, "of these melts"
}

// doubt is why a bound is doubtful by how bars were picked: by their result, or so that
// others of its melts were left behind, however that came; empty where neither is.
func (c *Chosen) doubt(g *Group) string {
	if c.ByResult != "" {
		return picked
	}
	switch all, whose := c.behind(g); len(all) {
	case 0:
		return ""
	case 1:
		return "a pull " + whose + " that counts was not taken"
	default:
		return "pulls " + whose + " that count were not taken"
	}
}

// first names a few, and how many more there are.
func first(all []string) string {
	const most = 3
	if n := len(all) - most; n > 1 {
		return strings.Join(all[:most], ", ") + fmt.Sprintf(" and %d more", n)
	}
	return list(all)
}

// likes says that a pull is of a kind with those of the group that broke or held: a
// simulated one is not missing among real ones, nor a real one among simulated ones.
func (g *Group) likes(b *Behind) bool {
	sim := counted(g.Pulls, simulated) + counted(g.Censored, simulated)
	n := len(g.Pulls) + len(g.Censored)
	return n == 0 || b.Simulated && sim > 0 || !b.Simulated && sim < n
}

type chosenJSON struct {
	How      *string      `json:"how"`
	ByResult *string      `json:"by_result"`
	NotTaken []behindJSON `json:"not_taken"`
	Unread   []string     `json:"unreadable"`
}

type behindJSON struct {
	Record string `json:"record"`
	Bar    string `json:"bar"`
	Melt   string `json:"melt"`
}

func (c *Chosen) json() chosenJSON {
	out := chosenJSON{How: said(c.How), ByResult: said(c.ByResult), NotTaken: []behindJSON{}, Unread: texts(c.Unread)}
	for _, b := range c.Behind {
		out.NotTaken = append(out.NotTaken, behindJSON{b.Record, b.Bar, b.Melt})
	}
	return out
}
