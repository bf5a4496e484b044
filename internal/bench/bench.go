package bench

import (
	"context"
	"sync"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

const (
	// frame is how often a view is made at the most while only the readings change.
	frame = time.Second / 30
	// tendEvery is how often the bench looks whether there is something to do that
	// nobody told it of: load that was let off, a source to be tried again.
	tendEvery = 200 * time.Millisecond
	// retryAfter is how long a source that could not be opened is left alone. It
	// may be a board that is not plugged in yet.
	retryAfter = 2 * time.Second
)

// Bench is one sitting. Run owns its goroutines.
type Bench struct {
	o    Options
	wake chan struct{} // there is something to tend
	shut chan struct{} // Close was called
	once sync.Once
	gone chan struct{} // Run has returned

	breaks sync.Once
	broken chan struct{} // there was a fault in the program
	fault  error         // set before broken is closed

	// work is held by whoever opens, arms or puts away, disks and ports included;
	// mu is never held while it is waited for.
	work    sync.Mutex
	src     *source   // under work
	look    *looking  // under work; changed under mu too
	heads   shelfBars // under work
	shelved bool      // under work: the shelf was looked at

	listening sync.Mutex // held while Options.Listen is told something

	mu        sync.Mutex // for moments only
	ctx       context.Context
	form      form
	lastRig   *rig.Rig  // the last one that could be used
	rigRead   time.Time // when its file was read
	rigKey    string    // what the rig in form was loaded for
	reckoned  string    // by what its forces are reckoned, in a line
	reload    bool      // the rig file is to be read in any case
	due       bool      // rig, source or kind were changed and not yet tended
	state     SourceState
	srcErr    error
	tripNote  string    // why the source has no trip line though the rig states one
	failed    time.Time // when the source failed
	seen      map[PointID]bool
	lastZero  *float64
	pulled    map[barKey]earlier // on the shelf
	spell     spell              // the last load in a look
	loadSeen  *LoadSeen          // in the look, since the last arming; never changed
	trust     *trusted           // zero that later ones are held against; never changed
	zeroAsked time.Time          // a zero of what reads as load
	history   *history           // of the rig in front; never changed
	stockKept bool               // the stock was left from the bar before
	shelfErr  error
	anew      bool // the look is to be begun anew, for a zero
	running   *running
	ended     *Ended
	result    watch.Result
	bars      []Bar
	view      *View
	viewed    *watch.Snapshot // that the view shows
	made      time.Time
	dirty     bool
}

// New is a bench with its fields as given. Nothing is opened before Run.
func New(o Options) *Bench {
	b := &Bench{
		o: o, wake: make(chan struct{}, 1), shut: make(chan struct{}), gone: make(chan struct{}), broken: make(chan struct{}),
		seen: map[PointID]bool{}, pulled: map[barKey]earlier{}, state: NoSource, dirty: true, due: true,
	}
	b.form.texts = map[FieldID]string{}
	if b.form.alloys = o.Alloys; b.form.alloys == nil {
		b.form.alloys = specimen.Alloys()
	}
	for id, text := range o.Initial {
		if known(id) {
			b.form.texts[id] = tidy(text)
		}
	}
	b.form.loading = b.form.texts[FieldRig] != ""
	return b
}

// Run opens the source that the fields name, keeps it open, and carries the pulls
// that are armed. It returns when ctx is done or Close was called, and everything
// is closed: a pull that runs then is ended and its record closed. The same after
// a fault in the program, which is the error.
func (b *Bench) Run(ctx context.Context) error {
	defer close(b.gone)
	own, cancel := context.WithCancel(context.WithoutCancel(ctx))
	defer cancel()
	b.mu.Lock()
	b.ctx = own
	b.mu.Unlock()
	tick := time.NewTicker(tendEvery)
	defer tick.Stop()
	for {
		b.tended()
		select {
		case <-ctx.Done():
			return b.close(false)
		case <-b.broken:
			return b.close(false)
		case <-b.shut:
			return b.close(true)
		case <-b.wake:
		case <-tick.C:
		}
	}
}

// Close ends a pull that runs, closes the source, and returns when Run has. It
// must not be called where Run never was.
func (b *Bench) Close() {
	b.once.Do(func() { close(b.shut) })
	<-b.gone
}

// kick wakes Run.
func (b *Bench) kick() {
	select {
	case b.wake <- struct{}{}:
	default:
	}
}

// changed notes that the view must be made anew. The caller holds mu.
func (b *Bench) changed() { b.dirty = true }

// View is the bench now. It is made anew only where something changed, and at
// most 30 times a second for the readings alone.
func (b *Bench) View() *View {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.viewNow(false)
}

// viewNow is View; at once where the newest readings must be in it. The caller
// holds mu.
func (b *Bench) viewNow(atOnce bool) *View {
	snap := b.snapshot()
	if b.view != nil && !b.dirty && (snap == b.viewed || !atOnce && time.Since(b.made) < frame) {
		return b.view
	}
	m := b.moment(snap)
	v := &View{
		Fields: m.fields, Points: m.points, Refusals: m.refusals(), Rig: m.rig, Alloys: b.form.alloys, Source: m.source, SourceErr: m.sourceErr,
		Look: snap, Units: m.units, Bars: append([]Bar(nil), b.bars...), LoadSeen: b.loadSeen, TripNote: b.tripNote,
	}
	if m.rig != nil {
		v.Unknown, v.Cautions = m.rig.UnknownParts(), m.cautions()
		v.Cautions = append(v.Cautions, m.calibrationCautions()...)
		v.Cautions = append(v.Cautions, m.historyCautions()...)
		v.Check, v.ZeroDrift, v.Calibration = m.checkText(), m.driftText(), b.reckoned
	}
	b.view, b.viewed, b.made, b.dirty = v, snap, time.Now(), false
	return v
}

// snapshot is what the look says; nil without one, and where it looks by a rig
// that is no more, or at a bar on the other side. The caller holds mu.
func (b *Bench) snapshot() *watch.Snapshot {
	if b.look == nil || b.look.rig != b.form.rig {
		return nil
	}
	if _, setup := b.form.read(); b.look.side != setup.Bar.Side {
		return nil
	}
	return b.look.w.Snapshot()
}

// moment gathers what arming hangs on. The caller holds mu.
func (b *Bench) moment(snap *watch.Snapshot) *moment {
	b.form.units = b.units()
	m := &moment{
		rig: b.form.rig, rigErr: b.form.rigErr, loading: b.form.loading, from: b.form.source(), source: b.state,
		look: snap, lastZero: b.lastZero, trust: b.trust, shelfErr: b.shelfErr, running: b.running != nil, units: b.form.units,
	}
	m.fields, m.setup = b.form.read()
	m.rig = m.rig.BarOn(m.setup.Bar.Side == specimen.Far)
	bar := m.setup.Bar
	bar.Simulated = b.look != nil && b.look.simulated
	m.pulled = b.pulled[keyOf(bar)]
	m.stockKept = b.stockKept
	if h := b.history; h != nil && m.rig != nil && h.rig == m.rig.Name && h.simulated == bar.Simulated {
		m.history = h
	}
	m.points = points(m.setup.Kind, m.rig, m.units)
	for i := range m.points {
		m.points[i].Done = b.seen[m.points[i].ID]
	}
	if b.due && m.from != "" {
		m.source = OpeningSource
	}
	if m.source == SourceFailed && b.srcErr != nil {
		m.sourceErr = sentence(b.srcErr)
	}
	select {
	case <-b.shut:
		m.closing = true
	default:
		m.closing = b.ctx == nil || b.ctx.Err() != nil
	}
	return m
}

// units is the system of display. The caller holds mu.
func (b *Bench) units() si.System {
	switch {
	case b.o.Units != nil:
		return *b.o.Units
	case b.form.rig != nil:
		return b.form.rig.Units
	}
	return si.US
}

// rigOf reads the rig that the fields ask for; nil where they ask for none. told is
// by what its forces are reckoned.
func (b *Bench) rigOf(path, from string, kind pull.Kind, far bool) (r *rig.Rig, told string, err error) {
	switch {
	case path != "" && b.o.LoadRig != nil:
		r, err = b.o.LoadRig(path)
	case path == "" && simulated(from) && b.o.BuiltIn != nil:
		r, err = b.o.BuiltIn(kind)
	}
	if r == nil || err != nil || b.o.Calibrate == nil {
		return r, "", err
	}
	return b.o.Calibrate(r.BarOn(far && r.Path.Kind == rig.TwoSided), far && r.Path.Kind == rig.TwoSided, simulated(from))
}
