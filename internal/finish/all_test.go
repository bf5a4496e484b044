package finish

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"draghand/internal/record"
)

// shelfOf is a folder with n copies of the records of the project, one after the
// other.
func shelfOf(t testing.TB, n int) (dirs []string) {
	t.Helper()
	made := filepath.Join("..", "..", "testdata", "records")
	all, err := os.ReadDir(made)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for i := range n {
		from := all[i%len(all)].Name()
		to := filepath.Join(dir, from+"-"+string(rune('a'+i)))
		if err := os.CopyFS(to, os.DirFS(filepath.Join(made, from))); err != nil {
			t.Fatal(err)
		}
		dirs = append(dirs, to)
	}
	return dirs
}

func asJSON(t testing.TB, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Many at once give what one by one gives, in the order asked for; what cannot be
// opened or is damaged is told of that one alone.
func TestAllIsOneByOne(t *testing.T) {
	dirs := shelfOf(t, 11)
	slices.Reverse(dirs)
	alter(t, dirs[3])
	dirs = slices.Insert(dirs, 5, filepath.Join(t.TempDir(), "none"))
	for _, workers := range []int{0, 1, 3, 50} {
		var mu sync.Mutex
		var counts []int
		got, err := All(context.Background(), dirs, workers, Draws, func(n int) {
			mu.Lock()
			counts = append(counts, n)
			mu.Unlock()
		})
		if err != nil || len(got) != len(dirs) {
			t.Fatalf("%d workers: %d records, %v", workers, len(got), err)
		}
		slices.Sort(counts)
		if len(counts) != len(dirs) || counts[0] != 1 || counts[len(counts)-1] != len(dirs) {
			t.Errorf("%d workers: done told %v", workers, counts)
		}
		for i, g := range got {
			if g.Dir != dirs[i] {
				t.Fatalf("%d workers: %s in the place of %s", workers, g.Dir, dirs[i])
			}
			rec, err := record.Open(dirs[i])
			if err != nil {
				if g.Rec != nil || !errors.Is(g.Err, record.ErrForeign) && !errors.Is(g.Err, os.ErrNotExist) {
					t.Errorf("%s: %v, want %v", g.Dir, g.Err, err)
				}
				continue
			}
			res, state, damage := Recompute(rec)
			if g.Err != nil || g.Rec == nil || (g.Damage == nil) != (damage == nil) {
				t.Errorf("%s: error %v, damage %v, want %v", g.Dir, g.Err, g.Damage, damage)
			}
			if asJSON(t, g.Results) != asJSON(t, res) || asJSON(t, g.State) != asJSON(t, state) {
				t.Errorf("%s: other results than alone", g.Dir)
			}
		}
		if got[3].Damage == nil {
			t.Error("the altered record is told as whole")
		}
	}
}

// Without draws there is no interval of them, and everything else is the same.
func TestAllWithoutDraws(t *testing.T) {
	dirs := shelfOf(t, 4)
	with, err := All(context.Background(), dirs, 0, Draws, nil)
	if err != nil {
		t.Fatal(err)
	}
	without, err := All(context.Background(), dirs, 0, 0, nil)
	if err != nil {
		t.Fatal(err)
	}
	drawn := 0
	for i := range dirs {
		a, b := with[i].Results, without[i].Results
		if b.Budget != nil && b.Budget.MonteCarlo != nil {
			t.Errorf("%s: %+v", dirs[i], b.Budget.MonteCarlo)
		}
		if a.Budget != nil && a.Budget.MonteCarlo != nil {
			drawn++
		}
		if asJSON(t, a.StrengthPa) != asJSON(t, b.StrengthPa) || asJSON(t, a.StrengthExpandedPa) != asJSON(t, b.StrengthExpandedPa) ||
			asJSON(t, a.Counts) != asJSON(t, b.Counts) || asJSON(t, a.Verdict) != asJSON(t, b.Verdict) {
			t.Errorf("%s: other results without draws", dirs[i])
		}
	}
	if drawn == 0 {
		t.Error("no record here has draws: the test says nothing")
	}
}

// A cancelled reckoning ends at once, with the error of its context.
func TestAllCancelled(t *testing.T) {
	dirs := shelfOf(t, 12)
	ctx, cancel := context.WithCancel(context.Background())
	var once sync.Once
	most := 0
	var mu sync.Mutex
	got, err := All(ctx, dirs, 2, 0, func(n int) {
		mu.Lock()
		most = max(most, n)
		mu.Unlock()
		once.Do(cancel)
	})
	if !errors.Is(err, context.Canceled) || got != nil {
		t.Errorf("%d records, %v", len(got), err)
	}
	if most > 2 {
		t.Errorf("%d were reckoned after the end", most)
	}
	if got, err := All(context.Background(), nil, 0, 0, nil); err != nil || len(got) != 0 {
		t.Errorf("of none: %v, %v", got, err)
	}
}

// Each thing is done once.
func TestEachThing(t *testing.T) {
	for _, workers := range []int{1, 4} {
		seen := make([]int, 100)
		if err := Each(context.Background(), len(seen), workers, func(i int) { seen[i]++ }); err != nil {
			t.Fatal(err)
		}
		if slices.ContainsFunc(seen, func(n int) bool { return n != 1 }) {
			t.Errorf("%d workers: %v", workers, seen)
		}
	}
}

// A fault of the program in one record is the error of that record.
func TestFaultInOne(t *testing.T) {
	one := func() (out Reckoned) {
		out.Dir = "a"
		defer caught(&out)
		out.Rec = new(record.Record)
		panic("made up")
	}
	if got := one(); got.Rec != nil || got.Dir != "a" || got.Err == nil || got.Err.Error() != "a: fault in the program: made up" {
		t.Errorf("%+v", got)
	}
}

// A fault of the program in one record holds up no other, nor the program.
func TestFaultAmongAll(t *testing.T) {
	dirs := shelfOf(t, 5)
	got, err := allBy(context.Background(), dirs, 2, 0, nil, func(dir string) (*record.Record, error) {
		if dir == dirs[2] {
			panic("made up")
		}
		return record.Open(dir)
	})
	if err != nil || len(got) != len(dirs) {
		t.Fatalf("%d of %d, %v", len(got), len(dirs), err)
	}
	for i, g := range got {
		if fault := g.Err != nil && strings.Contains(g.Err.Error(), "fault in the program: made up"); g.Dir != dirs[i] || fault != (i == 2) || (g.Rec == nil) != (i == 2) {
			t.Errorf("%s: %v", g.Dir, g.Err)
		}
	}
}

// As many records as there are workers are reckoned at the same time: each waits for
// the others here.
func TestAllAtOnce(t *testing.T) {
	const workers = 3
	dirs := shelfOf(t, 2*workers)
	var here sync.WaitGroup
	here.Add(workers)
	met := make(chan struct{})
	go func() { here.Wait(); close(met) }()
	var opened atomic.Int64
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	_, err := allBy(ctx, dirs, workers, 0, nil, func(dir string) (*record.Record, error) {
		if opened.Add(1) <= workers {
			here.Done()
			select {
			case <-met:
			case <-ctx.Done():
			}
		}
		return record.Open(dir)
	})
	if err != nil {
		t.Errorf("they were not open at once: %v", err)
	}
}
