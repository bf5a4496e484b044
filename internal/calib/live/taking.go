package live

import (
	"context"
	"errors"
	"sync"
	"time"

	"draghand/internal/calib"
	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// Options is what a calibration run needs.
type Options struct {
	Feed     feed.Feed
	Time     watch.TimeBase
	LastZero *float64 // raw, of this rig; nil: none is known
	// Run is the run to be: rig, place, side and reference. Its points, if it has
	// some, are kept; its zero is taken anew.
	Run calib.Run
	// Reckon says what the points of a run say; an error: too few, or none that can
	// be reckoned.
	Reckon func(calib.Run) (*calib.Answer, error)
	// Save keeps a run with its answer and gives the path.
	Save    func(calib.Run, *calib.Answer) (string, error)
	Version string
}

// Taking takes the points of one run. Its methods may be called from any goroutine.
type Taking struct {
	o     Options
	w     *watch.Watch
	chain rig.Chain
	taker feed.Taker // nil: nobody minds

	cancel context.CancelFunc
	done   chan struct{}
	ended  watch.Result // of the look; once done is closed

	saving sync.Mutex // held while a file is written

	mu     sync.Mutex
	still  still
	way    way
	signal rig.Signal
	seen   bool // a reading came
	zero   zero
	run    calib.Run
	stood  int // the standstill of the last point
	number int // of the run in work, from 1
	unsure doubt

	change int // counts what moves the answer
	known  int // the change that answer is of; -1: none
	answer *calib.Answer
	saved  string
}

// New opens the source and begins to look at it. Close ends that.
func New(o Options) (*Taking, error) {
	r := o.Run.Rig
	if r == nil {
		return nil, errors.New("calibration: no rig given")
	}
	if why := r.TakesSides(); o.Run.Far && why != nil {
		return nil, why
	}
	on := r.BarOn(o.Run.Far)
	t := &Taking{o: o, chain: on.Chain(), run: o.Run, done: make(chan struct{}), number: 1, known: -1, stood: -1, signal: rig.OK}
	t.taker, _ = o.Feed.(feed.Taker)
	t.still = newStill(float64(t.chain.Step()), float64(t.chain.Range()), r.Source.Rate)
	t.way = way{span: float64(t.chain.Range())}
	t.run.Points = append([]calib.Point(nil), o.Run.Points...)
	for _, p := range t.run.Points {
		t.number = max(t.number, p.Run+1)
	}
	if t.run.Made.IsZero() {
		t.run.Made = time.Now()
	}
	if r.Sensor.Zeroed {
		t.zero.sent(t.chain)
		t.run.Zero = t.zero.raw
	}
	bar := specimen.Specimen{}
	if o.Run.Far {
		bar.Side = specimen.Far
	}
	w, err := watch.New(watch.Options{
		Look: true, Feed: o.Feed, Rig: r, Time: o.Time, LastZero: o.LastZero, Specimen: bar, Version: o.Version, Heard: t.heard,
	})
	if err != nil {
		return nil, err
	}
	t.w = w
	ctx, cancel := context.WithCancel(context.Background())
	t.cancel = cancel
	go func() {
		defer close(t.done)
		t.ended = w.Run(ctx)
	}()
	return t, nil
}

// Close lets the source go and waits until it is closed.
func (t *Taking) Close() {
	t.cancel()
	<-t.done
}

// Done is closed once the source has ended, failed or been let go: no reading comes
// any more. What was taken can still be saved.
func (t *Taking) Done() <-chan struct{} { return t.done }

// Err is why the source failed, once Done is closed; nil: it did not.
func (t *Taking) Err() error {
	select {
	case <-t.done:
		return t.ended.Source
	default:
		return nil
	}
}

// heard takes each good reading, on the look's goroutine.
func (t *Taking) heard(at time.Duration, raw float64, _ pull.Live) {
	p, signal := t.chain.Pressure(raw)
	t.mu.Lock()
	defer t.mu.Unlock()
	t.seen, t.signal = true, signal
	if !signal.Valid() {
		return // a hole, where it lasts
	}
	if !t.still.add(at, float64(p), raw, t.zero.at) {
		return
	}
	if now, ok := t.still.newest(); ok && t.zero.have {
		if t.way.add(now - t.zero.at) {
			t.cameOff()
		}
	}
	t.tendZero()
}

// cameOff notes that the load is off: what comes next is another run.
func (t *Taking) cameOff() {
	if n := len(t.run.Points); n > 0 && t.run.Points[n-1].Run == t.number {
		t.number++
	}
	t.zero.afterDue = len(t.run.Points) > 0
}

// Acknowledge takes note of every alarm.
func (t *Taking) Acknowledge() { t.w.Do(watch.AckAlarms) }
