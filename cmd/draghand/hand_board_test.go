//go:build unix

package main

import (
	"fmt"
	"os"
	"sync/atomic"
	"testing"
	"time"

	"github.com/creack/pty"
)

// handBoard is a board of the example rig whose force stands where the test wants it,
// for as long as that is looked at: what a screen shows of a simulated pull may be over
// before it was drawn, where the machine stands still for a second.
type handBoard struct {
	device *os.File
	want   atomic.Int64 // counts
	broken atomic.Bool
}

// The example rig's counts without load, and of each kN on the specimen: twice that at
// the ram of 42 cm², 700 bar on 3276.8 counts.
const (
	restCounts  = 820
	countsPerKN = 2e3 / 42e-4 / 70e6 * 3276.8
)

func newHandBoard(t *testing.T) *handBoard {
	t.Helper()
	port, device, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	b := &handBoard{device: device}
	b.want.Store(restCounts)
	done := make(chan struct{})
	t.Cleanup(func() {
		port.Close()
		<-done
		device.Close()
	})
	go func() {
		defer close(done)
		tick := time.NewTicker(5 * time.Millisecond)
		defer tick.Stop()
		raw := int64(restCounts)
		for i := 0; ; i++ {
			if b.broken.Load() {
				raw = restCounts
			} else if want := b.want.Load(); i%2 == 0 && i > 600 && raw < want { // after the quiet for a zero
				raw++
			}
			if _, err := fmt.Fprintf(port, "%d,%d\n", i*5000, raw+int64(i%2)); err != nil {
				return
			}
			<-tick.C
		}
	}()
	return b
}

func (b *handBoard) from() string { return "serial:" + b.device.Name() }

// load pumps to a force on the specimen at 4.5 kN/s.
func (b *handBoard) load(kN float64) { b.want.Store(restCounts + int64(kN*countsPerKN)) }

// breaks lets the bar break.
func (b *handBoard) breaks() { b.broken.Store(true) }
