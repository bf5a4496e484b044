package feed

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// byHand is a source that sends what a test gives it.
type byHand struct {
	chunks chan Chunk
	taken  chan struct{}
	err    error // of Run, once chunks is closed
	begun  atomic.Int32
	closed atomic.Bool
}

func newByHand() *byHand {
	return &byHand{chunks: make(chan Chunk), taken: make(chan struct{})}
}

func (h *byHand) Name() string { return "by hand" }
func (h *byHand) Begin()       { h.begun.Add(1) }

func (h *byHand) Run(ctx context.Context, out func(Chunk)) error {
	defer h.closed.Store(true)
	for {
		select {
		case <-ctx.Done():
			return nil
		case c, ok := <-h.chunks:
			if !ok {
				return h.err
			}
			out(c)
			clear(c.Data) // valid during the call only
			h.taken <- struct{}{}
		}
	}
}

// send gives chunks to the source and waits until each has been handed on.
func (h *byHand) send(chunks ...Chunk) {
	for _, c := range chunks {
		h.chunks <- c
		<-h.taken
	}
}

func data(at time.Time, text string) Chunk { return Chunk{Kind: Data, At: at, Data: []byte(text)} }

// stand runs a Standing over a source by hand.
func stand(t *testing.T) (*byHand, *Standing, chan error) {
	t.Helper()
	h := newByHand()
	s := NewStanding(h)
	done := make(chan error, 1)
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	go func() { done <- s.Run(ctx) }()
	return h, s, done
}

// attach starts a feed and waits until it is attached and has caught up.
func attach(t *testing.T, s *Standing, f Feed) *running {
	t.Helper()
	r := start(t, f)
	await(t, "an attached receiver", func() bool {
		s.mu.Lock()
		defer s.mu.Unlock()
		return s.now != nil && s.now.live
	})
	return r
}

func await(t *testing.T, what string, ok func() bool) {
	t.Helper()
	tick := time.NewTicker(time.Millisecond)
	defer tick.Stop()
	for begun := time.Now(); !ok(); <-tick.C {
		if time.Since(begun) > patience {
			t.Fatalf("no %s", what)
		}
	}
}

// off takes a receiver off and gives all it got.
func (r *running) off() (all []Chunk, err error) {
	r.cancel()
	for c := range r.events {
		all = append(all, c)
	}
	return all, <-r.done
}

// story puts chunks into words, times as milliseconds since base.
func story(base time.Time, chunks []Chunk) string {
	var b strings.Builder
	for _, c := range chunks {
		fmt.Fprintf(&b, "%v", c.Kind)
		if c.Kind == Data {
			fmt.Fprintf(&b, "@%d%q", c.At.Sub(base).Milliseconds(), c.Data)
		}
		if c.Torn {
			b.WriteString(" torn")
		}
		if c.Joined {
			b.WriteString(" joined")
		}
		b.WriteString("; ")
	}
	return b.String()
}

