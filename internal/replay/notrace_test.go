package replay

import (
	"errors"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
)

// A pull read by eye off a dial gauge has nothing to replay, and says so.
func TestNoTrace(t *testing.T) {
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	dial, err := record.ParseDial("2500 psi", "")
	if err != nil {
		t.Fatal(err)
	}
	dial.Outcome = pull.Broken
	h := record.Head{Program: "draghand test", Started: time.Date(2026, 11, 25, 14, 3, 22, 0, time.UTC), Kind: pull.Tension, Rig: r, Dial: &dial}
	dir, _, err := record.CreateDial(t.TempDir(), h)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(dir, Options{}); !errors.Is(err, ErrNoTrace) {
		t.Errorf("Open: %v", err)
	}
}
