package finish

import (
	"context"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/strength"
)

// Reckoned is one record recomputed.
type Reckoned struct {
	Dir     string
	Rec     *record.Record // nil: it cannot be opened
	Err     error          // why
	Results strength.Results
	State   pull.State
	Damage  error // of its readings: Results are of what is intact
}

// All recomputes records, several at once, and gives them in the order of dirs.
// workers is how many are read at a time, 0: one a core; draws are those of the
// Monte Carlo of each, 0: none, which leaves out only its interval. done, where
// there is one, is called from several goroutines with how many are finished.
// What is wrong with one record is told in its Err or Damage and holds up no
// other. The error is that of ctx: then nothing is given.
func All(ctx context.Context, dirs []string, workers, draws int, done func(int)) ([]Reckoned, error) {
	return allBy(ctx, dirs, workers, draws, done, record.Open)
}

// allBy is All with how a record is opened.
func allBy(ctx context.Context, dirs []string, workers, draws int, done func(int), open func(dir string) (*record.Record, error)) ([]Reckoned, error) {
	out := make([]Reckoned, len(dirs))
	var finished atomic.Int64
	err := Each(ctx, len(dirs), workers, func(i int) {
		out[i] = reckon(ctx, dirs[i], draws, open)
		if k := finished.Add(1); done != nil && ctx.Err() == nil {
			done(int(k))
		}
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// Each does n things, several at once: workers of them, 0: one a core. It ends
// early with the error of ctx.
func Each(ctx context.Context, n, workers int, one func(int)) error {
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(workers, n) {
		wait.Go(func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				one(i)
			}
		})
	}
	wait.Wait()
	return ctx.Err()
}

// reckon recomputes one record.
func reckon(ctx context.Context, dir string, draws int, open func(string) (*record.Record, error)) (out Reckoned) {
	out.Dir = dir
	defer caught(&out)
	rec, err := open(dir)
	if err != nil {
		out.Err = err
		return out
	}
	out.Rec = rec
	out.Results, out.State, out.Damage = recompute(ctx, rec, draws)
	return out
}

// caught is deferred on a record's reckoning: a panic there would end the whole
// program, with a pull that is running in it; it becomes the error of this record.
func caught(r *Reckoned) {
	if p := recover(); p != nil {
		*r = Reckoned{Dir: r.Dir, Err: fmt.Errorf("%s: fault in the program: %v", r.Dir, p)}
	}
}

// lookAtCtx is how many lines are read between two looks at the context.
const lookAtCtx = 4096

// recompute is Recompute with a number of draws, and ends early with ctx: what it
// gives then is of no use.
func recompute(ctx context.Context, rec *record.Record, draws int) (strength.Results, pull.State, error) {
	var told strength.Remarks
	lines := 0
	s, damage := rec.ReplayLines(func(l record.Line) bool {
		told.Add(l.Events)
		lines++
		return lines%lookAtCtx != 0 || ctx.Err() == nil
	})
	if ctx.Err() != nil {
		return strength.Results{}, s, ctx.Err()
	}
	return of(rec, s, told, damage, draws), s, damage
}
