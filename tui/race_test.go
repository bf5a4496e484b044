//go:build race

package tui

// sweep is the step of widths in TestFrameFits: wide here, since the race
// detector makes each frame ten times dearer and finds nothing in them.
const sweep = 90
