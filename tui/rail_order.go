package tui

import (
	"math"

	"draghand/internal/pull"
)

// orderMargin is by how much of its limit a part must be nearer than the one
// above it before the two change places. Two parts that carry the same force keep
// theirs, whatever the noise.
const orderMargin = 0.02

// railOrder is the order of the limits on the screen, the nearest to its limit by
// load ratio first, from the order before, whose memory it uses. A limit at a
// higher alarm level goes above one at a lower at once; otherwise places change
// only by the margin. While nothing is loaded the order stays as it was: ratios
// near zero say nothing.
func railOrder(order []int, s *pull.State) []int {
	fresh := len(order) != len(s.Limits)
	if fresh {
		order = order[:0]
		for i := range s.Limits {
			order = append(order, i)
		}
	}
	margin := orderMargin
	switch {
	case fresh:
		margin = 0
	case s.Outcome == "" && !anyLoaded(s):
		return order
	}
	for i := 1; i < len(order); i++ {
		for j := i; j > 0 && nearer(s, order[j], order[j-1], margin); j-- {
			order[j], order[j-1] = order[j-1], order[j]
		}
	}
	return order
}

// loadedFrom is the load ratio from which on the order of two parts means
// something.
const loadedFrom = 0.05

func anyLoaded(s *pull.State) bool {
	for i := range s.Limits {
		if s.Limits[i].Ratio > loadedFrom {
			return true
		}
	}
	return false
}

// nearer says that limit i is to stand above limit j: by its alarm level, then by
// how far it is, or was at the most once the pull has come out. Where nothing is
// loaded it is the limit that will be met first.
func nearer(s *pull.State, i, j int, margin float64) bool {
	a, b := &s.Limits[i], &s.Limits[j]
	over := s.Outcome != ""
	if !over && a.Level != b.Level {
		return a.Level > b.Level
	}
	if !over && !anyLoaded(s) {
		return i == s.Nearest
	}
	x, y := a.Ratio, b.Ratio
	if over {
		x, y = a.PeakRatio, b.PeakRatio
	}
	if math.IsNaN(y) || math.IsInf(y, -1) {
		return !math.IsNaN(x) && !math.IsInf(x, -1)
	}
	return x > y+margin
}
