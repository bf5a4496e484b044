package watch_test

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/feed"
	"draghand/internal/record"
	"draghand/internal/watch"
)

// --for is time on the wall, however many bad lines a second there are: the
// record's time must not stand still while they are marked.
//
// How late the end comes is counted in chunks, not on the wall: a machine that stands
// still for a second takes none meanwhile, and the disk may be slow with the record.
func TestForUnderAFloodOfBadLines(t *testing.T) {
	const (
		wanted = time.Second
		least  = 3   // chunks sent in any case: enough to show something
		queue  = 64  // chunks that wait for the pull at most
		most   = 300 // sent after the time is over
	)
	flood := bytes.Repeat([]byte("x\n"), 4<<10)
	late := 0                  // chunks sent after the time was over
	var begun, ended time.Time // of the feed
	w := newWatch(t, watch.Options{
		Rig: exampleRig(t), Shelf: t.TempDir(), For: wanted,
		Feed: scripted(func(ctx context.Context, out func(feed.Chunk)) error {
			begun = time.Now()
			out(feed.Chunk{Kind: feed.Opened, At: begun, Torn: true})
			for n := 0; n < least || ctx.Err() == nil; n++ {
				at := time.Now()
				if at.Sub(begun) >= wanted {
					late++
				}
				if late > most {
					return errors.New("the time is long over")
				}
				out(feed.Chunk{Kind: feed.Data, At: at, Data: flood})
			}
			ended = time.Now()
			return nil
		}),
	})
	res := w.Run(t.Context())
	if res.Reason != record.ByTime || res.Source != nil || res.Save != nil {
		t.Errorf("reason %q, source %v, save %v", res.Reason, res.Source, res.Save)
	}
	// The chunk in work when the time is over, what the queue takes meanwhile, and the
	// one that waits to get into it.
	if late > queue+least {
		t.Errorf("ended %d chunks after the time was over", late)
	}
	// The record's time is that of the wall, less what closing took.
	if now := w.Snapshot().Now; now < ended.Sub(begun)*9/10 {
		t.Errorf("the record's time at the end is %v after %v on the wall", now, ended.Sub(begun))
	}
	t.Logf("ended %d chunks after the time was over, %v after it began", late, ended.Sub(begun).Round(time.Millisecond))
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
	for _, c := range rows {
		t.Run(c.name, func(t *testing.T) {
			var told []string
			var res watch.Result
			synctest.Test(t, func(t *testing.T) {
				w := newWatch(t, watch.Options{
					Rig: exampleRig(t), Shelf: t.TempDir(), For: 4 * time.Second,
					Listen: func(e watch.Event) {
						if strings.Contains(e.Text, "no line end") {
							if e.T < 2900*time.Millisecond {
								t.Errorf("told at %v of the record", e.T)
							}
							told = append(told, string(e.Kind)+": "+e.Text)
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
				res = w.Run(t.Context())
			})
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
