//go:build unix

package main

import (
	"path/filepath"
	"testing"
)

// The stock of a check bar is set by its word and by the name it is shown with,
// though check is a word of its own; how the check bars stand is told by show, and
// bars tells their chart.
func TestCheckBarInWords(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	shelf := filepath.Join(dir, "shelf")
	for _, seed := range []string{"3", "4"} {
		if out, err := start(t, dir, "demo", "--speed", "200", "--headless", "--seed", seed, "--check-stock", "drawn A", "--data", shelf).Output(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
	}
	k := startTalk(t, dir, "--plain", "--from", "sim:", "--data", shelf)
	k.hear("it is no safety device")
	k.hear("zero taken")
	k.tell("show")
	k.hear("check bar: last check bar today, ")
	k.hear("no limits yet: 2 of 5 bars (drawn A, simulated)")
	k.hear("zero now ")
	k.hear(" from the last pull, ")
	k.tell("check bar of drawn  A")
	k.hear("check bar of, type stock: drawn A")
	k.tell("stock -")
	k.hear("check bar of, type stock: not set")
	k.tell("check nothing.pull")
	k.hear("holds no pull.json")
	k.tell("bars")
	k.hear("check bars of drawn A, simulated, on ")
	k.hear("no limits yet")
	k.tell("quit")
	if err := k.cmd.Wait(); err != nil {
		t.Error(err)
	}
}
