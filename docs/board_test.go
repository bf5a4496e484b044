package docs_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"draghand/internal/feed"
	"draghand/internal/wire"
)

// missing says or fails that the test of the board cannot run here: where
// DRAGHAND_NEED_BOARD is set, as in CI, it may not be left out.
func missing(t *testing.T, format string, args ...any) {
	t.Helper()
	why := fmt.Sprintf(format, args...)
	if os.Getenv("DRAGHAND_NEED_BOARD") != "" {
		t.Fatal(why)
	}
	t.Skip(why)
}

func compile(t *testing.T, name string, args ...string) {
	t.Helper()
	if out, err := exec.CommandContext(t.Context(), name, args...).CombinedOutput(); err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
}

// TestSketchOnAChip is the board sketch as real firmware: compiled, run on a
// simulated chip, and read through a pseudo-terminal by the program's own feed
// and decoder. (libsimavr is under the GNU GPL, version 3; the harness is built
// for this test alone and nothing of it is shipped.)
func TestSketchOnAChip(t *testing.T) {
	for _, tool := range []string{"avr-gcc", "gcc"} {
		if _, err := exec.LookPath(tool); err != nil {
			missing(t, "needs %s (apt-get install gcc-avr avr-libc gcc)", tool)
		}
	}
	if _, err := os.Stat("/usr/include/simavr/sim_avr.h"); err != nil {
		missing(t, "needs the chip simulator (apt-get install libsimavr-dev)")
	}
	const (
		sketch  = "../testdata/board/sketch.c"
		rate    = 200.0
		startMV = 1000.0
		slopeMV = 500.0 // a second
		seconds = 4.0
	)
	dir := t.TempDir()
	elf, sim, link := filepath.Join(dir, "sketch.elf"), filepath.Join(dir, "sim"), filepath.Join(dir, "board")
	compile(t, "avr-gcc", "-mmcu=atmega328p", "-Os", "-std=gnu99", "-Wall", "-Wextra", "-Werror", "-o", elf, sketch)
	compile(t, "gcc", "-O2", "-Wall", "-Wextra", "-Werror", "-o", sim, "../testdata/board/sim.c", "-lsimavr")
	tooFast := exec.CommandContext(t.Context(), "avr-gcc", "-mmcu=atmega328p", "-std=gnu99", "-DRATE=500", "-o", os.DevNull, sketch)
	if out, err := tooFast.CombinedOutput(); err == nil || !strings.Contains(string(out), "a line outlasts a period") {
		t.Errorf("a rate the line cannot carry compiles: %v\n%s", err, out)
	}

	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	defer cancel()
	board := exec.CommandContext(ctx, sim, elf, link, fmt.Sprint(seconds), fmt.Sprint(startMV), fmt.Sprint(slopeMV))
	var said strings.Builder
	board.Stderr = &said
	if err := board.Start(); err != nil {
		t.Fatal(err)
	}
	look := time.NewTicker(time.Millisecond)
	defer look.Stop()
	for {
		if _, err := os.Lstat(link); err == nil {
			break
		}
		select {
		case <-look.C:
		case <-ctx.Done():
			t.Fatal("the simulator made no port")
		}
	}

	type reading struct {
		us  int64
		raw float64
	}
	var got []reading
	d, err := wire.NewDecoder(wire.Layout{Columns: []string{"time", "raw"}, Tick: time.Microsecond, ClockBits: 32})
	if err != nil {
		t.Fatal(err)
	}
	f, err := feed.Open("serial:"+link, feed.Options{})
	if err != nil {
		t.Fatal(err)
	}
	err = f.Run(ctx, func(c feed.Chunk) {
		switch c.Kind {
		case feed.Opened:
			if c.Torn {
				d.Restart()
			}
		case feed.Lost: // the board's time is over
			cancel()
		case feed.Data:
			d.Decode(c.Data, func(l *wire.Line) {
				if l.Kind != wire.Good {
					t.Errorf("a %v line: %q", l.Kind, l.Text)
					return
				}
				got = append(got, reading{l.Dev.Microseconds(), l.Raw})
			})
		}
	})
	if err != nil && !errors.Is(err, context.Canceled) {
		t.Fatal(err)
	}
	_ = board.Wait() // it may have been cancelled an instant before its own end

	// The reader comes when the board already runs, later on a busy machine, and the
	// last bytes may be lost with the port: of what was sent from then on most must be there.
	if len(got) == 0 {
		t.Fatalf("no readings; simulator: %s", said.String())
	}
	left := rate * (seconds - float64(got[0].us)/1e6)
	if least := int(0.5 * left); left < rate || len(got) < least {
		t.Fatalf("%d readings of %.0f, want at least %d, and a second of them; simulator: %s", len(got), left, least, said.String())
	}
	// The simulated converter makes 1023 of its supply where the chip's sheet
	// has 1024, so 16 conversions make 4092. Four counts: 16 conversions cut off after the point make the sum 2 low on
	// average, the simulator's pattern and its whole millivolts add a little.
	const counts = 4.0
	worst := 0.0
	for i, r := range got {
		if i > 0 && r.us-got[i-1].us != 1e6/rate {
			t.Fatalf("reading %d comes %d µs after the one before, want %g", i, r.us-got[i-1].us, 1e6/rate)
		}
		want := (startMV + slopeMV*float64(r.us)/1e6) / 5000 * 4092
		worst = max(worst, math.Abs(r.raw-want))
	}
	if worst > counts {
		t.Errorf("a reading is %.1f counts off the ramp, want at most %g", worst, counts)
	}
	t.Logf("%d readings, %g a second by the board's clock, worst %.1f counts off", len(got), rate, worst)
}
