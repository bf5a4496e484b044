//go:build linux || darwin || freebsd || openbsd

package ptylink

import (
	"bytes"
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"draghand/internal/rig"
	"draghand/internal/sim"
)

// patience is how long a test waits for what must come at once; generous,
// since the machines are shared.
const patience = 20 * time.Second

// served is a Serve in the background.
type served struct {
	t      *testing.T
	link   string
	ready  chan struct{} // one for each time the link is there
	cancel context.CancelFunc
	ended  chan error
	mu     sync.Mutex
	log    bytes.Buffer
	pulls  []int
}

func (s *served) Write(b []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.log.Write(b)
}

func (s *served) logText() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.log.String()
}

func exampleRig(t testing.TB) *rig.Rig {
	t.Helper()
	r, err := rig.Parse("example.toml", []byte(rig.Example()))
	if err != nil {
		t.Fatalf("the example rig: %v", err)
	}
	return r
}

func serve(t *testing.T, so sim.Options, o Options) *served {
	t.Helper()
	so.Rig = exampleRig(t)
	ctx, cancel := context.WithCancel(context.Background())
	s := &served{t: t, link: filepath.Join(t.TempDir(), "board"), ready: make(chan struct{}, 100), cancel: cancel, ended: make(chan error, 1)}
	o.Log = s
	o.Ready = func(string) { s.ready <- struct{}{} }
	go func() {
		s.ended <- Serve(ctx, s.link, func(n int) (*sim.Sim, error) {
			s.mu.Lock()
			s.pulls = append(s.pulls, n)
			s.mu.Unlock()
			one := so
			one.Seed += uint64(n)
			return sim.New(one)
		}, o)
	}()
	t.Cleanup(func() {
		cancel()
		s.stop()
	})
	return s
}

// stop waits for Serve to end.
func (s *served) stop() {
	s.t.Helper()
	s.cancel()
	select {
	case err := <-s.ended:
		if err != nil {
			s.t.Errorf("Serve: %v", err)
		}
		s.ended <- nil
	case <-time.After(patience):
		s.t.Error("Serve does not end")
	}
}

// open opens the link once it is there.
func (s *served) open() *os.File {
	s.t.Helper()
	select {
	case <-s.ready:
	case <-time.After(patience):
		s.t.Fatal("the link does not come")
	}
	f, err := os.OpenFile(s.link, os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { f.Close() })
	if err := f.SetReadDeadline(time.Now().Add(patience)); err != nil {
		s.t.Fatal(err)
	}
	return f
}

// readUntil reads until done says so of all bytes so far.
func readUntil(t *testing.T, f *os.File, done func([]byte) bool) []byte {
	t.Helper()
	all, err := readSome(f, done)
	if err != nil {
		t.Fatalf("after %d bytes: %v", len(all), err)
	}
	return all
}

// readSome reads until done, or until nothing more can be read.
func readSome(f *os.File, done func([]byte) bool) (all []byte, err error) {
	buf := make([]byte, 64<<10)
	for !done(all) {
		n, err := f.Read(buf)
		all = append(all, buf[:n]...)
		if err != nil {
			return all, err
		}
	}
	return all, nil
}

// logged are the lines of the log, its rows and its comments apart.
func logged(t *testing.T, text string) (lines []string, rows [][]string, comments []string) {
	t.Helper()
	var table strings.Builder
	for l := range strings.Lines(text) {
		if strings.HasPrefix(l, "#") {
			comments = append(comments, strings.TrimSpace(l))
			continue
		}
		table.WriteString(l)
	}
	rows, err := csv.NewReader(strings.NewReader(table.String())).ReadAll()
	if err != nil {
		t.Fatalf("the log is no CSV: %v", err)
	}
	if got := strings.Join(rows[0], ",") + "\n"; got != journalHeader {
		t.Fatalf("the log's header is %q", got)
	}
	for _, r := range rows[1:] {
		lines = append(lines, r[1])
	}
	return lines, rows[1:], comments
}

func hasComment(comments []string, words string) bool {
	return slices.ContainsFunc(comments, func(c string) bool { return strings.HasPrefix(c, "# "+words) })
}

// whole are the lines read: the empty first one off, an unfinished last one too.
func whole(t *testing.T, got []byte) []string {
	t.Helper()
	if len(got) == 0 || got[0] != '\n' {
		t.Fatalf("the first bytes are %q, want an empty line", got[:min(len(got), 40)])
	}
	end := bytes.LastIndexByte(got, '\n')
	if end == 0 {
		return nil
	}
	return strings.Split(string(got[1:end]), "\n")
}

// waitFor waits for a condition.
func waitFor(t *testing.T, what string, ok func() bool) {
	t.Helper()
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	deadline := time.After(patience)
	for !ok() {
		select {
		case <-tick.C:
		case <-deadline:
			t.Fatalf("waited in vain for %s", what)
		}
	}
}

// heldUp is how long a clock must have stood still for others to be blamed. How many of
// its beats were missed tells nothing: what is tested runs in the same process, and
// takes them itself where it burns the processor.
const heldUp = 20 * time.Millisecond

// watchClock watches how late a 1 ms tick comes; the function it gives ends
// that and tells the longest gap.
func watchClock() func() time.Duration {
	stop, gap := make(chan struct{}), make(chan time.Duration)
	go func() {
		tick := time.NewTicker(time.Millisecond)
		defer tick.Stop()
		var longest time.Duration
		last := time.Now()
		for {
			select {
			case <-tick.C:
				now := time.Now()
				longest, last = max(longest, now.Sub(last)), now
			case <-stop:
				gap <- max(longest, time.Since(last))
				return
			}
		}
	}()
	return func() time.Duration { close(stop); return <-gap }
}
