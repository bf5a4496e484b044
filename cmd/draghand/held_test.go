//go:build unix

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// span is a time from and to.
type span struct{ from, to time.Time }

// standstills watches a beat of 1 ms; the function it gives tells when it stayed away for
// longer than calm.
func standstills() func() []span {
	stop, told := make(chan struct{}), make(chan []span)
	go func() {
		tick := time.NewTicker(time.Millisecond)
		defer tick.Stop()
		var out []span
		for last := time.Now(); ; {
			var over bool
			select {
			case <-tick.C:
			case <-stop:
				over = true
			}
			now := time.Now()
			if now.Sub(last) > calm {
				out = append(out, span{last, now})
			}
			if last = now; over {
				told <- out
				return
			}
		}
	}()
	return func() []span { close(stop); return <-told }
}

// waited is how long programs had waited for a processor at times one after the other.
type waited []struct {
	at    time.Time
	total time.Duration
	used  time.Duration // and how long they had one
}

// waits watches how long the threads of programs wait for a processor while others have
// it, as Linux counts it; elsewhere it sees nothing. The function it gives ends that.
func waits(pids ...int) func() waited {
	stop, told := make(chan struct{}), make(chan waited)
	go func() {
		tick := time.NewTicker(10 * time.Millisecond)
		defer tick.Stop()
		type thread struct{ used, waited time.Duration }
		threads := map[string]thread{} // one that ended keeps what it had
		var out waited
		for over := false; !over; {
			select {
			case <-tick.C:
			case <-stop:
				over = true
			}
			for _, pid := range pids {
				all, _ := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/schedstat", pid))
				for _, path := range all {
					var one thread
					if text, err := os.ReadFile(path); err == nil {
						if _, err := fmt.Sscan(string(text), &one.used, &one.waited); err == nil {
							threads[path] = one
						}
					}
				}
			}
			var used, total time.Duration
			for _, one := range threads {
				used, total = used+one.used, total+one.waited
			}
			out = append(out, struct {
				at          time.Time
				total, used time.Duration
			}{time.Now(), total, used})
		}
		told <- out
	}()
	return func() waited { close(stop); return <-told }
}

// between is how long they waited from one time to another, both widened to where that
// was counted.
func (w waited) between(from, to time.Time) time.Duration {
	var before, after time.Duration
	for _, s := range w {
		if s.at.Before(from) {
			before = s.total
		}
		after = s.total
		if s.at.After(to) {
			break
		}
	}
	return after - before
}

// share is how much of one processor they had from the first count to the last.
func (w waited) share() float64 {
	if len(w) < 2 {
		return 0
	}
	first, last := w[0], w[len(w)-1]
	return float64(last.used-first.used) / float64(last.at.Sub(first.at))
}

// What waits for a processor is seen, and by what else is busy.
func TestWaitsAreSeen(t *testing.T) {
	if _, err := os.Stat("/proc/self/schedstat"); err != nil {
		t.Skip("no such counts here: ", err)
	}
	w := waited{}
	for i, total := range []time.Duration{0, 0, 30, 30, 90} {
		w = append(w, struct {
			at          time.Time
			total, used time.Duration
		}{time.Unix(int64(i), 0), total, time.Duration(i) * time.Second / 4})
	}
	for _, c := range []struct {
		from, to float64
		want     time.Duration
	}{{0.5, 0.6, 0}, {1.5, 1.6, 30}, {2.5, 2.6, 0}, {0.5, 3.5, 90}, {3.5, 9, 60}} {
		from, to := time.UnixMilli(int64(c.from*1000)), time.UnixMilli(int64(c.to*1000))
		if got := w.between(from, to); got != c.want {
			t.Errorf("from %v to %v: %d, want %d", c.from, c.to, got, c.want)
		}
	}
	if got := w.share(); got != 0.25 {
		t.Errorf("a share of %v, want a quarter", got)
	}
	for deadline := time.Now().Add(20 * time.Second); ; {
		end := waits(os.Getpid())
		for begun := time.Now(); time.Since(begun) < 200*time.Millisecond; { // this is busy itself
		}
		if end().share() > 0.05 {
			return
		}
		if time.Now().After(deadline) {
			t.Fatal("a busy program is seen to have no processor")
		}
	}
}
