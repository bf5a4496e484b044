package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"github.com/adrg/xdg"

	"draghand/internal/bench"
	"draghand/internal/feed"
	"draghand/internal/replay"
	"draghand/internal/rig"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/sim"
	"draghand/internal/specimen"
	"draghand/internal/watch"
	"draghand/tui"
)

// desk is the bench with what belongs to the program around it: the shelf, the
// ports, the rig files, the replays.
type desk struct {
	*bench.Bench
	c *common
}

var _ tui.Desk = (*desk)(nil)

// Arm arms the pull and gives it as a screen sees it.
func (d *desk) Arm(reason string, shown *bench.View) (tui.Source, error) {
	p, err := d.Bench.Arm(reason, shown)
	if err != nil {
		return nil, err
	}
	return p, nil
}

// Ports lists the ports without touching the one that is read.
func (d *desk) Ports() ([]string, error) {
	names, err := feed.QuietPorts()
	for i := range names {
		names[i] = "serial:" + names[i]
	}
	return append(names, "sim:"), err
}

// Rigs are the rig files of the configuration folder and of the working folder.
func (d *desk) Rigs() []string {
	var out []string
	for _, dir := range []string{filepath.Join(xdg.ConfigHome, "draghand"), "."} {
		found, err := filepath.Glob(filepath.Join(dir, "*.toml"))
		if err != nil { // a folder whose name is a bad pattern
			continue
		}
		slices.Sort(found)
		out = append(out, found...)
	}
	return out
}

// Shelf lists the records.
func (d *desk) Shelf() ([]shelf.Entry, error) {
	return d.c.listShelf(context.Background())
}

// Replay opens a record of the shelf, recomputed with another rig file where one
// is named.
func (d *desk) Replay(name, rigFile string) (tui.Player, error) {
	o := replay.Options{RigFile: rigFile}
	if rigFile != "" {
		r, err := benchRig(rigFile)
		if err != nil {
			return nil, err
		}
		o.Rig = r
	}
	path, err := recordPath(d.c, name)
	if err != nil {
		return nil, err
	}
	p, err := replay.Open(path, o)
	if err != nil {
		return nil, err
	}
	return p, nil
}

// benchTrip makes the trip line of a source on the bench.
func benchTrip(f feed.Feed, r *rig.Rig) (line feed.Trip, note string, err error) {
	return watch.OpenTrip(r, f)
}

// benchRig loads a rig file named on the bench: as a path, or by its name in the
// configuration folder.
func benchRig(name string) (*rig.Rig, error) {
	if _, err := os.Stat(name); errors.Is(err, os.ErrNotExist) && filepath.Base(name) == name {
		for _, n := range []string{name, name + ".toml"} {
			p := filepath.Join(xdg.ConfigHome, "draghand", n)
			if _, err := os.Stat(p); err == nil {
				name = p
				break
			}
		}
	}
	return loadRig(name)
}

// benchSources opens the sources of a sitting.
type benchSources struct {
	w  world
	mu sync.Mutex
	// diameter of the bar that the simulated rig pulls next; where it is not
	// round, of a round one of the same section
	diameter si.Length
	far      bool // it stands on the far side
}

// armed takes note of the bar that is pulled next.
func (b *benchSources) armed(s bench.Setup) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.diameter, b.far = s.Bar.RoundEqual(), s.Bar.Side == specimen.Far
}

// open opens a source for a whole sitting. The simulated rig waits until a pull
// is armed, and pulls another bar each time; "fault=slip/let-off/none" names what
// happens to one bar after the other, the last to all that follow.
func (b *benchSources) open(from string, r *rig.Rig, s bench.Setup) (feed.Feed, watch.TimeBase, bool, error) {
	what := simOptions{kind: sim.Kind(s.Kind), target: pumpedTo(s.Proof.Target), hold: s.Proof.Hold}
	if !isSim(from) {
		f, traits, err := openSource(b.w, from, r, s.Bar, what)
		return f, traits.time, false, err
	}
	o, err := simQuery(from, s.Bar, what)
	if err != nil {
		return nil, 0, true, err
	}
	f, err := b.simSitting(o, r)
	return f, watch.HostTime, true, err
}

// simSitting is the simulated rig of a sitting.
func (b *benchSources) simSitting(o simOptions, r *rig.Rig) (feed.Feed, error) {
	stated := o.diameter // in the source itself
	faults := strings.Split(o.fault, "/")
	bar := func(n int) (*sim.Sim, error) {
		one := o
		if one.fault = faults[min(n, len(faults)-1)]; one.fault == "none" {
			one.fault = ""
		}
		one.seed += uint64(n)
		b.mu.Lock()
		one.far = b.far
		if stated == 0 {
			one.diameter = b.diameter
		}
		b.mu.Unlock()
		return one.sim(r)
	}
	for n := range faults { // a wrong name is told now, not at the third bar
		if _, err := bar(n); err != nil {
			return nil, err
		}
	}
	first, err := bar(0)
	if err != nil {
		return nil, err
	}
	f, err := sim.NewSitting(first.Options(), bar, o.speed)
	if err != nil {
		return nil, failf(exitUsage, "see draghand simulate --help", "%w", err)
	}
	return f, nil
}
