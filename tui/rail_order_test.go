package tui

import (
	"math/rand/v2"
	"slices"
	"testing"

	"draghand/internal/pull"
)

// ratios is a state with limits at these load ratios.
func ratios(loads ...float64) *pull.State {
	s := &pull.State{Phase: pull.Loading, Seen: true, Nearest: 0}
	for i, r := range loads {
		s.Limits = append(s.Limits, pull.Limit{Ratio: r, PeakRatio: r})
		if r > s.Limits[s.Nearest].Ratio {
			s.Nearest = i
		}
	}
	return s
}

func TestRailOrder(t *testing.T) {
	nearest := func(s *pull.State, n int) *pull.State { s.Nearest = n; return s }
	level := func(s *pull.State, n int, l pull.Level) *pull.State { s.Limits[n].Level = l; return s }
	over := func(s *pull.State) *pull.State { s.Outcome, s.Limits[1].PeakRatio = pull.Broken, 0.9; return s }
	tests := []struct {
		name   string // source: the rule of railOrder, by hand
		before []int
		s      *pull.State
		want   []int
	}{
		{"at first by load", nil, ratios(0.2, 0.6, 0.4), []int{1, 2, 0}},
		{"at first without load, the one to be met first", nil, nearest(ratios(0, 0.01, 0.004), 2), []int{2, 0, 1}},
		{"within the margin places stay", []int{0, 1}, ratios(0.50, 0.515), []int{0, 1}},
		{"past the margin they change", []int{0, 1}, ratios(0.50, 0.53), []int{1, 0}},
		{"a higher level goes up at once", []int{0, 1}, level(ratios(0.995, 1.0), 1, pull.Stop), []int{1, 0}},
		{"without load the order stays", []int{2, 1, 0}, ratios(0.04, 0.01, 0), []int{2, 1, 0}},
		{"after the end by drag hands", []int{0, 1}, over(ratios(0, 0)), []int{1, 0}},
		{"another rig", []int{0, 1}, ratios(0.1, 0.2, 0.3), []int{2, 1, 0}},
		{"no limits", nil, ratios(), nil},
	}
	for _, tt := range tests {
		if got := railOrder(slices.Clone(tt.before), tt.s); !slices.Equal(got, tt.want) {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}

// TestRailOrderDoesNotFlicker: two parts that carry the same, each with noise of
// half a percent, change places never; one that overtakes does so once.
func TestRailOrderDoesNotFlicker(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	noise := func() float64 { return 0.005 * (2*r.Float64() - 1) }
	var order []int
	changes := func(second func(i int) float64) (n int) {
		order = railOrder(nil, ratios(0.5, 0.3))
		for i := range 3000 {
			before := slices.Clone(order)
			order = railOrder(order, ratios(0.5+noise(), second(i)+noise()))
			if !slices.Equal(before, order) {
				n++
			}
		}
		return n
	}
	if n := changes(func(int) float64 { return 0.5 }); n != 0 {
		t.Errorf("two equal ones changed places %d times", n)
	}
	if n := changes(func(i int) float64 { return 0.3 + 0.4*float64(i)/3000 }); n != 1 || order[0] != 1 {
		t.Errorf("one that overtakes changed places %d times, order %v", n, order)
	}
}
