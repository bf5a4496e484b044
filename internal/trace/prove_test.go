package trace

import (
	"bytes"
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"draghand/internal/record"
)

// The overview does not look at the readings; a pass does, and knows until when nothing
// speaks against them. It says the same of a record that is whole, and ends with its context.
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

// asked is a context that is cancelled as soon as it was asked for its error so many times.
type asked struct {
	context.Context
	times, most int
}

func (a *asked) Err() error {
	if a.times++; a.times > a.most {
		return context.Canceled
	}
	return nil
}

// A short pull after a long wait is passed twice where it is damaged, each time with a pass up
// to the damage; a cancel within any of them is the error. A whole one is passed once.
func TestProveEndsInEachPass(t *testing.T) {
	s := sitting{hz: 20, wait: 5 * time.Minute, load: 5 * time.Second, topKN: 30, noise: 1, after: 10 * time.Second}
	dir := s.write(t, t.TempDir())
	once := &asked{Context: t.Context(), most: math.MaxInt}
	plain, err := Prove(once, dir)
	must(t, err)
	if lines := s.hz * 315; plain.Damage != nil || once.times < lines || once.times > lines*11/10 {
		t.Errorf("whole: %v, asked %d times of %d lines", plain.Damage, once.times, lines)
	}

	path := filepath.Join(dir, record.SamplesFile) // a line that cannot be read, after the break
	b, err := os.ReadFile(path)
	must(t, err)
	b[bytes.LastIndexByte(b[:len(b)-100], '\n')+1] = 'x'
	must(t, os.WriteFile(path, b, 0o644))
	all := &asked{Context: t.Context(), most: math.MaxInt}
	got, err := Prove(all, dir)
	must(t, err)
	if got.Damage == nil || got.Intact < s.wait+s.load || got.Width >= plain.Width || all.times < 4*once.times*9/10 {
		t.Fatalf("%v, intact to %v, %v wide (%v), asked %d times", got.Damage, got.Intact, got.Width, plain.Width, all.times)
	}
	for i := range 40 {
		most := (all.times - 1) * i / 39
		if got, err := Prove(&asked{Context: t.Context(), most: most}, dir); !errors.Is(err, context.Canceled) || got != nil {
			t.Errorf("cancelled when asked %d of %d times: %v", most, all.times, err)
		}
	}
}