func TestStandingHandsOn(t *testing.T) {
	h, s, done := stand(t)
	base := time.Now().Add(-100 * time.Millisecond)
	at := func(ms int) time.Time { return base.Add(time.Duration(ms) * time.Millisecond) }
	steps := []struct {
		name   string
		f      Feed
		before []Chunk // sent before it attaches
		after  []Chunk // while it is attached
		want   string
	}{
		{
			"there before the source",
			s.Attach(), nil,
			[]Chunk{{Kind: Opened, At: at(0), Torn: true}, data(at(1), "ag\n1\n2"), data(at(2), "\n3\n")},
			`opened torn; data@1"ag\n1\n2"; data@2"\n3\n"; `,
		},
		{
			"joins in the middle", s.Attach(),
			[]Chunk{data(at(3), "4\n5")},
			[]Chunk{data(at(4), "\n6\n")},
			`opened torn joined; data@4"\n6\n"; `,
		},
		{
			"with what came before", s.AttachFrom(time.Hour),
			[]Chunk{data(at(5), "7\n8")},
			[]Chunk{data(at(6), "\n9\n")},
			`opened torn joined; data@1"ag\n1\n2"; data@2"\n3\n"; data@3"4\n5"; data@4"\n6\n"; data@5"7\n8"; data@6"\n9\n"; `,
		},
		{
			"after a whole line", s.AttachFrom(5 * time.Second), // the line end before it comes first
			[]Chunk{data(at(5100), "10\n"), data(at(5200), "11\n1")},
			[]Chunk{data(at(5300), "2\n")},
			`opened torn joined; data@5100"\n"; data@5100"10\n"; data@5200"11\n1"; data@5300"2\n"; `,
		},
		{
			"while the source is away", s.AttachFrom(time.Hour),
			[]Chunk{{Kind: Lost, At: at(5400), Err: errors.New("gone")}},
			[]Chunk{{Kind: Back, At: at(5500), Torn: true}, data(at(5600), "x\n13\n")},
			`opened torn joined; lost; back torn; data@5600"x\n13\n"; `,
		},
		{
			"nothing from before a loss", s.AttachFrom(time.Hour),
			nil,
			[]Chunk{data(at(5700), "14\n")},
			`opened torn joined; data@5600"x\n13\n"; data@5700"14\n"; `,
		},
		{
			"nothing so old", s.AttachFrom(time.Second), // by the source's own clock, which runs ahead
			[]Chunk{data(at(7800), "15\n"), data(at(7840), "16\n")},
			nil,
			`opened torn joined; data@7800"\n"; data@7800"15\n"; data@7840"16\n"; `,
		},
	}
	for _, c := range steps {
		h.send(c.before...)
		r := attach(t, s, c.f)
		h.send(c.after...)
		got, err := r.off()
		if err != nil || story(base, got) != c.want {
			t.Errorf("%s: %v\n got %s\nwant %s", c.name, err, story(base, got), c.want)
		}
	}
	if n := h.begun.Load(); n != 5 || h.closed.Load() {
		t.Errorf("told %d times that a pull begins, want 5; closed %v", n, h.closed.Load())
	}
	// The end of the source is everybody's, also who comes later.
	r := attach(t, s, s.Attach())
	h.send(Chunk{Kind: End, At: at(6000)})
	close(h.chunks)
	if err := <-done; err != nil {
		t.Error(err)
	}
	if err := <-r.done; err != nil {
		t.Error(err)
	}
	got, err := start(t, s.Attach()).all()
	if err != nil || story(base, got) != "opened torn joined; end; " {
		t.Errorf("after the end: %v, %s", err, story(base, got))
	}
}

// all waits for the end of a feed by itself.
func (r *running) all() (all []Chunk, err error) {
	for c := range r.events {
		all = append(all, c)
	}
	return all, <-r.done
}

// What fails the source fails all who are attached or come later.
func TestStandingFails(t *testing.T) {
	h, s, done := stand(t)
	first := attach(t, s, s.AttachFrom(time.Second))
	second := start(t, s.Attach()) // waits for the first
	h.err = &Error{What: "no such port", kind: ErrSource}
	close(h.chunks)
	for _, c := range []chan error{done, first.done, second.done, start(t, s.AttachFrom(0)).done} {
		if err := <-c; !errors.Is(err, ErrSource) || err.Error() != "no such port" {
			t.Errorf("got %v", err)
		}
	}
}

// A sitting that closes its source leaves nobody waiting.
func TestStandingIsClosed(t *testing.T) {
	h := newByHand()
	s := NewStanding(h)
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.Run(ctx) }()
	h.send(Chunk{Kind: Opened, At: time.Now()})
	first := attach(t, s, s.Attach())
	cancel()
	if err := <-done; err != nil {
		t.Error(err)
	}
	for _, c := range []chan error{first.done, start(t, s.Attach()).done} {
		if err := <-c; !errors.Is(err, ErrSource) {
			t.Errorf("got %v, want that it is closed", err)
		}
	}
}

// What is kept is bounded in time and bytes.
func TestStandingKeepsLittle(t *testing.T) {
	var k kept
	base := time.Now()
	for i := range 40_000 {
		k.add(data(base.Add(time.Duration(i)*time.Millisecond), "12345,67\n"))
	}
	if n := len(k.chunks); n < 4900 || n > 5001 {
		t.Errorf("%d chunks of 1 ms, want 5 s of them", n)
	}
	for i := range 3000 {
		k.add(data(base.Add(40*time.Second+time.Duration(i)), strings.Repeat("x", 1000)))
	}
	if n := k.bytes; n > 1<<20 || n < 1<<19 {
		t.Errorf("%d bytes", n)
	}
	k.add(data(base.Add(time.Minute), strings.Repeat("x", 2<<20)))
	if k.bytes != 0 || len(k.chunks) != 0 {
		t.Errorf("a chunk larger than all: %d bytes in %d chunks", k.bytes, len(k.chunks))
	}
}

