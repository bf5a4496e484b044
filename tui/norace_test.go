//go:build !race

package tui

import "testing"

// sweep is the step of widths in TestFrameFits.
const sweep = 12

// drawnAlone is for tests that the race detector would only slow down.
func drawnAlone(*testing.T) {}
