//go:build race

package feed

// raceOn: the race detector is slow, so that time limits are widened.
const raceOn = true
