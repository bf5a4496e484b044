//go:build unix

package main

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"draghand/internal/record"
	"draghand/internal/rig"
)

// kills is how often TestKillLong kills; a few of them in the short run.
const kills = 50

// kill −9 at a random moment: every reading older than 50 ms is in the record,
// and check says what is whole.
func TestKillShort(t *testing.T) { killAndLook(t, 2) }

func TestKillLong(t *testing.T) {
	if os.Getenv("DRAGHAND_LONG") == "" {
		t.Skip("takes two minutes: set DRAGHAND_LONG")
	}
	killAndLook(t, kills)
}

// calm is how long a beat of 1 ms may have stayed away for a kill to be judged. Where it
// was longer the machine was at something else, which may have held up the reader too.
const calm = 20 * time.Millisecond

// heldUp watches such a beat; the function it gives tells for how long it stayed away at
// most.
func heldUp() func() time.Duration {
	stop, told := make(chan struct{}), make(chan time.Duration)
	go func() {
		tick := time.NewTicker(time.Millisecond)
		defer tick.Stop()
		longest, last := time.Duration(0), time.Now()
		for {
			select {
			case <-tick.C:
				now := time.Now()
				longest, last = max(longest, now.Sub(last)), now
			case <-stop:
				told <- max(longest, time.Since(last))
				return
			}
		}
	}()
	return func() time.Duration { close(stop); return <-told }
}

// killAndLook judges that many kills of calm moments, of up to five times as many: all
// of them by what is in the record, the calm ones by what is not.
func killAndLook(t *testing.T, times int) {
	dir := t.TempDir()
	link, log, rigFile := filepath.Join(dir, "board"), filepath.Join(dir, "log"), filepath.Join(dir, "r.toml")
	if err := os.WriteFile(rigFile, []byte(rig.Example()), 0o600); err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, uint64(times)))
	worst, least, judged, killed := time.Duration(0), time.Hour, 0, 0
	for i := 0; judged < times && i < 5*times; i++ {
		// A board of its own each time, so that the log is of this pull alone.
		board := start(t, dir, "simulate", "--link", link, "--log", log, "--rate", "1000", "--seed", strconv.Itoa(i+1))
		board.Stderr = nil
		if err := board.Start(); err != nil {
			t.Fatal(err)
		}
		waitFor(t, 5*time.Second, "the port", func() bool { _, err := os.Stat(link); return err == nil })
		shelf := filepath.Join(dir, "shelf"+strconv.Itoa(i))
		w := start(t, dir, "watch", "--rig", rigFile, "--from", "serial:"+link, "--headless", "--data", shelf)
		if err := w.Start(); err != nil {
			t.Fatal(err)
		}
		waitFor(t, 10*time.Second, "readings", func() bool {
			found, _ := filepath.Glob(filepath.Join(shelf, "*", "samples.csv"))
			if len(found) != 1 {
				return false
			}
			s, err := os.Stat(found[0])
			return err == nil && s.Size() > 2000
		})
		timer := time.NewTimer(time.Duration(rng.Int64N(int64(1500 * time.Millisecond))))
		<-timer.C
		held := heldUp()
		timer.Reset(200 * time.Millisecond) // beyond what may be missing
		<-timer.C
		if err := w.Process.Signal(syscall.SIGKILL); err != nil {
			t.Fatal(err)
		}
		_ = w.Wait()
		gap := held()
		w.Process = nil
		_ = board.Process.Signal(os.Interrupt)
		_ = board.Wait()
		board.Process = nil
		_ = os.Remove(link)

		rec := recorded(t, onlyRecord(t, shelf))
		lines, _ := readLog(t, log, 1)
		lost, err := missing(lines, rec)
		if err != nil || len(lost) > 0 {
			t.Fatalf("kill %d: %d lines lost in the middle (%v)", i, len(lost), err)
		}
		// The log ends when the reader was gone; what is missing at the end is
		// what had not reached the kernel yet.
		last := rec[len(rec)-1]
		tail := time.Duration(0)
		for j := len(lines) - 1; j >= 0; j-- {
			if lines[j].dev == last[0] {
				tail = time.Duration((lines[len(lines)-1].t - lines[j].t) * float64(time.Second))
				break
			}
		}
		t.Logf("kill %d: %v of readings missing at the end, the test was held up for %v at most", i, tail.Round(time.Millisecond), gap.Round(time.Millisecond))
		killed, least = i+1, min(least, gap)
		if gap < calm {
			judged, worst = judged+1, max(worst, tail)
		}
		report := record.Check(onlyRecord(t, shelf))
		if !report.Intact() {
			t.Fatalf("kill %d: %s", i, report.Text())
		}
		out, err := exec.Command(program(t), "check", onlyRecord(t, shelf)).CombinedOutput()
		if err != nil || !strings.Contains(string(out), "unfinished") {
			t.Fatalf("kill %d: check: %v: %s", i, err, out)
		}
	}
	if judged == 0 {
		t.Skipf("%d records are whole; what is missing at their ends cannot be judged: the machine held up the test for %v at least at each kill",
			killed, least.Round(time.Millisecond))
	}
	t.Logf("%d kills, %d of them in a calm moment: at most %v of readings missing at the end", killed, judged, worst.Round(time.Millisecond))
	// 50 ms for the record, and what the board had sent into the port's buffer
	// while the reader was being killed.
	if worst > 100*time.Millisecond {
		t.Errorf("%v of readings missing at the end, at most 50 ms and the time of the kill itself", worst)
	}
}
