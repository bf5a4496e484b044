//go:build !race

package shelf

const raceOn = false
