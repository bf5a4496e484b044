package main

import (
	"os"

	"draghand/internal/rig"
)

// faulty is the program with a fault in it: what reads a rig file panics from the
// third time on.
func faulty() {
	read := 0
	os.Exit(run(os.Args[1:], world{
		in: os.Stdin, out: os.Stdout, err: os.Stderr, getenv: os.Getenv,
		loadRig: func(path string) (*rig.Rig, error) {
			if read++; read > 2 {
				panic("a test's fault")
			}
			return benchRig(path)
		},
	}))
}
