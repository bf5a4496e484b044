package report

import (
	"math"

	"draghand/internal/si"
)

// scale is an axis: a straight line from a value to a place on the picture.
type scale struct{ low, high, from, to float64 }

func (s scale) at(v float64) float64 {
	if s.high == s.low {
		return s.from
	}
	return s.from + (s.to-s.from)*(v-s.low)/(s.high-s.low)
}

// tick is one label of an axis.
type tick struct {
	Value float64
	Text  string
}

// ticks are about n round values within low to high: steps of 1, 2 or 5 times a
// power of ten.
func ticks(low, high float64, n int) []tick {
	if !(high > low) || n < 1 || high-low-(high-low) != 0 {
		return nil
	}
	rough := (high - low) / float64(n)
	power := math.Pow(10, math.Floor(math.Log10(rough)))
	step := 10 * power
	for _, m := range []float64{1, 2, 5} {
		if m*power >= 0.7*rough {
			step = m * power
			break
		}
	}
	decimals := max(0, int(-math.Floor(math.Log10(step)+1e-9)))
	var out []tick
	first := math.Ceil(low/step - 1e-9)
	for i := 0.0; i < 100; i++ { // never more, whatever a rounding does
		v := (first + i) * step
		if v > high+1e-9*step {
			break
		}
		out = append(out, tick{Value: v, Text: si.Number(v, min(decimals, 9))})
	}
	return out
}
