package watch_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/feed"
	"draghand/internal/watch"
)

// lamp is a trip line that keeps what it was told.
type lamp struct {
	mu    sync.Mutex
	calls []lampCall
	hold  func(ok bool) error // nil: works
}

type lampCall struct {
	ok bool
	at time.Time
}

func (l *lamp) Hold(ok bool) error {
	at := time.Now()
	l.mu.Lock()
	hold := l.hold
	l.calls = append(l.calls, lampCall{ok, at})
	l.mu.Unlock()
	if hold == nil {
		return nil
	}
	return hold(ok)
}

func (l *lamp) Close() error { return nil }

// changes are the calls without those that only say again what is.
func (l *lamp) changes() (out []lampCall) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, c := range l.calls {
		if len(out) == 0 || out[len(out)-1].ok != c.ok {
			out = append(out, c)
		}
	}
	return out
}

func (l *lamp) held() bool {
	c := l.changes()
	return len(c) > 0 && c[len(c)-1].ok
}

// board is a source that a test speaks through; it is open from the start.
type board struct {
	t   *testing.T
	say chan feed.Chunk
	end chan error
	us  int
}

func newBoard(t *testing.T) *board {
	return &board{t: t, say: make(chan feed.Chunk), end: make(chan error, 1)}
}

func (b *board) feed() feed.Feed {
	return scripted(func(ctx context.Context, out func(feed.Chunk)) error {
		out(feed.Chunk{Kind: feed.Opened, At: time.Now()})
		for {
			select {
			case c := <-b.say:
				c.At = time.Now()
				out(c)
			case err := <-b.end:
				return err
			case <-ctx.Done():
				return nil
			}
		}
	})
}

// read sends n readings in one chunk, 5 ms of the board's clock apart.
func (b *board) read(raw, n int) {
	b.t.Helper()
	var text []byte
	for i := range n {
		b.us += 5000
		text = fmt.Appendf(text, "%d,%d\n", b.us, raw+i%2)
	}
	b.send(feed.Chunk{Kind: feed.Data, Data: text})
}

func (b *board) send(c feed.Chunk) {
	b.t.Helper()
	select {
	case b.say <- c:
	case <-time.After(10 * time.Second):
		b.t.Fatal("the source is not heard")
	}
}

// Raw numbers of the example rig: at rest, loaded, and over the stop of its link
// bar.
const (
	atRest   = 820
	loaded   = 1500
	overStop = 1900
)

// beat is how often a pull looks round.
const beat = 15 * time.Millisecond

// until waits for a condition.
func until(t *testing.T, what string, ok func() bool) {
	t.Helper()
	deadline := time.Now().Add(10 * time.Second)
	tick := time.NewTicker(time.Millisecond)
	defer tick.Stop()
	for ; !ok(); <-tick.C {
		if time.Now().After(deadline) {
			t.Fatalf("no %s", what)
		}
	}
}

// tripRun is a pull with a trip line, on the way.
type tripRun struct {
	*watch.Watch
	board  *board
	lamp   *lamp
	told   chan watch.Event
	done   chan watch.Result
	cancel context.CancelFunc
	begun  time.Time
}

func startTrip(t *testing.T, base watch.TimeBase, change func(*watch.Options)) *tripRun {
	t.Helper()
	r := &tripRun{board: newBoard(t), lamp: &lamp{}, told: make(chan watch.Event, 10000), done: make(chan watch.Result, 1), begun: time.Now()}
	o := watch.Options{
		Feed: r.board.feed(), Rig: exampleRig(t), Shelf: t.TempDir(), Specimen: bar(), Time: base, Trip: r.lamp,
		Listen: func(e watch.Event) {
			if e.Kind != "peak" {
				r.told <- e
			}
		},
	}
	if change != nil {
		change(&o)
	}
	r.Watch = newWatch(t, o)
	ctx, cancel := context.WithCancel(t.Context())
	r.cancel = cancel
	go func() { r.done <- r.Run(ctx) }()
	return r
}

// stream sends readings for a time, each as it is due; the board's clock goes on in a
// silence between two of them.
func (r *tripRun) stream(long time.Duration) {
	r.board.t.Helper()
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	for from := time.Now(); time.Since(from) < long; <-tick.C {
		r.board.us = int(time.Since(r.begun).Microseconds())
		r.board.read(atRest, 1)
	}
}

func (r *tripRun) ended(t *testing.T) watch.Result {
	t.Helper()
	select {
	case res := <-r.done:
		return res
	case <-time.After(15 * time.Second):
		t.Fatal("the pull does not end")
		panic("not reached")
	}
}

