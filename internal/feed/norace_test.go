//go:build !race

package feed

const raceOn = false
