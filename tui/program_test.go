package tui

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"draghand/internal/si"
	"draghand/internal/watch"
)

// program is a small program of its own in this test binary: "state NAME" shows
// one of the states; further words change how. It prints what Run returned.
func program(spec string) int {
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	words := strings.Fields(spec)
	if words[0] == "sitting" {
		return sitting(ctx, words[1:])
	}
	moving := words[0] == "moving"
	if moving {
		words[0] = "loading"
	}
	f := states[words[0]]()
	var src Source = f
	opts := Options{In: os.Stdin, Out: os.Stdout}
	result := ""
	for _, w := range words[1:] {
		name, value, _ := strings.Cut(w, "=")
		switch name {
		case "hang-up-ignored":
			signal.Ignore(syscall.SIGHUP)
		case "result":
			result = value
			o := &observed{fake: f, result: value, move: moving}
			go o.watchStall()
			src = o
		case "si":
			opts.Units = si.Metric
		case "edge":
			edges := make(chan struct{}, 1)
			edges <- struct{}{}
			opts.Edges, opts.Bell = edges, true
		case "panic-edge":
			edges := make(chan struct{}, 1)
			opts.Edges, opts.Bell = edges, true
			src = &panicky{Source: f}
			go edgeOnce(value, edges)
		case "brief":
			opts.CloseAfter = 300 * time.Millisecond
		}
	}
	err := Run(ctx, src, opts)
	text := fmt.Sprintf("run returned: %v, commands %v\n", err, f.commands())
	if result != "" { // the terminal may be one that takes nothing
		_ = os.WriteFile(result, []byte(text), 0o600)
	} else {
		fmt.Fprint(os.Stderr, text)
	}
	if err != nil {
		return 1
	}
	return 0
}

// observed is a source that tells the test by files what it sees: that the
// screen has looked a few times, and that it no longer looks. With move its
// force changes at each look, so that every frame is new.
type observed struct {
	*fake
	result string
	move   bool
	looks  atomic.Int64
}

func (o *observed) Snapshot() *watch.Snapshot {
	n := o.looks.Add(1)
	if n == 10 {
		_ = os.WriteFile(o.result+".drawn", []byte("drawn"), 0o600)
	}
	snap := *o.fake.Snapshot()
	if o.move {
		snap.State.Live.Specimen = si.Force(1e3 * (n % 40))
	}
	return &snap
}

// watchStall notices that the screen has not looked for 300 ms: nine frames. It
// counts beats, not the time: a machine that holds up the whole program is no
// stall.
func (o *observed) watchStall() {
	last, still := int64(-1), 0
	for range time.Tick(20 * time.Millisecond) {
		if n := o.looks.Load(); n != last {
			last, still = n, 0
		} else {
			still++
		}
		if last > 3 && still > 15 {
			_ = os.WriteFile(o.result+".stalled", []byte("stalled"), 0o600)
			return
		}
	}
}

// edgeOnce sends an edge once a file is there, by which the test tells that it has seen
// the screen.
func edgeOnce(file string, edges chan<- struct{}) {
	for range time.Tick(10 * time.Millisecond) {
		if _, err := os.Stat(file); err == nil {
			edges <- struct{}{}
			return
		}
	}
}

// panicky is a source that fails for the edge goroutine alone.
type panicky struct{ Source }

func (p *panicky) Snapshot() *watch.Snapshot {
	if calledBy("tui.ringing") {
		panic("the source fell over")
	}
	return p.Source.Snapshot()
}