// hear waits for an event with the words.
func (r *tripRun) hear(t *testing.T, words string) {
	t.Helper()
	limit := time.After(10 * time.Second)
	for {
		select {
		case e := <-r.told:
			if strings.Contains(e.Text, words) {
				return
			}
		case <-limit:
			t.Fatalf("nobody is told %q", words)
		}
	}
}

func (r *tripRun) wantHeld(t *testing.T, what string, want bool) {
	t.Helper()
	word := map[bool]string{true: "held", false: "dropped"}[want]
	until(t, "line "+word+": "+what, func() bool { return r.lamp.held() == want && r.Snapshot().Trip == word })
}

// The life of the line: dropped until the first good reading, held by a lone
// reading at a limit, dropped by a stop until that is acknowledged and returned.
func TestTripFollowsThePull(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := startTrip(t, watch.BoardTime, nil)
		r.wantHeld(t, "nothing was read", false)
		r.board.send(feed.Chunk{Kind: feed.Data, Data: []byte("no,reading\n")})
		r.wantHeld(t, "only a bad line was read", false)
		r.board.read(atRest, 600)
		r.wantHeld(t, "readings come", true)
		r.board.read(loaded, 100)
		r.board.read(overStop, 1)
		r.board.read(loaded, 200)
		until(t, "alarm of the lone reading", func() bool {
			a := r.Snapshot().State.Alarms
			return len(a) == 1 && a[0].Single && a[0].Returned
		})
		r.Do(watch.AckAlarms)
		until(t, "end of the lone reading's alarm", func() bool { return len(r.Snapshot().State.Alarms) == 0 })
		r.board.read(loaded, 200)
		r.board.read(overStop, 3)
		r.wantHeld(t, "a stop stands", false)
		r.board.read(loaded, 200)
		until(t, "returned stop", func() bool {
			a := r.Snapshot().State.Alarms
			return len(a) > 0 && a[0].Returned
		})
		r.wantHeld(t, "the stop is not acknowledged", false)
		r.Do(watch.AckAlarms)
		until(t, "end of the alarm", func() bool { return len(r.Snapshot().State.Alarms) == 0 })
		r.board.read(loaded, 1)
		r.wantHeld(t, "the stop is over", true)
		r.Do(watch.EndPull)
		r.ended(t)
		var got []bool
		for _, c := range r.lamp.changes() {
			got = append(got, c.ok)
		}
		if want := []bool{false, true, false, true, false}; !slices.Equal(got, want) {
			t.Errorf("the line went %v, want %v: the lone reading must not drop it", got, want)
		}
		if s := r.Snapshot().Trip; s != "dropped" {
			t.Errorf("after the pull the snapshot says %q", s)
		}
	})
}

// Lost and silent readings drop the line; it is held again once the force has
// been seen again.
func TestTripDropsOnLostReadings(t *testing.T) {
	// The last reading came 5 ms before; half a second is looked for once a beat.
	const half = 500 * time.Millisecond
	for name, c := range map[string]struct {
		lose, back  []feed.Chunk
		least, most time.Duration
	}{
		"lost":   {[]feed.Chunk{{Kind: feed.Lost, Err: errors.New("unplugged")}}, []feed.Chunk{{Kind: feed.Back}}, 0, 0},
		"silent": {least: half - 5*time.Millisecond, most: half - 5*time.Millisecond + beat},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := startTrip(t, watch.HostTime, nil)
				r.stream(700 * time.Millisecond)
				r.wantHeld(t, "readings come", true)
				for _, chunk := range c.lose {
					r.board.send(chunk)
				}
				from := time.Now()
				r.wantHeld(t, name, false)
				took := r.lamp.changes()[2].at.Sub(from)
				t.Logf("%s: dropped after %v", name, took)
				if took < c.least || took > c.most {
					t.Errorf("%s: dropped after %v, want %v to %v", name, took, c.least, c.most)
				}
				for _, chunk := range c.back {
					r.board.send(chunk)
				}
				r.wantHeld(t, "back, but nothing is read", false)
				r.stream(time.Second)
				r.wantHeld(t, "readings come again", true)
				r.cancel()
				r.ended(t)
				if r.lamp.held() {
					t.Error("held after the pull")
				}
			})
		})
	}
}

