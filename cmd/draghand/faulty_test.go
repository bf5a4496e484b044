package main

import (
	"os"
	"path/filepath"

	"draghand/internal/rig"
)

// faultName is the file that lets faulty run into its fault.
const faultName = "fault"

// faulty is the program with a fault in it: what reads a rig file panics from the
// third time on, once a file faultName lies beside it.
func faulty() {
	read := 0
	os.Exit(run(os.Args[1:], world{
		in: os.Stdin, out: os.Stdout, err: os.Stderr, getenv: os.Getenv,
		loadRig: func(path string) (*rig.Rig, error) {
			if read++; read > 2 {
				if _, err := os.Stat(filepath.Join(filepath.Dir(path), faultName)); err == nil {
					panic("a test's fault")
				}
			}
			return benchRig(path)
		},
	}))
}
