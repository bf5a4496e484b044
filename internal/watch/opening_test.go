package watch_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/feed"
	"draghand/internal/rig"
	"draghand/internal/watch"
)

// port is a live source under a test's hand, in the made-up time of a bubble.
type port struct {
	out func(feed.Chunk)
	ctx context.Context
}

func (p port) send(s string) {
	p.out(feed.Chunk{Kind: feed.Data, At: time.Now(), Data: []byte(s)})
}

func (p port) wait(d time.Duration) {
	select {
	case <-time.After(d):
	case <-p.ctx.Done():
	}
}

func (p port) event(k feed.Kind) {
	c := feed.Chunk{Kind: k, At: time.Now(), Torn: k != feed.Lost}
	if k == feed.Lost {
		c.Err = errors.New("unplugged")
	}
	p.out(c)
}

// readings sends lines every 10 ms for d; line makes the one at a time.
func (p port) readings(d time.Duration, line func(at time.Duration) string) {
	for at := time.Duration(0); at < d; at += 10 * time.Millisecond {
		p.send(line(at))
		p.wait(10 * time.Millisecond)
	}
}

// clocked is a board whose clock began at from.
func clocked(from time.Duration) func(time.Duration) string {
	return func(at time.Duration) string { return fmt.Sprintf("%d,%d\n", (from + at).Microseconds(), 820+at/1e7%2) }
}

// bare is a board without a clock.
func bare(at time.Duration) string { return fmt.Sprintf("%d\n", 820+at/1e7%2) }

// livePort runs a pull on a port in made-up time and gives the texts of its
// events, each behind its kind, and the marks of its record.
func livePort(t *testing.T, columns string, act func(port)) (events, marks []string) {
	t.Helper()
	shelf := t.TempDir()
	text := rig.Example()
	if columns == "raw" {
		text = strings.NewReplacer(`columns = ["time", "raw"]`, `columns = ["raw"]`, `clock = "us" `, `# `, "clock_bits = 32", "#").Replace(text)
	}
	r, err := rig.Parse("test", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	var dir string
	synctest.Test(t, func(t *testing.T) {
		w := newWatch(t, watch.Options{
			Rig: r, Specimen: bar(), Shelf: shelf, Listen: func(e watch.Event) {
				words := string(e.Kind)
				if e.Alarm != nil {
					words += fmt.Sprintf(" blind=%v returned=%v", e.Alarm.Blind, e.Alarm.Returned)
				}
				if e.Kind != "peak" {
					events = append(events, fmt.Sprintf("%.1f %s: %s", e.T.Seconds(), words, e.Text))
				}
			},
			Feed: scripted(func(ctx context.Context, out func(feed.Chunk)) error {
				p := port{out, ctx}
				p.event(feed.Opened)
				act(p)
				return nil
			}),
		})
		res := w.Run(t.Context())
		if res.Save != nil || res.Source != nil {
			t.Errorf("save %v, source %v", res.Save, res.Source)
		}
		dir = res.Record
	})
	samples, err := os.ReadFile(filepath.Join(dir, "samples.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(samples)) {
		f := strings.SplitN(strings.TrimSpace(line), ",", 4)
		if len(f) == 4 && f[3] != "" && f[3] != "note" {
			marks = append(marks, f[0]+" "+f[3])
		}
	}
	return events, marks
}

// has says whether one of the words stands in one of the texts.
func has(texts []string, word string) bool {
	for _, s := range texts {
		if strings.Contains(s, word) {
			return true
		}
	}
	return false
}

// Opening a port resets many boards. For 3 s that is no silence, and it is said.
func TestBoardRestartsAtOpening(t *testing.T) {
	const banner = "boot loader 2.1\r\npull rig board 3\r\nmicros,counts\r\n"
	const said = "the board restarted when the port was opened: its first reading came after "
	rows := []struct {
		name, columns string
		act           func(port)
		restart       string // after how long it is said to have come; empty: not said
		silent        bool
	}{
		{"a greeting after 1.5 s", "time,raw", func(p port) {
			p.wait(1500 * time.Millisecond)
			p.send(banner)
			p.readings(3*time.Second, clocked(0))
		}, "1.5 s", false},
		{"no greeting, a young clock, at the last moment", "time,raw", func(p port) {
			p.wait(2800 * time.Millisecond)
			p.send("\n")
			p.readings(2*time.Second, clocked(800*time.Millisecond))
		}, "2.8 s", false},
		{"no greeting, no clock", "raw", func(p port) {
			p.wait(2 * time.Second)
			p.send("\n")
			p.readings(2*time.Second, bare)
		}, "2.0 s", false},
		{"a greeting, no clock", "raw", func(p port) {
			p.wait(700 * time.Millisecond)
			p.send("\nready\n")
			p.readings(2*time.Second, bare)
		}, "0.7 s", false},
		{"there at once", "time,raw", func(p port) {
			p.wait(100 * time.Millisecond)
			p.send("\n")
			p.readings(4*time.Second, clocked(0))
		}, "", false},
		{"late, but its clock ran on", "time,raw", func(p port) {
			p.wait(900 * time.Millisecond)
			p.send("\n")
			p.readings(2*time.Second, clocked(time.Hour))
		}, "", false},
		{"slow and no clock", "raw", func(p port) {
			p.wait(600 * time.Millisecond)
			for i := range 4 {
				p.send("\n" + bare(time.Duration(i)))
				p.wait(400 * time.Millisecond)
			}
		}, "", false},
		{"a few lines before it restarts", "time,raw", func(p port) {
			p.send("\n")
			p.readings(50*time.Millisecond, clocked(time.Hour))
			p.wait(1500 * time.Millisecond)
			p.send(banner)
			p.readings(2*time.Second, clocked(0))
		}, "", false},
		{"a few lines, and never again", "time,raw", func(p port) {
			p.send("\n")
			p.readings(50*time.Millisecond, clocked(0))
			p.wait(3200 * time.Millisecond)
		}, "", true},
		{"silent later", "time,raw", func(p port) {
			p.send("\n")
			p.readings(time.Second, clocked(0))
			p.wait(600 * time.Millisecond)
			p.readings(time.Second, clocked(1600*time.Millisecond))
		}, "", true},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			events, marks := livePort(t, r.columns, r.act)
			if r.restart == "" && has(events, said) || r.restart != "" && !has(events, said+r.restart) {
				t.Errorf("want a restart of %q:\n%s", r.restart, strings.Join(events, "\n"))
			}
			if has(marks, "silent") != r.silent {
				t.Errorf("silent marked %v, want %v: %v", !r.silent, r.silent, marks)
			}
		})
	}
}

