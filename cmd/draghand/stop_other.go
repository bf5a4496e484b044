//go:build !unix

package main

import "os"

// holdStop has nothing to hold: no terminal of these systems stops a program.
func holdStop() (pressed <-chan os.Signal, release func()) { return nil, func() {} }
