package watch_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/sim"
	"draghand/internal/watch"
)

// The live pull and a replay of its record end in the same state, whatever went
// wrong on the way.
func TestReplayGivesTheLiveState(t *testing.T) {
	for _, fault := range append([]string{""}, sim.Faults()...) {
		t.Run("fault "+fault, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := exampleRig(t)
				w := newWatch(t, watch.Options{
					Feed: simulated(t, r, fault, 5), Rig: r, Specimen: bar(), Shelf: t.TempDir(), For: 40 * time.Second,
					Listen: func(e watch.Event) { // reads all of every event, while the engine goes on
						if _, err := json.Marshal(e); err != nil {
							t.Error(err)
						}
					},
				})
				w.Do(watch.AckAlarms)
				w.Do(watch.ZeroNow)
				res := w.Run(t.Context())
				if res.Save != nil || res.Source != nil {
					t.Fatalf("save %v, source %v", res.Save, res.Source)
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
				if replayed.Readings < 1000 {
					t.Errorf("only %d readings: the test shows nothing", replayed.Readings)
				}
				want := record.ClosingFrom(replayed, res.Reason)
				got := *rec.Head.Closing
				want.Ended, want.SamplesBytes, want.SamplesLines, want.SamplesSHA256 = got.Ended, got.SamplesBytes, got.SamplesLines, got.SamplesSHA256
				if d := cmp.Diff(got, want); d != "" {
					t.Errorf("the closing kept (-) and that of the replay (+) differ:\n%s", d)
				}
			})
		})
	}
}

// Of each kind, and of whatever the engine tells beside phases and alarms, the
// live state is the replayed one, to the field; and what must be seen in it is.
func TestReplayGivesTheLiveStateOfEachKind(t *testing.T) {
	crush := exampleRig(t)
	crush.Path = rig.Path{Kind: rig.Direct, Share: 1}
	crush.Limits = crush.Limits[:1]
	if err := crush.Validate(); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name   string
		o      watch.Options
		s      sim.Options
		reason string
		shows  func(res watch.Result) bool
	}{
		{
			"proof",
			watch.Options{Kind: pull.Proof, Proof: watch.Proof{Target: 15e3, Hold: 4 * time.Second}},
			sim.Options{Kind: sim.Proof, Target: 15.3e3, Hold: 6 * time.Second},
			record.ByLetOff,
			func(r watch.Result) bool {
				h := r.State.Hold
				return r.State.Outcome == pull.LetOff && h != nil && h.Met && h.Force == 15e3 && h.For >= 4*time.Second
			},
		},
		{
			"proof without figures",
			watch.Options{Kind: pull.Proof},
			sim.Options{Kind: sim.Proof, Hold: 15 * time.Second},
			record.ByLetOff,
			func(r watch.Result) bool { h := r.State.Hold; return h != nil && h.Force > 0 && !h.Met },
		},
		{
			"crush",
			watch.Options{Kind: pull.Crush, Rig: crush},
			sim.Options{Kind: sim.Crush, Rig: crush},
			record.ByLetOff,
			func(r watch.Result) bool { return r.State.Outcome == pull.LetOff && r.State.Peak.Stress > 0 },
		},
		{
			"something else gives",
			watch.Options{},
			sim.Options{Fault: "giving", Alloy: "1018", Seed: 4, Diameter: 12.5 * si.Millimetre},
			record.ByBreak,
			func(r watch.Result) bool {
				return len(r.Told) == 1 && strings.Contains(r.Told[0].Text, "something other than the specimen") && r.State.Strokes.Count > 5
			},
		},
		{
			"yield drop",
			watch.Options{Feed: yieldDrop()},
			sim.Options{},
			record.ByBreak,
			func(r watch.Result) bool {
				y := r.State.Yield
				return y != nil && near(y.Upper.Specimen, 24e3) && near(y.Lower.Specimen, 23.3e3) && len(r.Told) == 0
			},
		},
		{
			"fade",
			watch.Options{},
			sim.Options{Fault: "fade", Seed: 3, Diameter: 10 * si.Millimetre},
			record.ByFading,
			func(r watch.Result) bool { return r.State.Outcome == pull.Faded },
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				if c.o.Rig == nil {
					c.o.Rig, c.s.Rig = exampleRig(t), exampleRig(t)
				}
				if c.s.Seed == 0 {
					c.s.Seed = 3
				}
				s, err := sim.New(c.s)
				if err != nil {
					t.Fatal(err)
				}
				c.o.Specimen = bar()
				if c.s.Fault == "giving" {
					c.o.Specimen.Yield = 310 * si.Megapascal
				}
				if c.o.Feed == nil {
					c.o.Feed = sim.NewFeed(s, 200)
				}
				c.o.Shelf, c.o.For = t.TempDir(), 80*time.Second
				var mu sync.Mutex
				yields := 0
				c.o.Listen = func(e watch.Event) {
					text, err := json.Marshal(e)
					if err != nil {
						t.Error(err)
					}
					mu.Lock()
					defer mu.Unlock()
					if e.Kind == watch.EventKind(pull.EvYield) {
						yields++
						if !strings.Contains(string(text), `"upper":{"t_s":`) || !strings.Contains(string(text), `"lower":{"t_s":`) {
							t.Errorf("no two ends: %s", text)
						}
					}
				}
				res := newWatch(t, c.o).Run(t.Context())
				if res.Save != nil || res.Source != nil || res.Reason != c.reason {
					t.Fatalf("save %v, source %v, reason %q, want %q", res.Save, res.Source, res.Reason, c.reason)
				}
				if !c.shows(res) {
					t.Errorf("not seen in outcome %q, hold %+v, yield %+v, strokes %+v, told %v", res.State.Outcome, res.State.Hold, res.State.Yield, res.State.Strokes, res.Told)
				}
				if (yields > 0) != (res.State.Yield != nil) {
					t.Errorf("%d yields told, state %+v", yields, res.State.Yield)
				}
				rec, err := record.Open(res.Record)
				if err != nil {
					t.Fatal(err)
				}
				var told []pull.Event
				replayed, err := rec.ReplayLines(func(l record.Line) bool {
					for _, e := range l.Events {
						if e.Kind == pull.EvRemark && e.Phase != pull.Holding {
							told = append(told, e)
						}
					}
					return true
				})
				if err != nil {
					t.Fatal(err)
				}
				if d := cmp.Diff(res.State, replayed); d != "" {
					t.Errorf("live (-) and replayed (+) differ:\n%s", d)
				}
				if d := cmp.Diff(res.Told, told); d != "" {
					t.Errorf("remarks live (-) and replayed (+) differ:\n%s", d)
				}
				want, got := record.ClosingFrom(replayed, res.Reason), *rec.Head.Closing
				want.Ended, want.SamplesBytes, want.SamplesLines, want.SamplesSHA256 = got.Ended, got.SamplesBytes, got.SamplesLines, got.SamplesSHA256
				if d := cmp.Diff(got, want); d != "" {
					t.Errorf("the closing kept (-) and that of the replay (+) differ:\n%s", d)
				}
			})
		})
	}
}

