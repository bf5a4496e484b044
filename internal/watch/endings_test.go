package watch_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/watch"
)

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

// --for ends a pull whose source says nothing, too, and the person is told that
// no reading came.
func TestForWithoutReadings(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
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
	})
}
