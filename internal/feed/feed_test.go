package feed

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// patience is how long a test waits for what must come; a shared machine may be
// slow, and no test waits as long when all is well.
const patience = 10 * time.Second

// running is a feed under test.
type running struct {
	t      *testing.T
	events chan Chunk // data copied
	done   chan error
	cancel context.CancelFunc
}

func start(t *testing.T, f Feed) *running {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	r := &running{t, make(chan Chunk, 1<<16), make(chan error, 1), cancel}
	go func() {
		r.done <- f.Run(ctx, func(c Chunk) {
			c.Data = bytes.Clone(c.Data)
			r.events <- c
		})
		close(r.events)
	}()
	t.Cleanup(cancel)
	return r
}

// next gives the next chunk.
func (r *running) next() (Chunk, bool) {
	r.t.Helper()
	select {
	case c, ok := <-r.events:
		return c, ok
	case <-time.After(patience):
		r.t.Fatal("no chunk came")
		return Chunk{}, false
	}
}

// until passes over chunks until one of kind comes.
func (r *running) until(kind Kind) Chunk {
	r.t.Helper()
	for {
		c, ok := r.next()
		if !ok {
			r.t.Fatalf("the feed ended before %v came: %v", kind, <-r.done)
		}
		if c.Kind == kind {
			return c
		}
	}
}

// text collects data until it holds n bytes.
func (r *running) text(n int) string {
	r.t.Helper()
	var b []byte
	for len(b) < n {
		c := r.until(Data)
		if len(c.Data) == 0 {
			r.t.Error("an empty data chunk")
		}
		b = append(b, c.Data...)
	}
	return string(b)
}

// end waits for Run to return.
func (r *running) end() error {
	r.t.Helper()
	select {
	case err := <-r.done:
		return err
	case <-time.After(patience):
		r.t.Fatal("Run did not return")
		return nil
	}
}

// stop cancels and holds how long Run takes to return. The limit is 200 ms; the
// race detector gets more, and what the machine stood still for is not counted.
func (r *running) stop() {
	r.t.Helper()
	limit := 200 * time.Millisecond
	if raceOn {
		limit = time.Second
	}
	held, from := watchClock(), time.Now()
	r.cancel()
	if err := r.end(); err != nil {
		r.t.Errorf("Run after cancel = %v, want nil", err)
	}
	if took, stood := time.Since(from), held(); took-stood > limit {
		r.t.Errorf("Run took %v to return after cancel, %v of it the machine stood still; want at most %v", took, stood, limit)
	}
}

// heldUp is how late a beat must come for others to be blamed: see watchClock.
const heldUp = 20 * time.Millisecond

// watchClock watches how late a 1 ms tick comes; the function it gives ends that and
// tells for how long in all the machine stood still.
func watchClock() func() time.Duration {
	stop, stood := make(chan struct{}), make(chan time.Duration)
	go func() {
		tick := time.NewTicker(time.Millisecond)
		defer tick.Stop()
		var all time.Duration
		last := time.Now()
		beat := func() {
			now := time.Now()
			if gap := now.Sub(last); gap >= heldUp {
				all += gap
			}
			last = now
		}
		for {
			select {
			case <-tick.C:
				beat()
			case <-stop:
				beat()
				stood <- all
				return
			}
		}
	}()
	return func() time.Duration { close(stop); return <-stood }
}

// told holds that err is a source that cannot be used, told in two parts.
func told(t *testing.T, err error, what, next string) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) || !errors.Is(err, ErrSource) || errors.Is(err, ErrSpec) {
		t.Fatalf("error is %v, want an Error of kind ErrSource", err)
	}
	if !strings.Contains(e.Error(), what) {
		t.Errorf("error is %q, want %q in it", e.Error(), what)
	}
	if !strings.Contains(e.Next(), next) || e.Next() == "" {
		t.Errorf("what to do next is %q, want %q in it", e.Next(), next)
	}
	for _, s := range []string{e.Error(), e.Next()} {
		if strings.HasSuffix(s, ".") || strings.Contains(s, "\n") {
			t.Errorf("%q is not one sentence without its stop", s)
		}
	}
}