// near allows for a count of the converter and the noise that is typed in.
func near(got, want si.Force) bool { return math.Abs(float64(got-want)) < 150 }

// yieldDrop is a pull typed in, by a motor at 200 readings a second: 3 s of rest,
// up to 24 kN in 4 s, down to 23.3 kN, there for 2 s, up to 30 kN in 10 s, broken.
// On the example rig 1 N is 2 / 42 cm² of 700 bar on 3276.8 counts.
func yieldDrop() feed.Feed {
	way := []struct{ until, force float64 }{{3, 0}, {7, 24e3}, {7.2, 23.3e3}, {9.2, 23.4e3}, {19.2, 30e3}, {19.205, 0}, {24, 0}}
	return scripted(func(_ context.Context, out func(feed.Chunk)) error {
		begun := time.Now()
		out(feed.Chunk{Kind: feed.Opened, At: begun})
		at, from := 0.0, 0.0
		for i := 0; len(way) > 0; i++ {
			x := float64(i) / 200
			if x > way[0].until {
				at, from, way = way[0].until, way[0].force, way[1:]
				i--
				continue
			}
			f := from + (way[0].force-from)*(x-at)/(way[0].until-at)
			raw := 819.2 + 2*f/42e-4/70e6*3276.8 + float64(i*7%5-2)/4
			out(feed.Chunk{Kind: feed.Data, At: begun.Add(time.Duration(i) * 5 * time.Millisecond), Data: fmt.Appendf(nil, "%d,%.0f\n", i*5000, raw)})
		}
		return nil
	})
}
