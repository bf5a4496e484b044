package record

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"sync"
	"syscall"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// start is the start of every simulated pull here.
func start() time.Time { return time.Date(2026, 11, 25, 14, 3, 22, 250_000_000, time.UTC) }

// simulatedHead is a head for tests: simulated, no metal was broken for it.
func simulatedHead() Head {
	return Head{
		Program: "draghand test",
		Started: start(),
		Kind:    pull.Tension,
		Specimen: specimen.Specimen{
			ID: "3", Melt: "M1", Alloy: "C90500", Simulated: true,
			Diameters: []si.Length{12.51 * si.Millimetre, 12.5 * si.Millimetre, 12.52 * si.Millimetre},
		},
		Rig:    exampleRig(),
		Source: "sim:",
	}
}

// exampleRig is the example rig of design 4, as resolved.
func exampleRig() *rig.Rig {
	return &rig.Rig{
		Name: "example",
		Ram:  rig.Ram{Area: 42 * si.SquareCM, AreaTol: 0.2 * si.SquareCM, RatedForce: 250 * si.Kilonewton, Role: rig.SensorRam, FrictionBand: 0.02},
		Sensor: rig.Sensor{
			Kind: rig.CurrentLoop, High: 700 * si.Bar, SigLow: 0.004, SigHi: 0.020,
			Shunt: 250, Accuracy: 0.005, Bits: 12, Reference: 5, Divisor: 4096, Divider: 1,
		},
		Source: rig.Source{Baud: 115200, Separator: ",", Columns: []string{"time", "raw"}, Clock: "us", ClockBits: 32},
		Path: rig.Path{
			Kind: rig.TwoSided, Share: 0.5, ShareTol: 0.005,
			SpecimenArm: 110 * si.Millimetre, FarArm: 110 * si.Millimetre, ArmTol: 0.5 * si.Millimetre, Bearing: "roller",
		},
		Limits: []rig.Limit{
			{Name: "ram", Kind: rig.Rated, At: rig.AtRam, Force: 250 * si.Kilonewton, Factor: 1},
			{Name: "transducer", Kind: rig.PressureLimit, At: rig.AtGauge, Pressure: 700 * si.Bar, Factor: 1},
			{Name: "link bar", Kind: rig.Rated, At: rig.AtFar, Force: 48 * si.Kilonewton, Factor: 1},
			{Name: "pins", Kind: rig.Unknown, Factor: 1},
		},
		Alarm: rig.Alarm{Caution: 0.75, Warning: 0.9, Stop: 1, LookAhead: 3},
		Units: si.US,
	}
}

// ms is a time in milliseconds.
func ms(n int) time.Duration { return time.Duration(n) * time.Millisecond }

// smallRecord writes a closed record of seven lines with one sum in the middle
// and returns its folder.
func smallRecord(t testing.TB, shelf string) string {
	t.Helper()
	w := mustCreate(t, Options{SyncEvery: time.Hour}, shelf)
	w.Append(ms(0), []byte("1000"), []byte("819"), "")
	w.Append(ms(1), []byte("2000"), []byte("820"), "")
	w.Mark(ms(2), pull.Bad, 1, "82,\x00 \"q\"")
	w.sync(w.tg)
	w.Append(ms(3), []byte("4000"), []byte("4095"), "above range")
	w.Append(ms(4), []byte("5000"), []byte("-8.25e2"), "")
	w.Mark(ms(5), pull.Lost, 0, "unplugged")
	w.Mark(ms(6), pull.End, 0, "")
	must(t, w.Close(ClosingFrom(pull.State{T: ms(6), Phase: pull.Slack}, ByPerson)))
	return w.Dir()
}

