package watch

import (
	"context"
	"errors"
	"fmt"
	"time"

	"draghand/internal/feed"
	"draghand/internal/record"
)

// item is one chunk in flight, with a buffer of its own.
type item struct {
	kind feed.Kind
	at   time.Time
	data []byte
	torn bool
	err  error
	note string

	joined bool
	missed int
}

func (w *Watch) loop(ctx context.Context) (string, error) {
	feedCtx, cancel := context.WithCancel(ctx)
	in := make(chan item, 64)
	defer func() {
		w.trip.end() // before what may take a while
		cancel()
		for range in { // a panic below must not leave the feed waiting with its port open
		}
	}()
	spare := make(chan []byte, 64)
	feedErr := make(chan error, 1)
	go func() {
		defer close(in)
		defer func() {
			if p := recover(); p != nil {
				feedErr <- fmt.Errorf("fault in the source: %v", p)
			}
		}()
		feedErr <- w.o.Feed.Run(feedCtx, func(c feed.Chunk) {
			var buf []byte
			select {
			case buf = <-spare:
			default:
			}
			in <- item{kind: c.Kind, at: c.At, data: append(buf[:0], c.Data...), torn: c.Torn, err: c.Err, note: c.Note, joined: c.Joined, missed: c.Missed}
		})
	}()

	tick := time.NewTicker(publishEvery)
	defer tick.Stop()
	reason := ""
	stop := func(why string) {
		if reason == "" {
			reason = why
			w.trip.end()
			cancel() // the feed ends; what it has read so far is still taken below
		}
	}
	done := ctx.Done()
	for {
		ticks, commands := tick.C, w.commands
		if w.missed > 0 { // what came before the pull is history: first catch up with it
			ticks, commands = nil, nil
		}
		select {
		case it, ok := <-in:
			if !ok {
				err := <-feedErr
				switch {
				case reason != "":
				case ctx.Err() != nil: // the feed may hear of it before this loop does
					reason = record.BySignal
				case err != nil:
					reason = lostReason
				default:
					reason = record.ByEnd
				}
				if errors.Is(err, context.Canceled) {
					err = nil
				}
				return reason, err
			}
			w.take(it)
			if w.o.Judged != nil {
				w.o.Judged(w.good)
			}
			select {
			case spare <- it.data:
			default:
			}
		case <-ticks:
			w.beat() // its wish first: the tick below lets a line be held that was dropped for want of ticks
			w.trip.tick()
			w.watchSilence()
			w.publish(false, "")
		case c := <-commands:
			if c == EndPull {
				stop(record.ByPerson)
			} else {
				w.command(c)
			}
		case <-done:
			done = nil
			stop(record.BySignal)
		}
		if w.over() {
			if w.o.Look {
				w.again()
			} else {
				stop(w.course())
			}
		}
		if w.timeIsUp() {
			stop(record.ByTime)
		}
	}
}
