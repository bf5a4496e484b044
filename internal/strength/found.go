package strength

import (
	"draghand/internal/pull"
	"draghand/internal/specimen"
)

// FoundBroken says that nobody saw a bar break, and that somebody stated where the bar
// itself broke: who holds the two halves knows better than a trace or a dial that did
// not show it. Its drag hand is then its strength, and it counts with a remark.
func FoundBroken(kind pull.Kind, outcome pull.Phase, where specimen.Where, failed string) bool {
	return kind == pull.Tension && outcome == pull.Unclear && where != specimen.NotLookedAt && !specimen.BoundOnly(where, failed)
}

// found takes a bar that was found broken as broken.
func (p *Pull) found() {
	if a := p.After; a != nil && FoundBroken(p.State.Kind, p.State.Outcome, a.Where, a.Failed) {
		p.State.Outcome, p.foundBroken = pull.Broken, true
	}
}
