package watch_test

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"draghand/internal/feed"
	"draghand/internal/record"
	"draghand/internal/watch"
)

// --for is time on the wall, however many bad lines a second there are: the
// record's time must not stand still while they are marked.
func TestForUnderAFloodOfBadLines(t *testing.T) {
	const wanted = time.Second
	flood := bytes.Repeat([]byte("x\n"), 4<<10)
	w := newWatch(t, watch.Options{
		Rig: exampleRig(t), Shelf: t.TempDir(), For: wanted,
		Feed: scripted(func(ctx context.Context, out func(feed.Chunk)) error {
			begun := time.Now()
			out(feed.Chunk{Kind: feed.Opened, At: begun, Torn: true})
			for ctx.Err() == nil {
				if time.Since(begun) > 4*time.Second {
					return errors.New("the time is long over")
				}
				out(feed.Chunk{Kind: feed.Data, At: time.Now(), Data: flood})
			}
			return nil
		}),
	})
	begun := time.Now()
	res := w.Run(t.Context())
	took := time.Since(begun)
	if res.Reason != record.ByTime || res.Source != nil || res.Save != nil {
		t.Errorf("reason %q, source %v, save %v", res.Reason, res.Source, res.Save)
	}
	// What was read by then is still taken, and the record put on the disk.
	if took > wanted+time.Second {
		t.Errorf("ended after %v, want %v", took, wanted)
	}
	// The record's time is that of the wall, less what closing took.
	if now := w.Snapshot().Now; now < wanted*9/10 {
		t.Errorf("the record's time at the end is %v after %v on the wall", now, took)
	}
	if res.State.BadLines < 10_000 {
		t.Errorf("only %d bad lines: the test shows nothing", res.State.BadLines)
	}
}

// Bytes come, but no line end: that is said, once, with their number.
func TestBytesWithoutALineEnd(t *testing.T) {
	type row struct {
		name  string
		first string // sent first
		each  []byte // then, again and again
		pause time.Duration
		told  bool
	}
	rows := []row{
		{"much", "", bytes.Repeat([]byte{0xf8}, 512), 20 * time.Millisecond, true},
		{"a byte now and then", "", []byte("U"), 700 * time.Millisecond, true},
		{"after lines that were read", "\n" + string(lines(0, 100)), []byte("U"), 100 * time.Millisecond, true},
		{"bad lines", "\n", []byte("x\r"), 100 * time.Millisecond, false},
		{"readings cut anywhere", "\n", []byte("1,820\n1"), 100 * time.Millisecond, false},
		{"half a line, then silence", "\n" + string(lines(0, 100)) + "1000", nil, time.Hour, false},
	}
	type heard struct {
		told []string
		res  watch.Result
	}
	all := make([]heard, len(rows))
	// At the same time, whatever the number of processors: they mostly wait.
	var wait sync.WaitGroup
	for i, c := range rows {
		w := newWatch(t, watch.Options{
			Rig: exampleRig(t), Shelf: t.TempDir(), For: 4 * time.Second,
			Listen: func(e watch.Event) {
				if strings.Contains(e.Text, "no line end") {
					if e.T < 2900*time.Millisecond {
						t.Errorf("%s: told at %v of the record", c.name, e.T)
					}
					all[i].told = append(all[i].told, string(e.Kind)+": "+e.Text)
				}
			},
			Feed: scripted(func(ctx context.Context, out func(feed.Chunk)) error {
				out(feed.Chunk{Kind: feed.Opened, At: time.Now(), Torn: true})
				out(feed.Chunk{Kind: feed.Data, At: time.Now(), Data: []byte(c.first)})
				for {
					select {
					case <-ctx.Done():
						return nil
					case <-time.After(c.pause):
					}
					out(feed.Chunk{Kind: feed.Data, At: time.Now(), Data: c.each})
				}
			}),
		})
		wait.Go(func() { all[i].res = w.Run(t.Context()) })
	}
	wait.Wait()
	for i, c := range rows {
		t.Run(c.name, func(t *testing.T) {
			told, res := all[i].told, all[i].res
			if res.Reason != record.ByTime || res.Save != nil || res.Source != nil {
				t.Errorf("reason %q, save %v, source %v", res.Reason, res.Save, res.Source)
			}
			if !c.told {
				if len(told) != 0 {
					t.Errorf("told %q", told)
				}
				return
			}
			if len(told) != 1 || !strings.HasPrefix(told[0], "fault: ") || !strings.Contains(told[0], " bytes came and no line end: wrong baud rate, or not this board") {
				t.Errorf("told %q, want it once", told)
			}
		})
	}
}