func mustCreate(t testing.TB, o Options, shelf string) *Writer {
	t.Helper()
	w, err := o.Create(shelf, simulatedHead())
	must(t, err)
	return w
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// until waits for a condition, with a deadline no healthy machine reaches.
func until(t testing.TB, what string, ok func() bool) {
	t.Helper()
	beat := time.NewTicker(2 * time.Millisecond)
	defer beat.Stop()
	for end := time.Now().Add(10 * time.Second); !ok(); <-beat.C {
		if time.Now().After(end) {
			t.Fatalf("after 10 s still not: %s", what)
		}
	}
}

// watchClock watches how late a 1 ms tick comes; the function it gives ends that and
// tells the longest gap: for so long the machine stood still, if for longer than 20 ms.
func watchClock() func() time.Duration {
	stop, gap := make(chan struct{}), make(chan time.Duration)
	go func() {
		beat := time.NewTicker(time.Millisecond)
		defer beat.Stop()
		var longest time.Duration
		last := time.Now()
		for {
			select {
			case <-beat.C:
				now := time.Now()
				longest, last = max(longest, now.Sub(last)), now
			case <-stop:
				if longest = max(longest, time.Since(last)); longest < 20*time.Millisecond {
					longest = 0
				}
				gap <- longest
				return
			}
		}
	}()
	return func() time.Duration { close(stop); return <-gap }
}

// line is what a reading pass found.
type line struct {
	R              pull.Reading
	Dev, Raw, Text string
	Note           string
}

func readAll(rs *Readings) (out []line) {
	defer rs.Close()
	for rs.Next() {
		out = append(out, line{rs.Reading(), string(rs.DevText()), string(rs.RawText()), string(rs.Text()), string(rs.Note())})
	}
	return out
}

func readDir(t testing.TB, dir string) ([]line, *Readings) {
	t.Helper()
	rec, err := Open(dir)
	must(t, err)
	rs := rec.Readings()
	return readAll(rs), rs
}

// copyRecord copies a record's files into a new folder.
func copyRecord(t testing.TB, dir string) string {
	t.Helper()
	to := filepath.Join(t.TempDir(), filepath.Base(dir))
	must(t, os.CopyFS(to, os.DirFS(dir)))
	return to
}

// trouble is what is wrong with a file system. The zero value is nothing.
type trouble struct {
	full      bool          // samples.csv takes room bytes more, then no space is left
	room      int64         //
	silent    bool          // a short write without an error
	syncErr   error         // of samples.csv
	syncDelay time.Duration // of samples.csv
	hang      chan struct{} // syncs of samples.csv wait for it
	sumErr    error         // of writing samples.sum
	readErr   bool          // samples.csv reads back a little and then EIO
	readHang  chan struct{} // reads of samples.csv wait for it
	headErr   error         // of putting pull.json in place
	mkdirErr  error
	noSync    bool // syncs succeed at once and do nothing: for tests of many records
}

// troubled is the machine's file system with trouble.
type troubled struct {
	OS
	mu  sync.Mutex
	now trouble
}

func (d *troubled) set(t trouble) { d.mu.Lock(); defer d.mu.Unlock(); d.now = t }

func (d *troubled) get() trouble { d.mu.Lock(); defer d.mu.Unlock(); return d.now }

func (d *troubled) Mkdir(path string) error {
	if err := d.get().mkdirErr; err != nil {
		return &fs.PathError{Op: "mkdir", Path: path, Err: err}
	}
	return d.OS.Mkdir(path)
}

func (d *troubled) Rename(from, to string) error {
	if err := d.get().headErr; err != nil {
		return &fs.PathError{Op: "rename", Path: to, Err: err}
	}
	return d.OS.Rename(from, to)
}

func (d *troubled) Open(path string, flag int) (File, error) {
	f, err := d.OS.Open(path, flag)
	if err != nil {
		return nil, err
	}
	return &troubledFile{File: f, fs: d, name: filepath.Base(path)}, nil
}

type troubledFile struct {
	File
	fs   *troubled
	name string
	got  int
}

func (f *troubledFile) Read(b []byte) (int, error) {
	if hang := f.fs.get().readHang; f.name == SamplesFile && hang != nil {
		<-hang
	}
	if f.name == SamplesFile && f.fs.get().readErr {
		if f.got > 0 {
			return 0, syscall.EIO
		}
		b = b[:min(len(b), 100)]
	}
	n, err := f.File.Read(b)
	f.got += n
	return n, err
}

func (f *troubledFile) Write(b []byte) (int, error) {
	f.fs.mu.Lock()
	defer f.fs.mu.Unlock()
	t := &f.fs.now
	switch {
	case f.name == SumFile && t.sumErr != nil:
		return 0, t.sumErr
	case f.name == SamplesFile && t.full:
		n, err := f.File.Write(b[:min(int64(len(b)), t.room)])
		t.room -= int64(n)
		if err == nil && n < len(b) && !t.silent {
			err = syscall.ENOSPC
		}
		return n, err
	}
	return f.File.Write(b)
}

func (d *troubled) SyncDir(path string) error {
	if d.get().noSync {
		return nil
	}
	return d.OS.SyncDir(path)
}

func (f *troubledFile) Sync() error {
	if f.fs.get().noSync {
		return nil
	}
	if f.name != SamplesFile {
		return f.File.Sync()
	}
	t := f.fs.get()
	if t.hang != nil {
		<-t.hang
	}
	if t.syncDelay > 0 {
		<-time.After(t.syncDelay)
	}
	return errors.Join(t.syncErr, f.File.Sync())
}

func ptr[T any](v T) *T { return &v }

func nan() float64 { return math.NaN() }
