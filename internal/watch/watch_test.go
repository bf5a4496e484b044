package watch_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/sim"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

func exampleRig(t testing.TB) *rig.Rig {
	t.Helper()
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func bar() specimen.Specimen {
	return specimen.Specimen{ID: "1", Melt: "M1", Diameters: []si.Length{12.5 * si.Millimetre}, Simulated: true}
}

// simulated is the feed of a simulated pull, far faster than life.
func simulated(t testing.TB, r *rig.Rig, fault string, seed uint64) feed.Feed {
	t.Helper()
	s, err := sim.New(sim.Options{Rig: r, Seed: seed, Fault: fault})
	if err != nil {
		t.Fatal(err)
	}
	return sim.NewFeed(s, 200)
}

func newWatch(t testing.TB, o watch.Options) *watch.Watch {
	t.Helper()
	w, err := watch.New(o)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// The live pull and a replay of its record end in the same state, whatever went
// wrong on the way.
func TestReplayGivesTheLiveState(t *testing.T) {
	for _, fault := range append([]string{""}, sim.Faults()...) {
		t.Run("fault "+fault, func(t *testing.T) {
			t.Parallel()
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

// scripted is a feed that does what a function says.
type scripted func(ctx context.Context, out func(feed.Chunk)) error

func (scripted) Name() string { return "scripted" }

func (s scripted) Run(ctx context.Context, out func(feed.Chunk)) error { return s(ctx, out) }

func lines(from, n int) []byte {
	var b []byte
	for i := range n {
		b = fmt.Appendf(b, "%d,%d\n", (from+i)*1000, 820+i%2)
	}
	return b
}

// A source that fails, panics or ends: the record is closed and whole.
func TestSourceFailures(t *testing.T) {
	broken := errors.New("the wire is cut")
	for name, c := range map[string]struct {
		after  func() error
		reason string
		isErr  bool
	}{
		"ends":   {func() error { return nil }, "end of source", false},
		"fails":  {func() error { return broken }, "source lost", true},
		"panics": {func() error { panic("feed") }, "source lost", true},
	} {
		t.Run(name, func(t *testing.T) {
			r := exampleRig(t)
			w := newWatch(t, watch.Options{
				Rig: r, Shelf: t.TempDir(), Feed: scripted(func(_ context.Context, out func(feed.Chunk)) error {
					out(feed.Chunk{Kind: feed.Opened, At: time.Now()})
					out(feed.Chunk{Kind: feed.Data, At: time.Now(), Data: lines(0, 100)})
					return c.after()
				}),
			})
			res := w.Run(t.Context())
			if res.Reason != c.reason || (res.Source != nil) != c.isErr {
				t.Errorf("reason %q, source error %v; want %q, error %v", res.Reason, res.Source, c.reason, c.isErr)
			}
			if res.State.Readings != 100 {
				t.Errorf("%d readings, want 100", res.State.Readings)
			}
			if rep := record.Check(res.Record); rep.Status != record.Whole {
				t.Errorf("record: %s", rep.Text())
			}
			if s := w.Snapshot(); !s.Closed || !s.Record.Saved || s.Source.Status == "waiting" {
				t.Errorf("last snapshot closed %v, saved %v, source %q", s.Closed, s.Record.Saved, s.Source.Status)
			}
		})
	}
}

// A listener that never returns, or panics, holds up no reading.
func TestListenerCannotHoldUpThePull(t *testing.T) {
	for name, listen := range map[string]func(watch.Event){
		"stuck":  func(watch.Event) { select {} },
		"panics": func(watch.Event) { panic("listener") },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := exampleRig(t)
			w := newWatch(t, watch.Options{Feed: simulated(t, r, "", 2), Rig: r, Specimen: bar(), Shelf: t.TempDir(), Listen: listen})
			if res := w.Run(t.Context()); res.State.Outcome != pull.Broken || res.Save != nil {
				t.Errorf("outcome %q, save %v", res.State.Outcome, res.Save)
			}
		})
	}
}

// Ending by the context and by the person closes the record with its reason.
func TestEndings(t *testing.T) {
	r := exampleRig(t)
	endless := scripted(func(ctx context.Context, out func(feed.Chunk)) error {
		out(feed.Chunk{Kind: feed.Opened, At: time.Now()})
		for i := 0; ; i++ {
			out(feed.Chunk{Kind: feed.Data, At: time.Now(), Data: lines(i, 1)})
			select {
			case <-ctx.Done():
				return nil
			case <-time.After(time.Millisecond):
			}
		}
	})
	ctx, cancel := context.WithCancel(t.Context())
	w := newWatch(t, watch.Options{Feed: endless, Rig: r, Shelf: t.TempDir(), Listen: func(e watch.Event) {
		if e.Kind == watch.Armed {
			cancel()
		}
	}})
	if res := w.Run(ctx); res.Reason != record.BySignal || res.Save != nil {
		t.Errorf("reason %q, save %v", res.Reason, res.Save)
	}
	w = newWatch(t, watch.Options{Feed: endless, Rig: r, Shelf: t.TempDir()})
	w.Do(watch.EndPull)
	if res := w.Run(t.Context()); res.Reason != record.ByPerson || res.Save != nil {
		t.Errorf("reason %q, save %v", res.Reason, res.Save)
	}
	w = newWatch(t, watch.Options{Feed: endless, Rig: r, Shelf: t.TempDir(), For: 50 * time.Millisecond})
	if res := w.Run(t.Context()); res.Reason != record.ByTime || res.Save != nil {
		t.Errorf("reason %q, save %v", res.Reason, res.Save)
	}
}

// An open source that falls silent under load is told within a second, and a
// replay knows of it.
func TestSilenceIsMarked(t *testing.T) {
	r := exampleRig(t)
	var mu sync.Mutex
	var seen []watch.EventKind
	silent := make(chan struct{})
	w := newWatch(t, watch.Options{
		Rig: r, Shelf: t.TempDir(),
		Listen: func(e watch.Event) {
			mu.Lock()
			defer mu.Unlock()
			seen = append(seen, e.Kind)
			if e.Alarm != nil && e.Alarm.Blind {
				close(silent)
			}
		},
		Feed: scripted(func(ctx context.Context, out func(feed.Chunk)) error {
			out(feed.Chunk{Kind: feed.Opened, At: time.Now()})
			begun := time.Now()
			for i := range 4000 {
				// 2.5 s of rest, then a steep rise to half of the link bar's
				// limit, as fast as the engine takes it.
				raw := 820
				if i > 2500 {
					raw += (i - 2500) / 4
				}
				out(feed.Chunk{Kind: feed.Data, At: begun.Add(time.Duration(i) * time.Millisecond), Data: fmt.Appendf(nil, "%d,%d\n", i*1000, raw+i%2)})
			}
			select {
			case <-silent:
			case <-ctx.Done():
			case <-time.After(10 * time.Second):
				return errors.New("nobody noticed the silence")
			}
			return nil
		}),
	})
	res := w.Run(t.Context())
	if res.Source != nil {
		t.Fatalf("%v; events %v, phase %v", res.Source, seen, res.State.Phase)
	}
	rec, err := record.Open(res.Record)
	if err != nil {
		t.Fatal(err)
	}
	s, err := rec.Replay(nil)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(res.State, s); d != "" {
		t.Errorf("live (-) and replayed (+) differ:\n%s", d)
	}
}

// loadedThen is a live source that rests, loads to some 30 kN, and then does
// what then says.
func loadedThen(then func(ctx context.Context, out func(feed.Chunk), at time.Time) error) feed.Feed {
	return scripted(func(ctx context.Context, out func(feed.Chunk)) error {
		begun := time.Now()
		out(feed.Chunk{Kind: feed.Opened, At: begun, Torn: true})
		out(feed.Chunk{Kind: feed.Data, At: begun, Data: []byte("\n")})
		var at time.Time
		for i := range 6000 {
			raw := 820
			if i > 2500 {
				raw += (i - 2500) / 6
			}
			at = begun.Add(time.Duration(i) * time.Millisecond)
			out(feed.Chunk{Kind: feed.Data, At: at, Data: fmt.Appendf(nil, "%d,%d\n", i*1000, raw+i%2)})
		}
		return then(ctx, out, at)
	})
}

// A live source that ends under load has left the person blind: that is raised
// before the pull is closed. What a cut wire leaves of a line is no reading.
func TestSourceEndsUnderLoad(t *testing.T) {
	r := exampleRig(t)
	w := newWatch(t, watch.Options{Rig: r, Specimen: bar(), Shelf: t.TempDir(), Feed: loadedThen(func(_ context.Context, out func(feed.Chunk), at time.Time) error {
		out(feed.Chunk{Kind: feed.Data, At: at, Data: []byte("6000000,18")})
		out(feed.Chunk{Kind: feed.End, At: at})
		return nil
	})})
	res := w.Run(t.Context())
	blind := false
	for _, a := range res.State.Alarms {
		blind = blind || a.Blind
	}
	if !blind || res.State.Outcome != pull.Ended {
		t.Errorf("outcome %q, alarms %+v: want ended, and blindness", res.State.Outcome, res.State.Alarms)
	}
	if res.State.Readings != 6000 {
		t.Errorf("%d readings, want 6000: the torn last line is none", res.State.Readings)
	}
}

// A source that comes back and says nothing is not seen, however often it
// comes back.
func TestBackAndSilent(t *testing.T) {
	r := exampleRig(t)
	told := make(chan struct{}, 100)
	var w *watch.Watch
	w = newWatch(t, watch.Options{Rig: r, Specimen: bar(), Shelf: t.TempDir(), Feed: loadedThen(func(ctx context.Context, out func(feed.Chunk), at time.Time) error {
		out(feed.Chunk{Kind: feed.Lost, At: at, Err: errors.New("unplugged")})
		out(feed.Chunk{Kind: feed.Back, At: at.Add(260 * time.Millisecond), Torn: true})
		deadline := time.After(10 * time.Second)
		for {
			if s := w.Snapshot(); s.Source.Status == "silent" {
				if s.State.Seen {
					return errors.New("the old force is shown as seen")
				}
				return nil
			}
			select {
			case <-told:
			case <-time.After(20 * time.Millisecond):
			case <-deadline:
				return errors.New("nobody noticed the silence")
			}
		}
	})})
	if res := w.Run(t.Context()); res.Source != nil {
		t.Error(res.Source)
	}
}

// --for ends a pull whose source says nothing, too, and the person is told that
// no reading came.
func TestForWithoutReadings(t *testing.T) {
	told := make(chan string, 100)
	w := newWatch(t, watch.Options{
		Rig: exampleRig(t), Shelf: t.TempDir(), For: 3500 * time.Millisecond, Listen: func(e watch.Event) { told <- e.Text },
		Feed: scripted(func(ctx context.Context, out func(feed.Chunk)) error {
			out(feed.Chunk{Kind: feed.Opened, At: time.Now(), Torn: true})
			out(feed.Chunk{Kind: feed.Data, At: time.Now(), Data: []byte("\nnot a reading\x00\n")})
			<-ctx.Done()
			return nil
		}),
	})
	begun := time.Now()
	if res := w.Run(t.Context()); res.Reason != record.ByTime {
		t.Errorf("reason %q, want %q", res.Reason, record.ByTime)
	}
	if d := time.Since(begun); d > 8*time.Second {
		t.Errorf("ended after %v, want 3.5 s", d)
	}
	close(told)
	for text := range told {
		if strings.Contains(text, "no reading in the first 3s") {
			return
		}
	}
	t.Error("nobody was told that no reading came")
}

// Whoever is woken by an event finds what it is about in the snapshot.
func TestSnapshotBeforeEvent(t *testing.T) {
	r := exampleRig(t)
	var w *watch.Watch
	alarms := 0
	ready := make(chan struct{})
	w = newWatch(t, watch.Options{
		Feed: simulated(t, r, "open", 3), Rig: r, Specimen: bar(), Shelf: t.TempDir(), For: 30 * time.Second,
		Listen: func(e watch.Event) {
			<-ready
			if e.Alarm == nil || e.Alarm.Returned || e.Alarm.Acknowledged {
				return
			}
			if alarms++; alarms == 1 && len(w.Snapshot().State.Alarms) == 0 {
				t.Error("the first alarm is told before it is in the snapshot")
			}
		},
	})
	close(ready)
	w.Run(t.Context())
	if alarms == 0 {
		t.Error("no alarm: the test shows nothing")
	}
}

// No record can be made: New says so, and nothing is pulled.
func TestNoPlaceToRecord(t *testing.T) {
	_, err := watch.New(watch.Options{Feed: scripted(nil), Rig: exampleRig(t), Shelf: filepath.Join("watch_test.go", "shelf")})
	if err == nil {
		t.Fatal("a shelf below a file was taken")
	}
}
