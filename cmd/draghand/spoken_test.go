//go:build unix

package main

import (
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"draghand/internal/picture"
)

// talk is a run of the program that is spoken with: lines in, lines out.
type talk struct {
	t   *testing.T
	cmd *exec.Cmd
	in  io.WriteCloser

	mu   sync.Mutex
	text string
	read int // how far hear has got
}

func startTalk(t *testing.T, dir string, args ...string) *talk {
	t.Helper()
	k := &talk{t: t, cmd: start(t, dir, args...)}
	var err error
	if k.in, err = k.cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	k.cmd.Stdout = k
	if err := k.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return k
}

func (k *talk) Write(b []byte) (int, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.text += string(b)
	return len(b), nil
}

// hear waits for words, in order, in what was said since the last time.
func (k *talk) hear(words ...string) {
	k.t.Helper()
	for _, w := range words {
		deadline := time.Now().Add(30 * time.Second)
		for tick := time.NewTicker(10 * time.Millisecond); ; <-tick.C {
			k.mu.Lock()
			at := strings.Index(k.text[k.read:], w)
			if at >= 0 {
				k.read += at + len(w)
				k.mu.Unlock()
				break
			}
			said := k.text
			k.mu.Unlock()
			if time.Now().After(deadline) {
				k.t.Fatalf("never heard %q; said was:\n%s", w, said)
			}
		}
	}
}

// hearOne waits for the first of some words and gives its place.
func (k *talk) hearOne(words ...string) (which int) {
	k.t.Helper()
	deadline := time.Now().Add(30 * time.Second)
	for tick := time.NewTicker(10 * time.Millisecond); ; <-tick.C {
		k.mu.Lock()
		said, first := k.text, -1
		for i, w := range words {
			if at := strings.Index(said[k.read:], w); at >= 0 && (first < 0 || at < first) {
				which, first = i, at
			}
		}
		if first >= 0 {
			k.read += first + len(words[which])
			k.mu.Unlock()
			return which
		}
		k.mu.Unlock()
		if time.Now().After(deadline) {
			k.t.Fatalf("never heard any of %q; said was:\n%s", words, said)
		}
	}
}

// mostTries is how often a person would tell what the reference shows, where the
// reading never stands still when the answer comes.
const mostTries = 5

// point tells what the reference shows when that is asked in some words, until it is
// taken in others: once more where the reading stood still no longer when the answer
// came, since a busy machine can hold up either.
func (k *talk) point(asked, load, taken string) {
	k.t.Helper()
	for range mostTries {
		k.hear(asked)
		k.tell(load)
		if k.hearOne(taken, "no point taken: ") == 0 {
			return
		}
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	k.t.Fatalf("%s was refused %d times; said was:\n%s", load, mostTries, k.text)
}

func (k *talk) tell(line string) {
	k.t.Helper()
	if _, err := io.WriteString(k.in, line+"\n"); err != nil {
		k.t.Fatal(err)
	}
}

// A pull can be led to its end by typed words alone: a stop is told again until
// it is acknowledged, the limits are told, and the end under load asks first.
func TestPlainIsSpokenWith(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	file := weakRig(t, dir, `"48 kN"`, `"20 kN"`)
	board := newHandBoard(t)
	k := startTalk(t, dir, "watch", "--plain", "--every", "0", "--rig", file, "--from", board.from(), "--diameter", "12.5 mm", "--data", filepath.Join(dir, "shelf"))
	k.hear("zero")
	k.tell("h")
	k.hear("a   acknowledge the alarms")
	k.tell("frob")
	k.hear(`"frob" is no word known here`)
	k.tell("l")
	k.hear("link bar: 0 %", "of 4,496 lbf", "no known limit: pins")
	board.load(21)
	k.hear("STOP")
	k.hear("STILL NOT ACKNOWLEDGED: STOP: link bar", "release the pressure")
	k.tell("a")
	k.hear("acknowledged: STOP of link bar")
	k.tell("z")
	k.hear("no zero under load")
	k.tell("stop")
	k.hear("this program cannot stop the pump")
	k.tell("quit")
	k.hear("e and enter ends it, and the program with it")
	k.tell("e")
	k.hear("type e again")
	k.tell("e")
	k.hear("pull over: closed by the person", "saved as", "the rig was loaded when the program ended: release the pressure")
	if err := k.cmd.Wait(); err != nil {
		t.Errorf("ended with %v", err)
	}
}

// Without words of its own the state is told as often as asked, and an input
// that ends ends nothing.
func TestPlainTellsAsOftenAsAsked(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	begin := time.Now() // before the program can have
	k := startTalk(t, dir, "demo", "--plain", "--every", "2s", "--speed", "4", "--data", dir)
	if err := k.in.Close(); err != nil {
		t.Fatal(err)
	}
	k.hear("BREAK", "saved as")
	if err := k.cmd.Wait(); err != nil {
		t.Errorf("ended with %v", err)
	}
	took := time.Since(begin)
	if n := strings.Count(k.text, ", force "); n < 1 || n > int(took/(2*time.Second))+1 {
		t.Errorf("the state was told %d times in %s:\n%s", n, took, k.text)
	}
}

// Ctrl+z stops the readings of no pull.
func TestCtrlZStopsNoPull(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	term := onTerminal(t, dir, picture.Options{}, "demo", "--plain", "--speed", "4", "--data", dir)
	see(t, term, "recording to")
	keys(t, term, "\x1a", "ctrl+z would stop the readings")
	see(t, term, "saved as")
}
