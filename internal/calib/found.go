package calib

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"draghand/internal/rig"
)

// AsFound is the calibration by which a rig told its forces when the points of a run
// were taken; nil: none. One made then or later says nothing of what was found, and
// one made of these very points would judge itself; neither does the one that the run
// replaces, empty for none.
func AsFound(shelf string, r *rig.Rig, run Run, simulated bool, replaces string) (*rig.Calibration, error) {
	all, err := List(shelf)
	if err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(e Entry) bool {
		return e.File == nil || e.File.Calibration.ID == replaces || !e.File.Calibration.Made.Before(run.Made) || samePoints(e.File.Run.Points, run.Points)
	})
	return inForce(all, r, run.Far, simulated, run.Made), nil
}

// Repeats is the ID of a calibration on a shelf that is of the same points at the
// same place of the same rig, and not withdrawn; empty: none is.
func Repeats(shelf string, run Run, simulated bool) (string, error) {
	all, err := List(shelf)
	if err != nil || run.Rig == nil {
		return "", err
	}
	for _, e := range all {
		if e.File == nil || e.File.Withdrawn != nil {
			continue
		}
		c := &e.File.Calibration
		if c.Rig == run.Rig.Name && c.At == run.At && c.Far == run.Far && c.Simulated == simulated && samePoints(e.File.Run.Points, run.Points) {
			return c.ID, nil
		}
	}
	return "", nil
}

// samePoints says whether all points of the shorter list are in the longer one.
func samePoints(a, b []Point) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(a) < leastRising {
		return false
	}
	same := func(x, y float64) bool { return math.Abs(x-y) <= 1e-9*math.Abs(x) }
	left := slices.Clone(b)
	for _, p := range a {
		i := slices.IndexFunc(left, func(q Point) bool {
			return same(p.Reference, q.Reference) && same(float64(p.Gauge), float64(q.Gauge)) && p.Direction == q.Direction
		})
		if i < 0 {
			return false
		}
		left = slices.Delete(left, i, i+1)
	}
	return true
}

// PassedOver tells of files of a list that cannot be used and, by their names, would
// go before the calibration in force, nil where there is none.
func PassedOver(all []Entry, r *rig.Rig, far bool, c *rig.Calibration) []string {
	var out []string
	for _, e := range all {
		if e.File != nil {
			continue
		}
		id := strings.TrimSuffix(filepath.Base(e.Path), ending)
		made, at, ok := named(id, r.Name, far)
		if !ok {
			continue
		}
		if c != nil {
			// The day of a name is that of the place it was written in.
			if made.Before(c.Made.AddDate(0, 0, -1)) || len(c.ID) >= len(time.DateOnly) && id[:len(time.DateOnly)] < c.ID[:len(time.DateOnly)] || nearness(at) < nearness(c.At) {
				continue
			}
			if at == c.At && id[:len(time.DateOnly)] == c.ID[:min(len(c.ID), len(time.DateOnly))] && later(id, c.ID) < 0 {
				continue // of the same day, and before it
			}
			out = append(out, fmt.Sprintf("the newer calibration %s is damaged and not used (%s); in use is %s", id, reasonOf(e), c.ID))
			continue
		}
		out = append(out, fmt.Sprintf("the calibration %s is damaged and not used (%s)", id, reasonOf(e)))
	}
	return out
}

// mostWhy is how many letters of a reason are told beside what is used.
const mostWhy = 200

func reasonOf(e Entry) string {
	if r := []rune(e.Reason); len(r) > mostWhy {
		return string(r[:mostWhy]) + "…"
	}
	return e.Reason
}

// named reads the day and the place out of an ID, for bars on a side of a rig of a
// name; false where it is of another.
func named(id, name string, far bool) (made time.Time, at rig.Place, ok bool) {
	if len(id) < len(time.DateOnly) {
		return made, at, false
	}
	made, err := time.Parse(time.DateOnly, id[:len(time.DateOnly)])
	if err != nil {
		return made, at, false
	}
	for _, at := range []rig.Place{rig.AtSpecimen, rig.AtRam, rig.AtGauge} {
		rest, ok := strings.CutPrefix(id, NewID(made, name, at, far && at == rig.AtSpecimen))
		if !ok {
			continue
		}
		if rest == "" {
			return made, at, true
		}
		if n, ok := strings.CutPrefix(rest, "-"); ok {
			if _, err := strconv.Atoi(n); err == nil {
				return made, at, true
			}
		}
	}
	return made, at, false
}

// withPassed is a calibration in force with what was passed over before it.
func withPassed(all []Entry, r *rig.Rig, far bool, c *rig.Calibration) *rig.Calibration {
	if c != nil {
		c.PassedOver = PassedOver(all, r, far, c)
	}
	return c
}

// Judges says why a calibration cannot stand for what a rig told when the points of a
// run were taken; nil where it can. The error is a *MissingError.
func (f *File) Judges(run Run) error {
	c := &f.Calibration
	const do = "name one from before, or --calibration none"
	switch {
	case samePoints(f.Run.Points, run.Points):
		return missing(do, "%s was made of these very points: it would judge itself", c.ID)
	case !c.Made.Before(run.Made):
		return missing(do, "%s is of %s, no earlier than the points: it does not say what was found", c.ID, c.Made.Local().Format(time.DateTime))
	}
	return nil
}

// PassedOver tells of damaged files of the shelf as it was read last, where no
// calibration is in force.
func (w *Watcher) PassedOver(r *rig.Rig, far bool) []string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return PassedOver(w.all, r, far, nil)
}
