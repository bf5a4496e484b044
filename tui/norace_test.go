//go:build !race

package tui

// sweep is the step of widths in TestFrameFits.
const sweep = 12