// A stream cut anywhere arrives whole with each who attaches, from its first whole
// line to where it leaves or the source ends, while the source runs on.
func TestStandingLosesAndDoublesNothing(t *testing.T) {
	whole, streams := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		streams++
		var stream []byte
		for i := range rapid.IntRange(50, 400).Draw(rt, "lines") {
			stream = fmt.Appendf(stream, "%d,%d\n", 1000+i, i%7)
		}
		base := time.Now()
		chunks := []Chunk{{Kind: Opened, At: base, Torn: true}}
		for rest, i := stream, 0; len(rest) > 0; i++ {
			n := min(len(rest), rapid.SampledFrom([]int{1, 2, 5, 7, 8, 16, 40, 300}).Draw(rt, "cut"))
			chunks = append(chunks, data(base.Add(time.Duration(i)*10*time.Millisecond), string(rest[:n])))
			rest = rest[n:]
		}
		chunks = append(chunks, Chunk{Kind: End, At: base})
		type visit struct {
			before time.Duration
			chunks int
			pull   bool
		}
		var visits []visit
		for range rapid.IntRange(1, 6).Draw(rt, "visits") {
			visits = append(visits, visit{
				time.Duration(rapid.IntRange(0, 1000).Draw(rt, "before")) * time.Millisecond,
				rapid.IntRange(1, 60).Draw(rt, "chunks"), rapid.Bool().Draw(rt, "pull"),
			})
		}
		visits = append(visits, visit{time.Hour, 1 << 30, true}) // to the end

		h := newByHand()
		s := NewStanding(h)
		var wait sync.WaitGroup
		wait.Go(func() { _ = s.Run(context.Background()) })
		wait.Go(func() { h.send(chunks...); close(h.chunks) })
		for i, v := range visits {
			f := s.Attach()
			if v.pull {
				f = s.AttachFrom(v.before)
			}
			ctx, cancel := context.WithCancel(context.Background())
			var got []byte
			n, opened := 0, 0
			err := f.Run(ctx, func(c Chunk) {
				switch c.Kind {
				case Data:
					got = append(got, c.Data...)
				case Opened:
					if opened++; len(got) > 0 || !c.Torn {
						rt.Errorf("visit %d: opened after data, or not torn", i)
					}
				}
				if n++; n >= v.chunks {
					cancel()
				}
			})
			cancel()
			if err != nil || opened != 1 {
				rt.Fatalf("visit %d: %v, opened %d times", i, err, opened)
			}
			_, lines, _ := bytes.Cut(got, []byte("\n"))
			if len(lines) < 5 {
				continue
			}
			from := bytes.Index(stream, lines[:5]) // the number of a line is there once
			if from < 1 || stream[from-1] != '\n' || !bytes.HasPrefix(stream[from:], lines) {
				rt.Fatalf("visit %d: %q is no whole part of the stream", i, lines)
			}
			if whole++; i == len(visits)-1 && len(stream) != from+len(lines) {
				rt.Fatalf("the last visit ends %d bytes early", len(stream)-from-len(lines))
			}
		}
		wait.Wait()
	})
	if 2*whole < streams { // some three in each do
		t.Errorf("only %d visits to %d streams got a whole line: the test shows nothing", whole, streams)
	}
}

// A receiver that is slow with what came before it holds up the source only once
// much more is waiting.
func TestStandingSlowReceiver(t *testing.T) {
	h, s, _ := stand(t)
	base := time.Now()
	h.send(Chunk{Kind: Opened, At: base}, data(base, "1\n"))
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	hold, n := make(chan struct{}), 0
	done := make(chan error, 1)
	go func() {
		done <- s.AttachFrom(time.Hour).Run(ctx, func(c Chunk) {
			<-hold
			n += len(c.Data)
		})
	}()
	await(t, "receiver", func() bool { return h.begun.Load() == 1 })
	text := strings.Repeat("1234567\n", 1000)
	for range 400 { // 3.2 MB
		h.send(data(base, text))
	}
	sent := make(chan struct{})
	go func() {
		for range 400 { // these wait
			h.send(data(base, text))
		}
		close(sent)
	}()
	select {
	case <-sent:
		t.Error("6.4 MB wait for a receiver")
	case <-time.After(20 * time.Millisecond):
	}
	close(hold)
	<-sent
	await(t, "end of what waited", func() bool {
		s.mu.Lock()
		defer s.mu.Unlock()
		return s.now.live
	})
	cancel()
	if err := <-done; err != nil {
		t.Error(err)
	}
	if want := 800*len(text) + len("\n1\n"); n != want {
		t.Errorf("got %d bytes, want %d", n, want)
	}
}
