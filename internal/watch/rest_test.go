package watch_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/watch"
)

// level is a force for a while, as counts of the example rig; 820 is its zero, and
// nothing under some 12 counts more is a load there.
type level struct {
	d        time.Duration
	from, to int
}

// levels is a live source at 100 readings a second in made-up time.
func levels(all ...level) feed.Feed {
	return scripted(func(ctx context.Context, out func(feed.Chunk)) error {
		out(feed.Chunk{Kind: feed.Opened, At: time.Now(), Torn: true})
		out(feed.Chunk{Kind: feed.Data, At: time.Now(), Data: []byte("\n")})
		n := 0
		for _, l := range all {
			steps := int(l.d / (10 * time.Millisecond))
			for i := range steps {
				raw := l.from + (l.to-l.from)*i/steps + n%2
				out(feed.Chunk{Kind: feed.Data, At: time.Now(), Data: fmt.Appendf(nil, "%d,%d\n", n*10_000, raw)})
				n++
				select {
				case <-ctx.Done():
					return nil
				case <-time.After(10 * time.Millisecond):
				}
			}
		}
		return nil
	})
}

// Where nobody can end a pull by hand it ends a minute after a let-off or an unclear
// end, in its own record with whatever was loaded again before; and only there.
func TestUnattended(t *testing.T) {
	const zero = 820
	up := []level{{3 * time.Second, zero, zero}, {10 * time.Second, zero, 1400}}
	off := level{time.Second, 1400, zero}
	rest := func(d time.Duration) level { return level{d, zero, zero} }
	for name, c := range map[string]struct {
		after    []level
		attended bool
		kind     pull.Kind
		base     watch.TimeBase
		limit    time.Duration
		reason   string
		outcome  pull.Phase
		from, to time.Duration // of the end
		waits    bool
	}{
		"let off":             {after: []level{off, rest(5 * time.Minute)}, reason: record.ByRest, outcome: pull.LetOff, from: 73 * time.Second, to: 76 * time.Second, waits: true},
		"unclear":             {after: []level{{2 * time.Second, 1400, 1400}, {130 * time.Millisecond, 1400, zero}, rest(5 * time.Minute)}, reason: record.ByRest, outcome: pull.Unclear, from: 74 * time.Second, to: 77 * time.Second, waits: true},
		"proof, unclear":      {kind: pull.Proof, after: []level{{7 * time.Second, 1400, 1400}, {130 * time.Millisecond, 1400, zero}, rest(5 * time.Minute)}, reason: record.ByRest, outcome: pull.Unclear, from: 79 * time.Second, to: 82 * time.Second, waits: true},
		"loaded again":        {after: []level{off, rest(50 * time.Second), {10 * time.Second, zero, 1400}, {10 * time.Millisecond, 1400, zero}, rest(5 * time.Minute)}, reason: record.ByBreak, outcome: pull.Broken, from: 75 * time.Second, to: 78 * time.Second, waits: true},
		"and let off again":   {after: []level{off, rest(50 * time.Second), {10 * time.Second, zero, 1400}, off, rest(5 * time.Minute)}, reason: record.ByRest, outcome: pull.LetOff, from: 133 * time.Second, to: 137 * time.Second, waits: true},
		"stuck under load":    {after: []level{{time.Second, 1400, 850}, {5 * time.Minute, 850, 850}}, reason: record.ByEnd, outcome: pull.LetOff, from: 313 * time.Second, to: 315 * time.Second, waits: true},
		"a person is there":   {attended: true, after: []level{off, rest(5 * time.Minute)}, reason: record.ByEnd, outcome: pull.LetOff, from: 313 * time.Second, to: 315 * time.Second},
		"a file":              {base: watch.BoardTime, after: []level{off, rest(5 * time.Minute)}, reason: record.ByEnd, outcome: pull.LetOff, from: 313 * time.Second, to: 315 * time.Second},
		"--for is over first": {limit: 40 * time.Second, after: []level{off, rest(5 * time.Minute)}, reason: record.ByTime, outcome: pull.LetOff, from: 39 * time.Second, to: 41 * time.Second, waits: true},
		"broken":              {after: []level{{10 * time.Millisecond, 1400, zero}, rest(5 * time.Minute)}, reason: record.ByBreak, outcome: pull.Broken, from: 14 * time.Second, to: 16 * time.Second},
		"proof let off":       {kind: pull.Proof, after: []level{{7 * time.Second, 1400, 1400}, off, rest(5 * time.Minute)}, reason: record.ByLetOff, outcome: pull.LetOff, from: 21 * time.Second, to: 24 * time.Second},
		"under load":          {after: []level{{5 * time.Minute, 1400, 1400}}, reason: record.ByEnd, outcome: pull.Ended, from: 312 * time.Second, to: 314 * time.Second},
	} {
		t.Run(name, func(t *testing.T) {
			r := exampleRig(t)
			shelf := t.TempDir()
			synctest.Test(t, func(t *testing.T) {
				var told, closed []string
				w := newWatch(t, watch.Options{
					Feed: levels(append(append([]level{}, up...), c.after...)...), Rig: r, Kind: c.kind, Specimen: bar(), Shelf: shelf,
					Unattended: !c.attended, Time: c.base, For: c.limit,
					Listen: func(e watch.Event) {
						switch e.Kind {
						case watch.Waits:
							told = append(told, e.Text)
						case watch.Ended:
							closed = append(closed, e.Text)
						}
					},
				})
				res := w.Run(t.Context())
				if res.Reason != c.reason || res.State.Outcome != c.outcome || res.Save != nil || res.Source != nil {
					t.Errorf("closed for %q as %q, want %q, %q; save %v, source %v", res.Reason, res.State.Outcome, c.reason, c.outcome, res.Save, res.Source)
				}
				if res.State.T < c.from || res.State.T > c.to {
					t.Errorf("ended at %v, want %v to %v", res.State.T, c.from, c.to)
				}
				if want := map[bool]int{true: 1}[c.waits]; len(told) != want {
					t.Errorf("told %q, want %d times", told, want)
				} else if want > 0 && !strings.Contains(told[0], "for 60 s") {
					t.Errorf("told %q", told)
				}
				if len(closed) != 1 || closed[0] != c.reason {
					t.Errorf("closed told %q", closed)
				}
				if rep := record.Check(res.Record); rep.Status != record.Whole {
					t.Errorf("record: %s", rep.Text())
				}
			})
		})
	}
}

// What a simulated pull that is let off leaves is the record of the whole, and its
// state is computed again from it.
func TestRestIsReplayed(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := exampleRig(t)
		w := newWatch(t, watch.Options{Feed: simulated(t, r, "let-off", 7), Rig: r, Specimen: bar(), Shelf: t.TempDir(), Unattended: true})
		res := w.Run(t.Context())
		if res.Reason != record.ByRest || res.State.Outcome != pull.LetOff {
			t.Fatalf("closed for %q as %q", res.Reason, res.State.Outcome)
		}
		rec, err := record.Open(res.Record)
		if err != nil {
			t.Fatal(err)
		}
		replayed, err := rec.Replay(nil)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(res.State, replayed); d != "" {
			t.Errorf("live (-) and replayed (+) differ:\n%s", d)
		}
	})
}
