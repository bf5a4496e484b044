// Command draghand is the drag hand of a home-built pull rig: it watches the
// pull, keeps the peak, warns before the rig has had enough, and saves what it
// saw. Each verb is a file here: parse, call, print. What is reckoned is
// reckoned in the internal packages.
package main

import (
	"os"

	_ "draghand/tui/quiet" // first: see its comment
)

func main() {
	os.Exit(run(os.Args[1:], world{
		in: os.Stdin, out: os.Stdout, err: os.Stderr, getenv: os.Getenv,
	}))
}
