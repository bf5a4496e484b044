//go:build unix

package feed

import (
	"errors"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"go.bug.st/serial"
)

// lamp stands for the line of a port: a pseudo-terminal has none.
type lamp struct {
	mu    sync.Mutex
	sets  []bool
	fail  error
	stuck chan struct{} // a change waits for it; nil: none waits
	begun chan struct{}
}

func (l *lamp) modem() modem {
	return modem{RTS, func(_ serial.Port, _ Line, on bool) error {
		l.mu.Lock()
		stuck, fail := l.stuck, l.fail
		l.stuck = nil
		l.mu.Unlock()
		if stuck != nil {
			close(l.begun)
			<-stuck
		}
		l.mu.Lock()
		defer l.mu.Unlock()
		if fail == nil {
			l.sets = append(l.sets, on)
		}
		return fail
	}}
}

func (l *lamp) did(t *testing.T, what string, want ...bool) {
	t.Helper()
	l.mu.Lock()
	defer l.mu.Unlock()
	if !slices.Equal(l.sets, want) {
		t.Errorf("%s: the line was set %v, want %v", what, l.sets, want)
	}
}

func (l *lamp) set(fail error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.fail = fail
}

// free says that the port can be opened: nobody of ours has it.
func free(t *testing.T, link string) {
	t.Helper()
	deadline := time.Now().Add(patience)
	tick := time.NewTicker(time.Millisecond)
	defer tick.Stop()
	for ; ; <-tick.C {
		p, err := openPort(link, tripBaud, modem{})
		if err == nil {
			if err := p.Close(); err != nil {
				t.Error(err)
			}
			return
		}
		if time.Now().After(deadline) {
			t.Fatalf("the port is not free: %v", err)
		}
	}
}

// A pseudo-terminal has no modem lines: refused in words, and left free.
func TestTripNeedsALine(t *testing.T) {
	for _, l := range []Line{RTS, DTR} {
		b := newBoard(t)
		_, err := OpenTrip("serial:"+b.link, l)
		told(t, err, "has no "+l.word()+" line for the trip line", "name another port that has one")
		free(t, b.link)
		f := mustOpen(t, "serial:"+b.link, Options{})
		if _, err := TripOn(f, l); err != nil {
			t.Fatal(err)
		}
		r := start(t, f)
		told(t, r.end(), "has no "+l.word()+" line for the trip line", "take [alarm.trip] out")
		if c, ok := <-r.events; ok {
			t.Errorf("a chunk came: %+v", c)
		}
		free(t, b.link)
	}
}

func TestTripWrongPort(t *testing.T) {
	for _, c := range []struct{ spec, what string }{
		{"tcp:bench:5000", "is no serial port and cannot carry the trip line"},
		{"file:readings.csv", "is no serial port and cannot carry the trip line"},
		{"/dev/ttyUSB1", "is not understood"},
	} {
		_, err := OpenTrip(c.spec, RTS)
		var e *Error
		if !errors.As(err, &e) || !errors.Is(err, ErrSpec) || e.Next() == "" || !strings.Contains(e.Error(), c.what) {
			t.Errorf("%s: %v", c.spec, err)
		}
	}
	_, err := OpenTrip("serial:"+t.TempDir()+"/none", RTS)
	told(t, err, "does not exist", "plug the board in")
	if _, err := TripOn(mustOpen(t, "file:readings.csv", Options{}), RTS); !errors.Is(err, ErrSpec) {
		t.Errorf("a trip line on a file: %v", err)
	}
}

// A port of its own: dropped at opening, held and dropped as told, dropped at
// closing, for one program at a time.
func TestTripPort(t *testing.T) {
	b, l := newBoard(t), &lamp{}
	trip, err := openTrip("serial:"+b.link, l.modem())
	if err != nil {
		t.Fatal(err)
	}
	l.did(t, "opened", false)
	if _, err := openTrip("serial:"+b.link, l.modem()); err == nil {
		t.Error("opened twice")
	} else {
		told(t, err, "already in use", "close the other program")
	}
	for _, on := range []bool{true, false, true} {
		if err := trip.Hold(on); err != nil {
			t.Fatal(err)
		}
	}
	l.did(t, "told", false, true, false, true)
	if err := errors.Join(trip.Close(), trip.Close()); err != nil {
		t.Fatal(err)
	}
	l.did(t, "closed", false, true, false, true, false)
	if err := trip.Hold(true); err == nil {
		t.Error("held after closing")
	}
	if err := trip.Hold(false); err != nil {
		t.Errorf("dropped after closing: %v", err)
	}
	free(t, b.link)
}

