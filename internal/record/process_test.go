package record

import (
	"bufio"
	"encoding/binary"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// The test binary is its own second program: these variables make it one.
const (
	roleVar = "DRAGHAND_RECORD_TEST_ROLE"
	pathVar = "DRAGHAND_RECORD_TEST_PATH"
)

func TestMain(m *testing.M) {
	switch os.Getenv(roleVar) {
	case "append":
		appendForever(os.Getenv(pathVar))
	case "lock":
		os.Exit(tryLock(os.Getenv(pathVar)))
	}
	os.Exit(m.Run())
}

// stampLen is the length of what appendForever says after each line: the wall clock,
// and for how long the machine last kept the writer waiting, both in ns.
const stampLen = 16

// appendForever records at 1 kHz until killed. After each line it writes the
// wall clock to stdout: a pipe keeps that when the process is gone.
func appendForever(shelf string) {
	disk := new(timedDisk)
	w, err := Options{FS: disk}.Create(shelf, simulatedHead())
	if err != nil {
		os.Exit(1)
	}
	os.Stdout.WriteString(w.Dir() + "\n")
	late := new(meter)
	go late.beat(w.opt.FlushEvery)
	from := time.Now()
	var stamp [stampLen]byte
	beat := time.NewTicker(time.Millisecond)
	for i := 0; ; i++ {
		<-beat.C
		w.Append(time.Since(from), nil, strconv.AppendInt(nil, int64(i), 10), "")
		binary.LittleEndian.PutUint64(stamp[:], uint64(time.Now().UnixNano()))
		binary.LittleEndian.PutUint64(stamp[8:], uint64(disk.writes.longest()+late.longest()))
		os.Stdout.Write(stamp[:])
	}
}

// meter measures how long something takes that happens again and again.
type meter struct {
	mu    sync.Mutex
	begun time.Time // of what goes on now; zero: nothing
	most  time.Duration
}

func (m *meter) begin() { m.mu.Lock(); defer m.mu.Unlock(); m.begun = time.Now() }

func (m *meter) end() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.most, m.begun = max(m.most, time.Since(m.begun)), time.Time{}
}

// longest is the longest since it was last asked for, or what goes on now.
func (m *meter) longest() time.Duration {
	m.mu.Lock()
	defer m.mu.Unlock()
	most := m.most
	if m.most = 0; !m.begun.IsZero() {
		most = max(most, time.Since(m.begun))
	}
	return most
}

// beat measures how late a timer of every comes, as that of the writer does.
func (m *meter) beat(every time.Duration) {
	t := time.NewTimer(every)
	for {
		m.mu.Lock()
		m.begun = time.Now().Add(every) // until then nothing is late
		m.mu.Unlock()
		<-t.C
		m.end()
		t.Reset(every)
	}
}

// timedDisk is the machine's file system, with how long its writes take: a disk that is
// busy with others may hold them up.
type timedDisk struct {
	OS
	writes meter
}

type timedFile struct {
	File
	d *timedDisk
}

func (d *timedDisk) Open(path string, flag int) (File, error) {
	f, err := d.OS.Open(path, flag)
	if err != nil || filepath.Base(path) != SamplesFile {
		return f, err
	}
	return timedFile{f, d}, nil
}

func (f timedFile) Write(b []byte) (int, error) {
	f.d.writes.begin()
	defer f.d.writes.end()
	return f.File.Write(b)
}

func tryLock(dir string) int {
	unlock, err := Lock(dir)
	switch {
	case errors.Is(err, ErrBusy):
		return 7
	case err != nil || unlock() != nil:
		return 1
	}
	return 0
}

func second(role, path string) *exec.Cmd {
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), roleVar+"="+role, pathVar+"="+path)
	return c
}

