package tui

import (
	"strings"
	"testing"

	"github.com/muesli/termenv"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

func TestExpected(t *testing.T) {
	bar := specimen.Specimen{Diameters: []si.Length{12.5e-3}} // 122.72 mm²
	tests := []struct {
		name              string // source: π/4 · 12.5² mm² by hand
		low, high         si.Stress
		noBar             bool
		wantLow, wantHigh float64
	}{
		{"a range", 275e6, 330e6, false, 33748, 40497},
		{"one strength", 300e6, 300e6, false, 36816, 36816},
		{"nobody said", 0, 0, false, 0, 0},
		{"no section known", 275e6, 330e6, true, 0, 0},
		{"the wrong way round", 330e6, 275e6, false, 0, 0},
	}
	for _, tt := range tests {
		sp := bar
		if tt.noBar {
			sp.Diameters = nil
		}
		sp.ExpectLow, sp.ExpectHigh = tt.low, tt.high
		low, high := expected(&sp)
		if d := float64(low) - tt.wantLow; d > 1 || d < -1 {
			t.Errorf("%s: low %v, want %v", tt.name, low, tt.wantLow)
		}
		if d := float64(high) - tt.wantHigh; d > 1 || d < -1 {
			t.Errorf("%s: high %v, want %v", tt.name, high, tt.wantHigh)
		}
	}
}

// TestExpectedBreakIsSeen: on the rail of the nearest part the band lies where
// its force is, and a part that stops first is named.
func TestExpectedBreakIsSeen(t *testing.T) {
	tests := []struct {
		name      string // source: 48 kN on 122.72 mm² is 391 MPa
		low, high si.Stress
		says      string
	}{
		{"below every limit", 275e6, 330e6, "░ expected break 33.75–40.50 kN"},
		{"partly above", 375e6, 480e6, "may be past the stop of link bar"},
		{"wholly above", 410e6, 480e6, "expected break 50.31–58.90 kN is past the stop of link bar"},
	}
	for _, tt := range tests {
		m, _ := press(screen(pumped(22, 38e3, tt.low, tt.high), 80, 24, termenv.Ascii), "u")
		if frame := m.View(); !strings.Contains(frame, tt.says) {
			t.Errorf("%s: does not say %q:\n%s", tt.name, tt.says, frame)
		}
	}
	// Between 70 and 84 % of 110 % of the rail.
	frame := screen(pumped(22, 38e3, 275e6, 330e6), 120, 40, termenv.Ascii).View()
	for _, line := range strings.Split(frame, "\n") {
		rail, ok := strings.CutPrefix(line, "  link bar    ")
		if !ok {
			continue
		}
		cells := []rune(rail)
		first, last := -1, -1
		for i, c := range cells {
			if c == bandOpen {
				if first < 0 {
					first = i
				}
				last = i
			}
		}
		const w = 69 // cells of the rail at this width
		at := func(ratio float64) int { return int(ratio / railEnd * w) }
		if first != at(33748.0/48e3) || last != at(40497.0/48e3) {
			t.Errorf("the band is from %d to %d, want %d to %d: %q", first, last, at(33748.0/48e3), at(40497.0/48e3), rail)
		}
		return
	}
	t.Errorf("no rail in\n%s", frame)
}

// TestBandPassed: the part of the band the load has passed keeps a shape of its
// own, also in ASCII.
func TestBandPassed(t *testing.T) {
	f := pumped(38, 46e3, 300e6, 380e6)
	if frame := screen(f, 120, 40, termenv.Ascii).View(); !strings.ContainsRune(frame, bandFilled) || !strings.ContainsRune(frame, bandOpen) {
		t.Errorf("no band of two parts:\n%s", frame)
	}
}

// TestStopOfTheRig: what stops first is what the rig says, as in a check and a plan,
// and not what the ratio of the moment would give.
func TestStopOfTheRig(t *testing.T) {
	f := pumped(22, 38e3, 275e6, 330e6) // 33.7 to 40.5 kN
	f.snap.Stop = &rig.First{Part: "pins", Specimen: 40e3}
	if m, _ := press(screen(f, 80, 24, termenv.Ascii), "u"); !strings.Contains(m.View(), "may be past the stop of pins") {
		t.Errorf("does not name it:\n%s", m.View())
	}
	f.snap.Stop = nil
	if m, _ := press(screen(f, 80, 24, termenv.Ascii), "u"); strings.Contains(m.View(), "past the stop") {
		t.Errorf("a stop that nobody knows:\n%s", m.View())
	}
}

// TestFarSideIsTold: a bar on the far side says so, whatever else is known of it.
func TestFarSideIsTold(t *testing.T) {
	f := pumped(22, 38e3, 275e6, 330e6)
	first := func() string { text, _, _ := strings.Cut(screen(f, 80, 24, termenv.Ascii).View(), "\n"); return text }
	if strings.Contains(first(), "side") {
		t.Errorf("a side in %q", first())
	}
	f.snap.Specimen.Side = specimen.Far
	if !strings.Contains(first(), "far side") {
		t.Errorf("no side in %q", first())
	}
}