// An adapter that fails is told, and opened again at the next try, dropped.
func TestTripPortFailsAndComesBack(t *testing.T) {
	b, l := newBoard(t), &lamp{}
	trip, err := openTrip("serial:"+b.link, l.modem())
	if err != nil {
		t.Fatal(err)
	}
	defer trip.Close()
	l.set(errors.New("input/output error"))
	told(t, trip.Hold(true), "trip line, RTS of \""+b.link+"\": input/output error", "tried again")
	b.unplug()
	l.set(nil)
	told(t, trip.Hold(true), "does not exist", "plug the board in")
	plugIn(t, b.link)
	if err := trip.Hold(true); err != nil {
		t.Fatal(err)
	}
	l.did(t, "back", false, false, true)
}

// A line that does not answer holds up nobody who closes the port; the port is
// closed, with the line dropped, when it answers.
func TestTripStuckDoesNotHoldUpClose(t *testing.T) {
	b, l := newBoard(t), &lamp{begun: make(chan struct{})}
	trip, err := openTrip("serial:"+b.link, l.modem())
	if err != nil {
		t.Fatal(err)
	}
	stuck := make(chan struct{})
	l.mu.Lock()
	l.stuck = stuck
	l.mu.Unlock()
	held := make(chan error, 1)
	go func() { held <- trip.Hold(true) }()
	<-l.begun
	if err := trip.Close(); err != nil { // would hang here
		t.Fatal(err)
	}
	close(stuck)
	if err := <-held; err != nil {
		t.Fatal(err)
	}
	l.did(t, "closed", false, true, false)
	free(t, b.link)
}

// The line of the port of the readings: dropped when it is opened, when it is
// lost, when it is back and when it is closed; held only when told.
func TestTripOnDataPort(t *testing.T) {
	b, l := newBoard(t), &lamp{}
	f := mustOpen(t, "serial:"+b.link, Options{})
	trip, err := TripOn(f, RTS)
	if err != nil {
		t.Fatal(err)
	}
	f.(*serialPort).modem = l.modem()
	if err := trip.Hold(false); err != nil {
		t.Errorf("dropped before the port is open: %v", err)
	}
	if err := trip.Hold(true); err == nil {
		t.Error("held before the port is open")
	}
	r := start(t, f)
	r.until(Opened)
	l.did(t, "opened", false)
	if err := trip.Hold(true); err != nil {
		t.Fatal(err)
	}
	b.send("1000,812\n")
	r.text(9)
	b.unplug()
	r.until(Lost)
	l.did(t, "lost", false, true, false)
	if err := trip.Hold(true); err == nil {
		t.Error("held while the port is lost")
	}
	b = plugIn(t, b.link)
	r.until(Back)
	l.did(t, "back", false, true, false, false)
	if err := trip.Hold(true); err != nil {
		t.Fatal(err)
	}
	b.send("2000,815\n")
	r.text(9)
	r.stop()
	l.did(t, "closed", false, true, false, false, true, false)
	if err := trip.Close(); err != nil {
		t.Errorf("closed after the port: %v", err)
	}
}

// A line that fails when the port is back does not keep the readings away.
func TestTripLostLineKeepsTheReadings(t *testing.T) {
	b, l := newBoard(t), &lamp{}
	f := mustOpen(t, "serial:"+b.link, Options{})
	trip, err := TripOn(f, RTS)
	if err != nil {
		t.Fatal(err)
	}
	f.(*serialPort).modem = l.modem()
	r := start(t, f)
	r.until(Opened)
	l.set(errors.New("input/output error"))
	b.unplug()
	r.until(Lost)
	b = plugIn(t, b.link)
	r.until(Back)
	b.send("2000,815\n")
	if got := r.text(9); got != "2000,815\n" {
		t.Errorf("read %q", got)
	}
	told(t, trip.Hold(true), "input/output error", "")
	r.stop()
}