func mustOpen(t *testing.T, spec string, o Options) Feed {
	t.Helper()
	f, err := Open(spec, o)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestOpenUnderstands(t *testing.T) {
	sim := func(q url.Values) (Feed, error) { return &stdin{strings.NewReader(q.Get("alloy"))}, nil }
	name := filepath.Join(t.TempDir(), "readings.csv")
	if err := os.WriteFile(name, []byte("1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	rows := []struct {
		spec       string
		o          Options
		what, next string // parts of the error; empty: understood
	}{
		{"serial:/dev/ttyACM0", Options{}, "", ""},
		{"serial:COM3", Options{}, "", ""},
		{"file:readings.csv", Options{}, "", ""},
		{"-", Options{}, "", ""},
		{"tcp:192.0.2.7:4000", Options{}, "", ""},
		{"tcp:[2001:db8::7]:4000", Options{}, "", ""},
		{"sim:", Options{Sim: sim}, "", ""},
		{"sim:?alloy=C90500&seed=3", Options{Sim: sim}, "", ""},
		{"", Options{}, "not understood", `"serial:PATH"`},
		{"usb:1", Options{}, "not understood", `"tcp:HOST:PORT"`},
		{"/dev/ttyACM0", Options{}, "not understood", `"serial:/dev/ttyACM0"`},
		{"COM3", Options{}, "not understood", `"serial:COM3"`},
		{name, Options{}, "not understood", "file:"},
		{"serial:", Options{}, "names no port", "serial:/dev/"},
		{"serial:/dev/ttyACM0", Options{Baud: -1}, "-1 baud", "115200"},
		{"file:", Options{}, "names no file", "file:"},
		{"tcp:", Options{}, "names no host", "tcp:"},
		{"tcp:host", Options{}, "names no host", "tcp:"},
		{"tcp::4000", Options{}, "names no host", "tcp:"},
		{"tcp:2001:db8::7:4000", Options{}, "names no host", "with brackets"},
		{"tcp:host:rig", Options{}, "has no port", "1 to 65535"},
		{"tcp:host:0", Options{}, "has no port", "1 to 65535"},
		{"tcp:host:65536", Options{}, "has no port", "1 to 65535"},
		{"sim:", Options{}, "no simulated rig", "serial:PATH"},
		{"sim:?a=%zz", Options{Sim: sim}, "cannot be read", "sim:?"},
	}
	for _, r := range rows {
		f, err := Open(r.spec, r.o)
		if r.what == "" {
			if err != nil {
				t.Errorf("Open(%q) = %v, want no error", r.spec, err)
			} else if f.Name() != r.spec && !strings.HasPrefix(r.spec, "sim:") {
				t.Errorf("Open(%q).Name() = %q", r.spec, f.Name())
			}
			continue
		}
		var e *Error
		if !errors.As(err, &e) || !errors.Is(err, ErrSpec) || errors.Is(err, ErrSource) {
			t.Errorf("Open(%q) = %v, want an Error of kind ErrSpec", r.spec, err)
			continue
		}
		if !strings.Contains(e.Error(), r.what) || !strings.Contains(e.Next(), r.next) {
			t.Errorf("Open(%q) = %q, next %q, want %q and %q in them", r.spec, e, e.Next(), r.what, r.next)
		}
	}
}

func TestFileIsReadWhole(t *testing.T) {
	for _, size := range []int{0, 1, blockSize - 1, blockSize, blockSize + 1, 5*blockSize + 7} {
		name := filepath.Join(t.TempDir(), "readings.csv")
		var want []byte
		for i := 0; len(want) < size; i++ {
			want = fmt.Appendf(want, "%d,%d\n", i, i%4096)
		}
		want = want[:size]
		if err := os.WriteFile(name, want, 0o600); err != nil {
			t.Fatal(err)
		}
		r := start(t, mustOpen(t, "file:"+name, Options{}))
		if err := r.end(); err != nil {
			t.Fatal(err)
		}
		var all []byte
		var kinds []Kind
		for c := range r.events {
			kinds = append(kinds, c.Kind)
			all = append(all, c.Data...)
			if c.Torn {
				t.Error("a file begins with a whole line, but the feed says torn")
			}
		}
		if !bytes.Equal(all, want) {
			t.Errorf("a file of %d bytes gave %d other ones", size, len(all))
		}
		if kinds[0] != Opened || kinds[len(kinds)-1] != End || slices.Index(kinds, End) != len(kinds)-1 {
			t.Errorf("a file of %d bytes gave %v", size, kinds)
		}
	}
}

func TestFileStopsAtCancel(t *testing.T) {
	name := filepath.Join(t.TempDir(), "readings.csv")
	if err := os.WriteFile(name, make([]byte, 10*blockSize), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	blocks := 0
	err := mustOpen(t, "file:"+name, Options{}).Run(ctx, func(c Chunk) {
		if c.Kind == Data {
			blocks++
			cancel()
		}
		if c.Kind == End {
			t.Error("End after cancel")
		}
	})
	if err != nil || blocks != 1 {
		t.Errorf("Run = %v after %d blocks, want nil after one", err, blocks)
	}
}

func TestFileErrors(t *testing.T) {
	dir := t.TempDir()
	rows := []struct{ path, what, next string }{
		{filepath.Join(dir, "none.csv"), "does not exist", "look at the name"},
		{dir, "is a folder", "name a file"},
	}
	if _, err := os.Stat("/dev/null"); err == nil {
		rows = append(rows, struct{ path, what, next string }{"/dev/null", "is a device", `"serial:/dev/null"`})
	}
	for _, r := range rows {
		err := start(t, mustOpen(t, "file:"+r.path, Options{})).end()
		told(t, err, r.what, r.next)
	}
	err := start(t, mustOpen(t, "file:"+filepath.Join(dir, "none.csv"), Options{})).end()
	if !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("error %v does not wrap fs.ErrNotExist", err)
	}
}

func TestStdin(t *testing.T) {
	in, writer := io.Pipe()
	defer in.Close()
	r := start(t, mustOpen(t, "-", Options{Stdin: in}))
	r.until(Opened)
	for _, part := range []string{"1000,8", "12\n2000,815\n", "3000,81"} {
		if _, err := io.WriteString(writer, part); err != nil {
			t.Fatal(err)
		}
		if got := r.text(len(part)); got != part {
			t.Errorf("read %q, want %q", got, part)
		}
	}
	writer.Close()
	r.until(End)
	if err := r.end(); err != nil {
		t.Errorf("Run = %v, want nil", err)
	}
}

func TestStdinStopsWhileItsReadIsBlocked(t *testing.T) {
	in, writer := io.Pipe()
	defer writer.Close() // lets the reader that was left behind end
	r := start(t, mustOpen(t, "-", Options{Stdin: in}))
	r.until(Opened)
	r.stop()
}

// oddReader fails in its own way.
type oddReader func([]byte) (int, error)

func (f oddReader) Read(b []byte) (int, error) { return f(b) }

func TestStdinErrors(t *testing.T) {
	err := start(t, mustOpen(t, "-", Options{Stdin: oddReader(func([]byte) (int, error) { return 0, errors.New("pipe burst") })})).end()
	told(t, err, "standard input cannot be read: pipe burst", "the program that sends")
	err = start(t, mustOpen(t, "-", Options{Stdin: oddReader(func([]byte) (int, error) { panic("odd") })})).end()
	told(t, err, "odd", "the program that sends")
}

func TestPanicOfTheConsumerIsAnError(t *testing.T) {
	f := mustOpen(t, "-", Options{Stdin: strings.NewReader("1\n")})
	err := f.Run(t.Context(), func(c Chunk) {
		if c.Kind == Data {
			panic("no such limit")
		}
	})
	told(t, err, "failed inside the program: no such limit", "start again")
	var e *Error
	if errors.As(err, &e) && !strings.Contains(e.Err.Error(), "feed_test.go") {
		t.Errorf("the cause does not say where it was: %v", e.Err)
	}
}

func TestPorts(t *testing.T) {
	names, err := Ports()
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		if n == "" {
			t.Errorf("Ports() = %q: an empty name", names)
		}
	}
}
