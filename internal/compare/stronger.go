package compare

import "fmt"

// farOut is above what content a bound is held clearly less often than it says where
// strong bars are not in it: of 90/95 it is 93 of 100 batches and more, of 99/95 91 to 84
// (docs/statistics.md). Our own rule.
const farOut = 0.90

// strongMissing is why a bound is doubtful that strong bars are not in.
const strongMissing = "stronger bars that held are not in it"

// missing are how many bars bore more than the weakest that counts, and are in no mean and
// no bound: where the strong ones are left out those that remain scatter less than all of
// them do, which tells far out. One that bore less hides nothing.
func (g *Group) missing() int {
	if g.Bound == nil || g.Bound.Content <= farOut {
		return 0
	}
	return counted(g.Censored, func(p *Pull) bool { return p.AtLeast > g.Pulls[0].Strength })
}

// missingNote is the caution of it; empty where none is missing.
func (g *Group) missingNote() string {
	n, are := g.missing(), "are"
	switch n {
	case 0:
		return ""
	case 1:
		are = "is"
	}
	return fmt.Sprintf("%s bore more than the weakest and %s in neither mean nor bound: without the strong ones the scatter looks smaller than it is, and a bound so far out may lie too high",
		plural(n, "bar"), are)
}
