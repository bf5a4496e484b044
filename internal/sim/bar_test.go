package sim

import (
	"math"
	"testing"
)

// The table must be the law: 1e-8 of the force is a thousandth of a newton, far
// below a count of any converter; the slope steers only how a step converges.
func TestTableIsTheLaw(t *testing.T) {
	const n = 20_000
	for _, m := range metals() {
		b := m.turn(stream(1, streamBar), DefaultDiameter)
		for i := range n {
			strain := b.uniform * float64(i) / n * float64(i) / n
			got, _ := b.table.at(strain)
			if want, _ := b.exact(strain); math.Abs(got/want-1) > 1e-8 {
				t.Fatalf("%s at %.6f: %.6f N by the table, %.6f N by the law", m.name, strain, got, want)
			}
		}
	}
}
