package compare

import (
	"fmt"
	"math"

	"draghand/internal/si"
)

// fine is a stress as a person stated it: with as many decimals as it needs, three at
// the most; with one more than a strength where those are not enough, as of one that was
// stated in other units.
func fine(v si.Stress, sys si.System) string {
	s := v.In(sys)
	usual := s.Decimals
	for ; s.Decimals <= 3; s.Decimals++ {
		if p := s.Value * math.Pow10(s.Decimals); math.Abs(p-math.Round(p)) < 1e-6 {
			return s.String()
		}
	}
	s.Decimals = usual + 1
	return s.String()
}

// digits3 is a number with three digits.
func digits3(v float64) string {
	switch {
	case v >= 99.95:
		return si.Number(v, 0)
	case v >= 9.995:
		return si.Number(v, 1)
	}
	return si.Number(v, 2)
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