// A look is no armed pull: it never touches the line.
func TestTripIsNotForALook(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := startTrip(t, watch.BoardTime, func(o *watch.Options) { o.Look = true })
		r.board.read(atRest, 600)
		until(t, "readings", func() bool { return r.Snapshot().State.Readings >= 600 })
		r.cancel()
		r.ended(t)
		if c := r.lamp.changes(); len(c) != 0 || r.Snapshot().Trip != "" {
			t.Errorf("the line went %v, shown %q", c, r.Snapshot().Trip)
		}
	})
}

// A sensor that is unplugged drops the line within half a second of its readings,
// at rest too, where that is no alarm; a few faulty readings do not.
func TestTripDropsOnABlindSensor(t *testing.T) {
	const openCircuit = 100 // 0.5 mA of the example rig's loop
	for name, at := range map[string]int{"at rest": atRest, "loaded": loaded} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				r := startTrip(t, watch.BoardTime, nil)
				r.board.read(atRest, 600)
				r.board.read(at, 200)
				r.wantHeld(t, "readings come", true)
				r.board.read(openCircuit, 5)
				r.board.read(at, 200)
				r.board.read(openCircuit, 102) // 0.51 s
				r.wantHeld(t, "nothing is seen", false)
				r.board.read(at, 102)
				r.Do(watch.AckAlarms)
				until(t, "end of the alarms", func() bool { return len(r.Snapshot().State.Alarms) == 0 })
				r.board.read(at, 102)
				r.wantHeld(t, "the force is seen again", true)
				r.Do(watch.EndPull)
				r.ended(t)
				if c := r.lamp.changes(); len(c) != 5 {
					t.Errorf("the line went %v, want dropped, held, dropped, held, dropped", c)
				}
			})
		})
	}
}

// However a pull ends, the line is dropped, at once.
func TestTripDropsAtEveryEnd(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*watch.Options)
		act    func(*tripRun)
		goesOn bool // the pull goes on without a line
	}{
		"closed by the person": {act: func(r *tripRun) { r.Do(watch.EndPull) }},
		"signal":               {act: func(r *tripRun) { r.cancel() }},
		"end of the source":    {act: func(r *tripRun) { r.board.end <- nil }},
		"source fails":         {act: func(r *tripRun) { r.board.end <- errors.New("the wire is cut") }},
		"time is up":           {change: func(o *watch.Options) { o.For = 4 * time.Second }, act: func(r *tripRun) { r.board.read(atRest, 400) }},
		"panic of the pull": {
			change: func(o *watch.Options) {
				o.Judged = func(n int64) {
					if n > 600 {
						panic("injected")
					}
				}
			},
			act: func(r *tripRun) { r.board.read(atRest, 1) },
		},
		"panic of the listener": {
			change: func(o *watch.Options) {
				o.Listen = func(e watch.Event) {
					if e.Phase != "" {
						panic("injected")
					}
				}
			},
			act: func(r *tripRun) { r.board.read(loaded, 300) }, goesOn: true,
		},
		"screen that died": {act: func(r *tripRun) { r.DropTrip("the screen failed") }, goesOn: true},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				r := startTrip(t, watch.BoardTime, c.change)
				r.board.read(atRest, 600)
				r.wantHeld(t, "readings come", true)
				from := time.Now()
				c.act(r)
				until(t, "drop", func() bool { return !r.lamp.held() })
				if took := r.lamp.changes()[2].at.Sub(from); took > beat {
					t.Errorf("dropped after %v, want %v at most", took, beat)
				}
				if c.goesOn {
					n := r.Snapshot().State.Readings
					r.board.read(atRest, 50)
					until(t, "readings without a line", func() bool { return r.Snapshot().State.Readings >= n+50 })
					r.cancel()
				}
				res := r.ended(t)
				if res.Save != nil {
					t.Error(res.Save)
				}
				if got := r.lamp.changes(); len(got) != 3 {
					t.Errorf("the line went %v, want dropped, held, dropped", got)
				}
			})
		})
	}
}

// The whole of a simulated pull: held under load, dropped when it is over.
func TestTripThroughASimulatedPull(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l, r := &lamp{}, exampleRig(t)
		w := newWatch(t, watch.Options{Feed: simulated(t, r, "", 3), Rig: r, Specimen: bar(), Shelf: t.TempDir(), Trip: l})
		if res := w.Run(t.Context()); res.Reason != "break" {
			t.Fatalf("ended by %q", res.Reason)
		}
		if c := l.changes(); len(c) < 3 || l.held() {
			t.Errorf("the line went %v, want dropped, held, dropped", c)
		}
	})
}
