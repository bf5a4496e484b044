package tui

import (
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// strengthScale is a horizontal scale of strengths, in columns of the screen.
type strengthScale struct {
	x, w      int
	low, high float64 // Pa, at the first and the last column
	log       bool    // by the logarithm, as Weibull has it
}

// take widens a range by a strength that is one.
func (s *strengthScale) take(v float64) {
	if finite(v) {
		s.low, s.high = min(s.low, v), max(s.high, v)
	}
}

// newStrengthScale has no range yet.
func newStrengthScale(x, w int, log bool) strengthScale {
	return strengthScale{x: x, w: w, log: log, low: math.Inf(1), high: math.Inf(-1)}
}

// settle gives the range some air at both ends, and says whether there is one.
func (s *strengthScale) settle() bool {
	if !(s.high >= s.low) || s.w < 2 || s.log && !(s.low > 0) {
		return false
	}
	air := (s.high - s.low) / 24
	if !(air > 0) {
		air = max(math.Abs(s.high)/100, 1)
	}
	if s.log && s.low-air <= 0 {
		air = 0
	}
	s.low, s.high = s.low-air, s.high+air
	return s.high > s.low
}

// part is how far a strength lies along the scale, 0 to 1.
func (s *strengthScale) part(v float64) float64 {
	if s.log {
		return (math.Log(v) - math.Log(s.low)) / (math.Log(s.high) - math.Log(s.low))
	}
	return (v - s.low) / (s.high - s.low)
}

// col is the column of a strength; ok is false where it lies off the scale.
func (s *strengthScale) col(v float64) (x int, ok bool) {
	f := s.part(v)
	if !(f >= 0 && f <= 1) {
		return s.x, false
	}
	return s.x + int(math.Round(f*float64(s.w-1))), true
}

// at is the strength at a part of the scale.
func (s *strengthScale) at(part float64) float64 {
	if s.log {
		return s.low * math.Pow(s.high/s.low, part)
	}
	return s.low + part*(s.high-s.low)
}

// draw writes round strengths under a plot, each at its column, and the unit after the
// last.
func (s *strengthScale) draw(p *plate, y int, u si.System) {
	one := si.Stress(1).In(u)
	unit := one.Unit
	room := s.w - ansi.StringWidth(unit) - 1
	low, high := s.low*one.Value, s.high*one.Value
	step := roundUp((high - low) / max(1, float64(room)/10))
	if !(step > 0) || math.IsInf(step, 0) {
		return
	}
	decimals := max(0, min(6, -int(math.Floor(math.Log10(step)+1e-9))))
	if v := step * math.Pow(10, float64(decimals)); math.Abs(v-math.Round(v)) > 1e-6 {
		decimals++
	}
	end := s.x
	for i := math.Ceil(low/step - 1e-9); i*step <= high && i-math.Ceil(low/step-1e-9) < 60; i++ {
		x, ok := s.col(i * step / one.Value)
		t := "'" + si.Number(i*step, decimals)
		if !ok || x < end || x+ansi.StringWidth(t) > s.x+room {
			continue
		}
		end = p.text(x, y, 14, t, faint) + 1
	}
	p.right(s.x+s.w, y, len(unit), unit, faint)
}

// stack draws n signs over each other from the row y upwards, at most high rows; where
// there are more, the topmost is another sign: a figure beside a figure would read as
// one number.
func (p *plate) stack(x, y, n, high int, sign rune, k ink) {
	for i := range min(n, high) {
		r := sign
		if i == high-1 && n > high {
			r = '█'
		}
		p.set(x, y-i, r, k)
	}
}

// has says that a sign is drawn in a room.
func (p *plate) has(in room, sign rune) bool {
	for y := max(0, in.y); y < min(p.h, in.y+in.h); y++ {
		for x := max(0, in.x); x < min(p.w, in.x+in.w); x++ {
			if p.cells[y*p.w+x].r == sign {
				return true
			}
		}
	}
	return false
}

// flagged is the index of the bar that lies apart; -1: none does.
func flagged(g *compare.Group) int {
	if o := g.Outlier; o != nil && o.Flagged {
		return o.Index
	}
	return -1
}

// legend are signs with what they mean, as many as fit into w cells, the most needed
// first.
func legend(w int, of ...string) string {
	out := ""
	for _, t := range of {
		switch {
		case t == "":
		case out == "" && ansi.StringWidth(t) <= w:
			out = t
		case out != "" && ansi.StringWidth(out)+2+ansi.StringWidth(t) <= w:
			out = strings.Join([]string{out, t}, "  ")
		}
	}
	return out
}
