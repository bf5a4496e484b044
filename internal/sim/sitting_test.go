package sim

import (
	"bytes"
	"context"
	"strconv"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/feed"
)

// A sitting idles until it is told to begin, pulls one bar each time, and its
// board counts on through all of it.
func TestSittingPullsWhenTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		o := Options{Rig: exampleRig(t), Seed: 3, Rate: 100}
		f, err := NewSitting(o, func(n int) (*Sim, error) {
			one := o
			one.Seed += uint64(n)
			if n == 0 {
				one.Fault = "let-off"
			}
			return New(one)
		}, 1)
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		var text bytes.Buffer
		peaks := make([]int64, 4) // of each stretch: before, first bar, second bar, waiting past the longest idle
		stretch := 0
		done := make(chan error, 1)
		go func() {
			done <- f.Run(ctx, func(c feed.Chunk) {
				text.Write(c.Data)
				for line := range strings.SplitSeq(strings.TrimSpace(string(c.Data)), "\n") {
					if _, raw, ok := strings.Cut(line, ","); ok {
						v, err := strconv.ParseInt(raw, 10, 64)
						if err != nil {
							t.Errorf("line %q", line)
						}
						peaks[stretch] = max(peaks[stretch], v)
					}
				}
			})
		}()
		<-time.After(2 * time.Hour) // of the bubble's clock
		synctest.Wait()
		for i := range 2 {
			stretch = i + 1
			f.Begin()
			<-time.After(40 * time.Second)
			synctest.Wait()
		}
		cancel()
		if err := <-done; err != nil {
			t.Fatal(err)
		}
		// 4 mA over 250 ohm are 819 counts of 4096 at 5 V; the bars reach some 1100.
		if peaks[0] > 830 || peaks[1] < 900 || peaks[2] < 1000 {
			t.Errorf("largest raw numbers while waiting %d, first bar %d, second %d", peaks[0], peaks[1], peaks[2])
		}
		last, n := uint64(0), 0
		for line := range strings.SplitSeq(strings.TrimSpace(text.String()), "\n") {
			stamp, _, _ := strings.Cut(line, ",")
			v, err := strconv.ParseUint(stamp, 10, 64)
			if err != nil {
				t.Fatalf("line %q", line)
			}
			// 10 ms apart, also where the 32 bits of the clock wrap.
			if d := uint32(v) - uint32(last); n > 0 && (d < 9_900 || d > 10_100) {
				t.Fatalf("line %d: the board's clock went from %d to %d", n, last, v)
			}
			last = v
			n++
		}
		if n < 7_200*100 {
			t.Errorf("%d lines in two hours", n)
		}
	})
}
