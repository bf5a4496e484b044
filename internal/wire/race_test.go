//go:build race

package wire

// raceOn: the race detector slows our code and the library's by different
// factors, so that ratios mean nothing.
const raceOn = true
