package bench

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/watch"
)

// A pull whose folder went away is saved elsewhere, and the person is told where;
// or that it is nowhere.
func TestRescue(t *testing.T) {
	t.Parallel()
	for name, lost := range map[string]bool{"elsewhere": false, "nowhere": true} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				d := &board{raw: slack}
				other := t.TempDir()
				b := withBoard(t, d, nil, func(_ *table, o *Options) {
					o.Rescue = func(w *watch.Watch) (string, error) {
						if lost {
							return "", errors.New("no disk takes it")
						}
						return w.Rescue(other)
					}
				})
				b.ready(t)
				w, err := b.Arm("")
				if err != nil {
					t.Fatal(err)
				}
				await(t, "it reads", func() bool { return w.Snapshot().State.Readings > 50 })
				if err := os.RemoveAll(w.Snapshot().Record.Path); err != nil {
					t.Skipf("the system keeps a folder in use: %v", err)
				}
				w.Do(watch.EndPull)
				await(t, "it is closed", func() bool { return b.Ended() != nil })
				e := b.Ended()
				if bars := b.View().Bars; len(bars) != 1 || bars[0].Saved != e.Saved || (bars[0].Record == "") != lost || bars[0].Specimen != "1" {
					t.Errorf("bars %+v", bars)
				}
				if lost {
					if e.Record != "" || e.Name != "" || !strings.Contains(e.Saved, "NOT SAVED") || !strings.Contains(e.Saved, "no disk takes it") || b.Remark("x") == nil {
						t.Errorf("ended: %+v", e)
					}
					if e.Results.Record != "" || slices.ContainsFunc(e.Lines, func(l string) bool { return strings.HasPrefix(l, "record") }) {
						t.Errorf("results of the record %q, lines %q: there is none", e.Results.Record, e.Lines)
					}
					return
				}
				if filepath.Dir(e.Record) != other || !strings.Contains(e.Saved, "saved in "+e.Record+" instead") || b.Result().Record != e.Record {
					t.Errorf("ended: %+v", e)
				}
				if rec, err := record.Open(e.Record); err != nil || rec.Head.Closing == nil || rec.Head.Arming == nil {
					t.Errorf("rescued: %+v, %v", rec, err)
				}
				if err := b.Remark("the stick was pulled"); err != nil || len(b.Ended().Remarks) != 1 {
					t.Errorf("remark: %v", err)
				}
			})
		})
	}
}

// A view stays the same while nothing changes, is made at most 30 times a second
// for the readings, and at once for what a person does.
func TestViewIsCheap(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := withBoard(t, &board{raw: slack}, nil, nil)
		b.ready(t)
		seen := map[*View]bool{}
		began := time.Now()
		look := time.NewTicker(50 * time.Microsecond)
		defer look.Stop()
		for ; time.Since(began) < 500*time.Millisecond; <-look.C {
			seen[b.View()] = true
		}
		if most := int(time.Since(began)/frame) + 2; len(seen) > most || len(seen) < 2 {
			t.Errorf("%d views in %s, at most %d", len(seen), time.Since(began), most)
		}
		old := b.View()
		b.Confirm(PointAir, false)
		if now := b.View(); now == old || len(now.Refusals) != 1 || len(old.Refusals) != 0 {
			t.Errorf("after a change: %s; the old view: %s", whats(now.Refusals), whats(old.Refusals))
		}
	})
}

// Everybody may call at once, while the source, the look and the bench's own ticks go on.
func TestManyHands(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d := &board{raw: slack}
		b := withBoard(t, d, nil, nil)
		b.ready(t)
		var all sync.WaitGroup
		views, looks := map[*View]bool{}, map[*watch.Snapshot]bool{}
		for _, do := range []func(int){
			func(int) {
				v := b.View()
				views[v] = true
				if v.Look != nil {
					looks[v.Look] = true
				}
			},
			func(int) { _ = b.Zero() },
			func(n int) { b.Confirm(PointAir, n%2 == 0) },
			func(n int) { _ = b.Set(FieldKind, []string{"tension", "proof", "twist"}[n%3]) },
			func(n int) { _ = b.Set(FieldSource, []string{"serial:board", "serial:other"}[n/50%2]) },
			func(int) { _ = b.Set(FieldRig, "rig.toml") },
			func(int) { b.NextBar() },
			func(int) { _, _ = b.Ended(), b.Running() },
			func(int) { _ = b.Remark("x") },
		} {
			all.Go(func() {
				// Made-up time goes on only while all of them wait. All wake at one
				// instant, together with the source (2 ms), the look and the bench.
				for n := range 300 {
					do(n)
					<-time.After(2 * time.Millisecond)
				}
			})
		}
		all.Wait()
		d.do(func() {
			if len(looks) < 50 || d.opened < 3 {
				t.Errorf("%d views of %d looks, the source opened %d times: little went on beside the hands", len(views), len(looks), d.opened)
			}
		})
		set(t, b, FieldKind, "tension")
		set(t, b, FieldDiameters, "12.5 mm")
		b.ready(t)
		var armed sync.WaitGroup
		won := make(chan *watch.Watch, 4)
		for range 4 {
			armed.Go(func() {
				if w, err := b.Arm(""); err == nil {
					won <- w
				}
			})
		}
		armed.Wait()
		if len(won) != 1 {
			t.Fatalf("%d of four armed at once", len(won))
		}
		w := <-won
		w.Do(watch.EndPull)
		await(t, "it is closed", func() bool { return b.Ended() != nil })
		if n := len(b.records(t)); n != 1 {
			t.Errorf("%d records of one pull", n)
		}
	})
}

// Load that was let off just before arming is no part of the pull: what comes
// before it reaches back to the zero at the most.
func TestWhatCameBeforeIsTheZero(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d := &board{raw: slack}
		b := withBoard(t, d, nil, nil)
		b.ready(t)
		for range 3 {
			d.do(func() { d.raw = slack + 400 })
			await(t, "the load is seen", func() bool { return b.refused("there is load on the rig") && b.View().LoadSeen != nil })
			b.goRound()
			d.do(func() { d.raw = slack })
			await(t, "it may be armed", func() bool { return len(b.View().Refusals) == 0 })
			e := b.pullBoard(t, d, "")
			if z := e.Results.Zero; z.Raw == nil || *z.Raw > slack+2 || e.Results.Phase != string(pull.Slack) || e.Results.Peak != nil {
				t.Errorf("phase %s, zero %+v, peak %+v: the load before it belongs to the pull", e.Results.Phase, z, e.Results.Peak)
			}
		}
	})
}
