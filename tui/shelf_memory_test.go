package tui

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

// What came back of several does not hold up the rest: the next call takes what is left.
func TestShelfUntrashRest(t *testing.T) {
	d := &shelfDesk{all: finishedEntries(), moved: -1}
	m := shelfKeysOf(shelfOf(d), " ", "down", " ", "x")
	m = acted(t, m, d, "y")
	undo := m.keys.Undo.Keys()[0]
	d.refused, d.backAgain = errors.New("the place is taken"), 1
	if m = acted(t, m, d, undo); !strings.Contains(m.note, "1 of 2 records still in the trash: the place is taken") {
		t.Errorf("%q", m.note)
	}
	d.refused = nil
	m = acted(t, m, d, undo)
	if got := d.did[len(d.did)-2:]; !slices.Equal(got, []string{"untrash 2", "untrash 1"}) || m.keys.Undo.Enabled() {
		t.Errorf("%v, %q", got, m.note)
	}
	// What is gone from the trash is told once.
	m = acted(t, shelfKeysOf(m, "x"), d, "y")
	d.refused, d.backAgain = errors.New("it is no longer in the trash"), 1
	m = acted(t, m, d, undo)
	if want := "nothing of it is left in the trash; it is no longer in the trash"; m.note != want || m.keys.Undo.Enabled() {
		t.Errorf("%q", m.note)
	}
}
