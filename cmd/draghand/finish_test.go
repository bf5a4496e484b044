//go:build unix

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"

	"draghand/internal/record"
	"draghand/internal/si"
)

// lineTerminal is a program on a terminal of its own, its screen kept as it comes.
type lineTerminal struct {
	screen *os.File
	cmd    *exec.Cmd
	mu     sync.Mutex
	seen   bytes.Buffer
}

func onLines(t *testing.T, dir string, args ...string) *lineTerminal {
	t.Helper()
	p := &lineTerminal{cmd: exec.Command(program(t), args...)}
	p.cmd.Env = append(append(os.Environ(), home(dir)...), "TERM=xterm-256color")
	var err error
	if p.screen, err = pty.StartWithSize(p.cmd, &pty.Winsize{Cols: 200, Rows: 40}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		p.screen.Close()
		_ = p.cmd.Process.Kill()
		_ = p.cmd.Wait()
	})
	go func() {
		buf := make([]byte, 4096)
		for {
			n, err := p.screen.Read(buf)
			p.mu.Lock()
			p.seen.Write(buf[:n])
			p.mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	return p
}

// answer waits for a question and types a line.
func (p *lineTerminal) answer(t *testing.T, question, line string) {
	t.Helper()
	waitFor(t, 20*time.Second, question, func() bool {
		p.mu.Lock()
		defer p.mu.Unlock()
		_, after, ok := bytes.Cut(p.seen.Bytes(), []byte(question))
		return ok && bytes.Contains(after, []byte("> "))
	})
	p.mu.Lock()
	p.seen.Reset()
	p.mu.Unlock()
	if _, err := p.screen.WriteString(line); err != nil {
		t.Fatal(err)
	}
}

// On a terminal without flags everything is asked for, one by one; ctrl+d in the
// middle saves nothing.
func TestFinishAsks(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	shelf := filepath.Join(dir, "shelf")
	if err := start(t, dir, "demo", "--speed", "50", "--headless", "--data", shelf).Run(); err != nil {
		t.Fatal(err)
	}
	rec := onlyRecord(t, shelf)
	before, err := os.ReadFile(filepath.Join(rec, record.HeadFile))
	if err != nil {
		t.Fatal(err)
	}

	p := onLines(t, dir, "finish", filepath.Base(rec), "--data", shelf, "--units", "si")
	p.answer(t, "final diameter, ", "9.8 mm\r")
	p.answer(t, "final gauge, ", "\x04")
	err = p.cmd.Wait()
	if code := p.cmd.ProcessState.ExitCode(); code != exitFailed {
		t.Errorf("ctrl+d: code %d (%v)", code, err)
	}
	waitFor(t, 5*time.Second, "what became of it", func() bool {
		p.mu.Lock()
		defer p.mu.Unlock()
		return strings.Contains(p.seen.String(), "nothing was saved: ended before the last question")
	})
	if now, _ := os.ReadFile(filepath.Join(rec, record.HeadFile)); !bytes.Equal(now, before) {
		t.Error("ctrl+d changed pull.json")
	}

	p = onLines(t, dir, "finish", filepath.Base(rec), "--data", shelf, "--units", "si")
	p.answer(t, "final diameter, ", "9.8 mm; 9.7 mm\r")
	p.answer(t, "final gauge, ", "49 mm\r")
	p.answer(t, "shorter than before, 50.00 mm", "58.7 mm\r")
	p.answer(t, "where, ", "middle\r")
	p.answer(t, "looks, ", "\r")
	p.answer(t, "failed part, ", "\r")
	p.answer(t, "dial, ", "\r")
	p.answer(t, "minimum, ", "none\r")
	p.answer(t, "photos, ", "\r")
	p.answer(t, "remark, ", "typed by hand\r")
	if err := p.cmd.Wait(); err != nil {
		t.Fatal(err)
	}
	r, err := record.Open(rec)
	if err != nil {
		t.Fatal(err)
	}
	m := r.Head.Measured()
	if m == nil || len(m.Diameters) != 2 || m.GaugeLength.Text(si.Metric) != "58.70 mm" || m.Where != "middle" || m.Minimum != 0 || len(m.Looks) != 0 ||
		len(r.Head.SaidTexts()) != 1 || r.Head.SaidTexts()[0] != "typed by hand" {
		t.Errorf("measured %+v, said %q", m, r.Head.SaidTexts())
	}
}