// Killed at any moment, a writer leaves every line older than 50 ms, and Check
// finds nothing wrong.
func TestKilled(t *testing.T) {
	for range 5 {
		c := second("append", t.TempDir())
		out, err := c.StdoutPipe()
		must(t, err)
		must(t, c.Start())
		in := bufio.NewReaderSize(out, 1<<16)
		dir, err := in.ReadString('\n')
		must(t, err)
		dir = strings.TrimSuffix(dir, "\n")
		moment := make(chan time.Time, 1)
		go func() {
			<-time.After(time.Duration(100+rand.IntN(900)) * time.Millisecond)
			moment <- time.Now()
			_ = c.Process.Kill() // it fails only where the process is gone already
		}()
		stamps, err := io.ReadAll(in)
		must(t, err)
		killed := <-moment
		if err := c.Wait(); err == nil {
			t.Fatal("the writer ended by itself")
		}
		// The time the machine last took the processor away from the writer, or held
		// up its writes, is not the writer's: lines get that much longer.
		n, old, pause, held := len(stamps)/stampLen, 0, time.Duration(0), time.Duration(0)
		at := func(i int) time.Time {
			return time.Unix(0, int64(binary.LittleEndian.Uint64(stamps[stampLen*i:])))
		}
		for i := 1; i < n; i++ {
			if killed.Sub(at(i)) < time.Second/2 {
				pause = max(pause, at(i).Sub(at(i-1)))
				held = max(held, time.Duration(binary.LittleEndian.Uint64(stamps[stampLen*i+8:])))
			}
		}
		if n > 0 {
			pause = max(pause, killed.Sub(at(n-1)))
		}
		pause += held
		for i := range n {
			if killed.Sub(at(i)) > 50*time.Millisecond+pause {
				old = i + 1
			}
		}
		got, rs := readDir(t, dir)
		if rs.Err() != nil || len(got) < old {
			t.Errorf("%d lines of %d, %d were old enough; err %v", len(got), n, old, rs.Err())
		}
		for i, l := range got {
			if l.R.Raw != float64(i) {
				t.Fatalf("line %d = %+v", i, l)
			}
		}
		r := Check(dir)
		if r.Status != Unfinished || r.Writing || r.Lines != int64(len(got)) {
			t.Errorf("Check = %+v", r)
		}
		t.Logf("%d lines appended, %d older than 50 ms + %v, %v of it in writes and beats, %d in the file", n, old, pause, held, len(got))
	}
}

// Two programs: the lock of a record at work refuses the second, Check tells,
// and it is free again once the first has closed, or was killed.
func TestLock(t *testing.T) {
	w := mustCreate(t, Options{}, t.TempDir())
	code := func(dir string) int {
		c := second("lock", dir)
		_ = c.Run() // the exit code says it
		return c.ProcessState.ExitCode()
	}
	if got := code(w.Dir()); got != 7 {
		t.Errorf("a second program took the lock: exit %d", got)
	}
	if _, err := Lock(w.Dir()); !errors.Is(err, ErrBusy) {
		t.Errorf("the same program took the lock again: %v", err)
	}
	if r := Check(w.Dir()); !r.Writing || r.Status != Unfinished || !strings.Contains(r.Text(), "being written now") {
		t.Errorf("Check = %+v", r)
	}
	if rec, err := Open(w.Dir()); err != nil || !rec.Writing || rec.Closed() {
		t.Errorf("Open = %+v, %v", rec, err)
	}
	must(t, w.Close(Closing{}))
	if got := code(w.Dir()); got != 0 {
		t.Errorf("the lock is held after Close: exit %d", got)
	}
	if r := Check(w.Dir()); r.Writing {
		t.Errorf("Check = %+v", r)
	}

	c := second("append", t.TempDir())
	out, err := c.StdoutPipe()
	must(t, err)
	must(t, c.Start())
	dir, err := bufio.NewReader(out).ReadString('\n')
	must(t, err)
	dir = strings.TrimSuffix(dir, "\n")
	if _, err := Lock(dir); !errors.Is(err, ErrBusy) {
		t.Errorf("took the lock of a program at work: %v", err)
	}
	must(t, c.Process.Kill())
	_ = c.Wait() // it was killed
	unlock, err := Lock(dir)
	must(t, err)
	must(t, unlock())
}
