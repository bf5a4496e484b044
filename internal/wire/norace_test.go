//go:build !race

package wire

const raceOn = false
