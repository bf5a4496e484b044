package compare

import (
	"fmt"

	"draghand/internal/si"
)

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
