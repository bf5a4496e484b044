package bench

import (
	"math"
	"slices"
	"strings"
)

// loadGrown is how much the load may have grown since the person saw it, for a
// reason to be about that load still.
const loadGrown = 1.5

// unseen are those refusals that were not in a view: a reason cannot be about
// them. Figures that only wander are no news; a load that has grown is.
func (m *moment) unseen(all []Refusal, shown *View) (out []string) {
	for _, r := range all {
		if !m.wasShown(&r, shown) {
			out = append(out, r.What)
		}
	}
	return out
}

func (m *moment) wasShown(r *Refusal, shown *View) bool {
	if shown == nil {
		return false
	}
	if r.What == m.pointsOpen() {
		return m.pointsShown(shown)
	}
	for _, wanders := range []string{loadThere, notQuiet} {
		if strings.HasPrefix(r.What, wanders) {
			told := slices.ContainsFunc(shown.Refusals, func(o Refusal) bool { return strings.HasPrefix(o.What, wanders) })
			return told && (wanders != loadThere || !m.loadGrown(shown))
		}
	}
	return slices.ContainsFunc(shown.Refusals, func(o Refusal) bool { return o.What == r.What })
}

// loadGrown says that the load is more than the one in a view, by more than what
// counts for load at all.
func (m *moment) loadGrown(shown *View) bool {
	if m.look == nil || shown.Look == nil {
		return true
	}
	s := &m.look.State
	now, was := math.Abs(float64(s.Live.Specimen)), math.Abs(float64(shown.Look.State.Live.Specimen))
	return now > loadGrown*was+m.threshold(s)
}

// pointsShown says that each point open now was open in a view.
func (m *moment) pointsShown(shown *View) bool {
	for _, p := range m.open() {
		if !slices.ContainsFunc(shown.Points, func(o Point) bool { return o.ID == p.ID && o.Text == p.Text && !o.Done }) {
			return false
		}
	}
	return true
}
