//go:build race

package shelf

// raceOn: the race detector makes our code several times slower, so that times mean
// nothing.
const raceOn = true
