//go:build race

package tui

import "testing"

// sweep is the step of widths in TestFrameFits: wide here, since the race
// detector makes each frame ten times dearer and finds nothing in them.
const sweep = 90

// drawnAlone leaves a test to the run without the race detector: its frames are drawn
// by one goroutine.
func drawnAlone(t *testing.T) {
	t.Helper()
	t.Skip("frames are drawn by one goroutine: the run without the race detector looks at them")
}
