package tui

import (
	"strings"
	"testing"
)

// The trip line stands beside the source, where there is one; one that fails is
// loud, and says why where there is room.
func TestTripLineIsShown(t *testing.T) {
	for _, c := range []struct {
		trip, want, not string
		k               ink
	}{
		{"", "readings/s", "trip", plain},
		{"held", "trip line held", "TRIP", plain},
		{"dropped", "trip line dropped", "TRIP", plain},
		{"failed: trip line, RTS of \"/dev/ttyUSB1\": input/output \x1b[31merror", "TRIP LINE FAILED", "\x1b", warning},
	} {
		f := at(6, 30e3)
		f.snap.Trip = c.trip
		for _, w := range []int{40, 76, 200} {
			text, k := sourceText(f.snap, w)
			if (w > 40 || c.trip != "") && !strings.Contains(text, c.want) || strings.Contains(strings.ToLower(text), c.not) && c.trip == "" || c.trip != "" && strings.Contains(text, c.not) || k != c.k {
				t.Errorf("trip %q in %d cells: %q, ink %v", c.trip, w, text, k)
			}
			if w == 200 && strings.HasPrefix(c.trip, "failed") && !strings.Contains(text, "input/output") {
				t.Errorf("does not say why: %q", text)
			}
		}
	}
}
