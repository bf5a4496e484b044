package live

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"draghand/internal/calib"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// absurd is how many times the reference may differ from what the rig itself tells,
// unless it is said twice.
const absurd = 3

// mostPoints of a run, over all its rounds.
const mostPoints = 500

// Take makes a point of the reading that stands still and of what the reference
// shows: a pressure at the gauge, else a force, with its unit.
func (t *Taking) Take(reference string) error {
	value, err := parseReference(t.o.Run.At, reference)
	if err != nil {
		return err
	}
	if err := t.take(value, strings.Join(strings.Fields(reference), " ")); err != nil {
		return err
	}
	if t.taker != nil {
		t.taker.Taken()
	}
	return nil
}

func (t *Taking) take(value float64, text string) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	if !t.zero.have {
		return errors.New("no point taken: there is no zero yet: " + t.zeroNote())
	}
	if err := t.stands("no point taken"); err != nil {
		return err
	}
	units := t.o.Run.Rig.Units
	p, ok := t.point()
	switch {
	case !ok:
		return fmt.Errorf("no point taken: the reading is within %s of the zero: bring the load on first", si.Pressure(nearZero*t.way.span).Text(units))
	case t.taken():
		return fmt.Errorf("no point taken: point %d is of this same standstill. To correct it, drop it first; else go on to the next load", len(t.run.Points))
	case len(t.run.Points) >= mostPoints:
		return fmt.Errorf("no point taken: %d are the most", mostPoints)
	}
	own, ownText := float64(p.Gauge), p.Gauge.Text(units)
	if t.o.Run.At != rig.AtGauge {
		f := t.force(p.Gauge)
		own, ownText = float64(f), f.Text(units)
	}
	if own > 0 && (value > absurd*own || value*absurd < own) && !t.again("take "+text) {
		return fmt.Errorf("no point taken: the rig tells %s where the reference is said to show %s: look at number and unit; if it is so, say it again", ownText, text)
	}
	t.unsure = doubt{}
	p.Reference, p.At, p.Text = value, time.Now(), text
	t.run.Points = append(slices.Clip(t.run.Points), p) // a View may hold the old ones
	t.stood, t.saved = t.still.stands, ""
	t.change++
	return nil
}

// stands says why the reading cannot be taken for one that stands still. The caller
// holds mu.
func (t *Taking) stands(not string) error {
	if why := t.fault(); why != "" {
		return errors.New(not + ": " + why)
	}
	switch {
	case !t.signal.Valid():
		return fmt.Errorf("%s: the sensor cannot be read: %s: look at the sensor, its cable and its range", not, t.signal)
	case t.still.steady:
		return nil
	}
	why := t.still.moving(t.zero.at, t.o.Run.Rig.Units)
	if why == "" {
		return fmt.Errorf("%s: the reading has to stand still for %g s: hold the load, and read the reference again then", not, stillFor.Seconds())
	}
	return fmt.Errorf("%s: the reading does not stand still: %s. Hold the load, and read the reference again then", not, why)
}

// point is the one that could be taken now, without a reference; false where there
// is no load. The caller holds mu.
func (t *Taking) point() (calib.Point, bool) {
	w := &t.still.w
	p := calib.Point{
		Gauge: si.Pressure(w.p - t.zero.at), Raw: w.raw, SD: si.Pressure(w.sd), Readings: w.n, Direction: t.way.going(), Run: t.number,
	}
	return p, float64(p.Gauge) > nearZero*t.way.span
}

// taken says whether the point of this standstill is taken. The caller holds mu.
func (t *Taking) taken() bool { return t.still.steady && t.stood == t.still.stands }

// force is what the rig makes of a pressure at the place of the reference.
func (t *Taking) force(p si.Pressure) si.Force {
	switch t.o.Run.At {
	case rig.AtRam:
		return t.chain.Ram(p)
	case rig.AtSpecimen:
		return t.chain.Specimen(p)
	}
	return 0
}

// Drop takes a point out, by its place in the run from 0.
func (t *Taking) Drop(i int) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	n := len(t.run.Points)
	if i < 0 || i >= n {
		if n == 0 {
			return errors.New("no point to drop: none is taken yet")
		}
		return fmt.Errorf("there is no point %d: they are 1 to %d", i+1, n)
	}
	t.run.Points = slices.Delete(slices.Clone(t.run.Points), i, i+1)
	t.run.Dropped++
	if len(t.run.Points) == 0 {
		t.run.Dropped = 0 // the run begins anew
	}
	if i == n-1 {
		t.stood = -1 // it may be taken anew
	}
	t.saved = ""
	t.change++
	return nil
}

// Save keeps the run and gives the path of its file.
func (t *Taking) Save() (string, error) {
	t.saving.Lock()
	defer t.saving.Unlock()
	t.mu.Lock()
	run, at := t.copied(), t.change
	t.mu.Unlock()
	answer, err := t.o.Reckon(run)
	if err != nil {
		return "", err
	}
	path, err := t.o.Save(run, answer)
	if err != nil {
		return "", err
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	if at == t.change {
		t.saved = path
	}
	return path, nil
}

// copied is the run as it is now, not to be changed by what comes. The caller holds
// mu.
func (t *Taking) copied() calib.Run {
	run := t.run
	run.Points = slices.Clip(run.Points)
	if run.ZeroAfter != nil {
		after := *run.ZeroAfter
		run.ZeroAfter = &after
	}
	return run
}

// parseReference reads what a reference shows: a pressure at the gauge, else a
// force, above nothing.
func parseReference(at rig.Place, text string) (float64, error) {
	pressure, noPressure := si.ParsePressure(text)
	force, noForce := si.ParseForce(text)
	value, err, other, want := float64(force), noForce, noPressure, `a force with its unit, such as "20 kN"`
	if at == rig.AtGauge {
		value, err, other, want = float64(pressure), noPressure, noForce, `a pressure with its unit, such as "250 bar"`
	}
	unit := strings.TrimLeft(strings.TrimSpace(text), "+-0123456789.eE ")
	switch {
	case err != nil && other == nil:
		return 0, fmt.Errorf("no point taken: the reference is at the %s, so what it shows is %s", at, want)
	case err != nil && (unit == "kg" || unit == "lb" || unit == "lbs" || unit == "t"):
		return 0, fmt.Errorf("no point taken: %s is a mass: write its weight where it hangs, mass times local gravity, as %s", strings.TrimSpace(text), want)
	case err != nil:
		return 0, fmt.Errorf("no point taken: %w", err)
	case !(value > 0):
		return 0, errors.New("no point taken: a reference of nothing is no point; the zero is taken without load")
	}
	return value, nil
}