// The same after the source came back: the gap is marked, the board has its 3 s,
// the alarm of the loss stands meanwhile and returns after half a second of
// readings.
func TestBoardRestartsAtReconnection(t *testing.T) {
	loaded := func(from time.Duration) func(time.Duration) string {
		return func(at time.Duration) string {
			return fmt.Sprintf("%d,%d\n", (from + at).Microseconds(), 1400+at/1e7%2)
		}
	}
	events, marks := livePort(t, "time,raw", func(p port) {
		p.send("\n")
		p.readings(3*time.Second, clocked(time.Minute))
		p.readings(2*time.Second, loaded(time.Minute+3*time.Second))
		p.send("65000000,14") // cut off
		p.event(feed.Lost)
		p.wait(250 * time.Millisecond)
		p.event(feed.Back)
		p.send("00\nboot loader 2.1\n") // 1400 would be a reading
		p.wait(1800 * time.Millisecond)
		p.send("micros,counts\n")
		p.readings(2*time.Second, loaded(0))
	})
	text := strings.Join(events, "\n")
	at := -1
	for _, want := range []string{
		"5.0 lost: the source went away", "5.0 alarm blind=true returned=false", "the board restarted when the port was opened: its first reading came after 1.8 s",
		"back: the force is seen again", "alarm blind=true returned=true",
	} {
		i := strings.Index(text[at+1:], want)
		if i < 0 {
			t.Fatalf("no %q, or not in order:\n%s", want, text)
		}
		at += i + 1
	}
	if len(marks) < 3 || !strings.Contains(marks[0], "lost text=") || !strings.HasSuffix(marks[1], " back") || !strings.HasSuffix(marks[2], " reset") {
		t.Errorf("marks %q, want lost, back, reset", marks)
	}
	if has(marks, "silent") || has(marks, "bad") {
		t.Errorf("marks %q: nobody was silent, and no line bad", marks)
	}
}

// A port that comes back as another one is said in the record.
func TestBackUnderAnotherName(t *testing.T) {
	events, marks := livePort(t, "time,raw", func(p port) {
		p.event(feed.Lost)
		p.out(feed.Chunk{Kind: feed.Back, At: time.Now(), Torn: true, Note: "the same board is now /dev/ttyUSB1"})
	})
	if !has(marks, "back text=the same board is now /dev/ttyUSB1") {
		t.Errorf("marks %q", marks)
	}
	if !has(events, "fault: the source is back: the same board is now /dev/ttyUSB1") {
		t.Errorf("events %q", events)
	}
}

// What bad lines come from is said once, if there are many.
func TestBadLinesAreExplained(t *testing.T) {
	// thief lets every second byte block of n pass.
	thief := func(n int) func(port) {
		return func(p port) {
			var all []byte
			for i := range 1000 {
				all = fmt.Appendf(all, "%d,%d\n", 3600_000_000+i*5000, 820+i%2)
			}
			p.send("\n3599995000,820\n")
			for i := 0; i+2*n < len(all); i += 2 * n {
				p.send(string(all[i : i+n]))
				p.wait(time.Duration(n) * 600 * time.Microsecond) // 200 lines of 15 bytes a second, half of them
			}
		}
	}
	spoilt := func(every int, line string, pause time.Duration) func(port) {
		return func(p port) {
			p.send("\n")
			for i := range int(5 * time.Second / pause) {
				if i%every == every-1 {
					p.send(line)
				} else {
					p.send(clocked(time.Duration(i) * pause)(0))
				}
				p.wait(pause)
			}
		}
	}
	rows := []struct {
		name string
		act  func(port)
		want string
	}{
		{"two readers", thief(20), "lines are torn: another program may be reading this port; close it"},
		{"two readers, small pieces", thief(7), "lines are torn: another program may be reading this port; close it"},
		{"noise", spoilt(2, "\x80\xfe\x01,8\n", 5*time.Millisecond), "lines are no text: look at the baud rate"},
		{"a clock that jumps", func(p port) {
			p.send("\n")
			for i := range 1000 {
				p.send(clocked(time.Duration(1+i%2) * time.Hour)(0))
				p.wait(5 * time.Millisecond)
			}
		}, ""},
		{"one line in ten", spoilt(10, "12\n", 5*time.Millisecond), ""},
		{"a slow board", spoilt(2, "12\n", 200*time.Millisecond), ""},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			events, _ := livePort(t, "time,raw", r.act)
			text := strings.Join(events, "\n")
			if n := strings.Count(text, " of the last "); r.want == "" && n > 0 || r.want != "" && (n != 1 || !strings.Contains(text, r.want)) {
				t.Errorf("said %d times, want once %q:\n%s", n, r.want, text)
			}
		})
	}
}
