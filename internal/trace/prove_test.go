package trace

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"draghand/internal/record"
)

// The overview does not look at the readings; a pass does, and knows until when they are
// as they were written. It says the same of a record that is whole, and ends with its context.
func TestProve(t *testing.T) {
	dir := usual.write(t, t.TempDir())
	want, err := ReadFine(dir)
	must(t, err)
	got, err := Prove(t.Context(), dir)
	must(t, err)
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("of a whole record (-overview +readings):\n%s", d)
	}

	path := filepath.Join(dir, record.SamplesFile)
	b, err := os.ReadFile(path)
	must(t, err)
	at := len(b) / 2
	for b[at-1] != ',' || b[at] < '1' || b[at] > '8' {
		at++
	}
	b[at]++
	must(t, os.WriteFile(path, b, 0o644))
	if still, err := ReadFine(dir); err != nil || still.Damage != nil || still.End != want.End {
		t.Errorf("the overview: %v, %v, to %v", err, still.Damage, still.End)
	}
	got, err = Prove(t.Context(), dir)
	must(t, err)
	if damage, ok := errors.AsType[*record.DamageError](got.Damage); !ok || !damage.Altered || got.Intact > want.End*2/3 {
		t.Errorf("%v, intact to %v of %v", got.Damage, got.Intact, want.End)
	}
	must(t, os.WriteFile(path, b[:len(b)/2], 0o644))
	got, err = Prove(t.Context(), dir)
	must(t, err)
	if got.Damage == nil || got.Intact < got.End*9/10 || got.Intact > got.End || got.End > want.End*2/3 {
		t.Errorf("cut off: %v, intact to %v of %v", got.Damage, got.Intact, got.End)
	}

	gone, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Prove(gone, dir); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}
