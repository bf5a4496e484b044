package sim

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"
)

// ready is one ready-made script.
type ready struct {
	name   string
	script []Act
}

// scripts are the ready-made scripts, in the order in which they are shown.
func scripts() []ready {
	one := func(name string, a Act) ready { return ready{name, []Act{a}} }
	return []ready{
		one("unplug", Act{Kind: Unplug}),
		one("open", Act{Kind: Open}),
		one("stuck", Act{Kind: Stuck}),
		one("clipped", Act{Kind: Clipped}),
		one("spike", Act{Kind: Spike}),
		one("banner", Act{Kind: Banner}),
		one("wrap", Act{Kind: Wrap}),
		one("reset", Act{Kind: Reset}),
		one("noise", Act{Kind: Noise}),
		one("dropout", Act{Kind: Dropout, Times: 5}),
		one("end", Act{Kind: End}),
		one("let-off-fast", Act{Kind: LetOff, For: 200 * time.Millisecond}),
		one("let-off", Act{Kind: LetOff, For: time.Second}),
		one("let-off-slow", Act{Kind: LetOff, For: 5 * time.Second}),
		one("let-off-again", Act{Kind: LetOff, For: time.Second, Again: 3 * time.Second}),
		one("slip", Act{Kind: Slip}),
		one("slips", Act{Kind: Slip, Times: 4}),
		one("preload", Act{Kind: Preload}),
		one("pause", Act{Kind: Pause}),
		one("hold", Act{Kind: Hold}),
		one("giving", Act{Kind: Giving}),
		one("fade", Act{Kind: Fade}),
		one("flaw", Act{Kind: Flaw}),
		one("tear", Act{Kind: Tear}),
	}
}

// Faults are the names of the ready-made scripts that Options.Fault takes.
func Faults() []string {
	var names []string
	for _, s := range scripts() {
		names = append(names, s.name)
	}
	return names
}

// named is the script of names separated by commas.
func named(list string) ([]Act, error) {
	if list == "" {
		return nil, nil
	}
	var acts []Act
	all := scripts()
names:
	for name := range strings.SplitSeq(list, ",") {
		name = strings.TrimSpace(name)
		for _, s := range all {
			if strings.EqualFold(name, s.name) {
				acts = append(acts, s.script...)
				continue names
			}
		}
		return nil, fmt.Errorf("no simulated fault is named %q: choose of %s", name, strings.Join(Faults(), ", "))
	}
	return acts, nil
}

// kinds of acts by who does them.
func (k ActKind) mechanical() bool {
	switch k {
	case LetOff, Slip, Preload, Pause, Hold, Giving, Fade, Flaw, Tear, Crack:
		return true
	}
	return false
}

func (k ActKind) electrical() bool {
	switch k {
	case Spike, Noise, Stuck, Clipped, Open, Unplug, Reset, Wrap, Banner, Dropout, End:
		return true
	}
	return false
}

// maxTime is the longest At, For and Again of an Act.
const maxTime = time.Hour

// mostActs and mostTimes keep a script to what a pull can hold.
const (
	mostActs  = 64
	mostTimes = 1000
)

// check refuses what cannot be, naming it.
func (a *Act) check() error {
	var errs []error
	bad := func(format string, args ...any) {
		errs = append(errs, fmt.Errorf("act %q of the script: "+format, append([]any{a.Kind}, args...)...))
	}
	if !a.Kind.mechanical() && !a.Kind.electrical() {
		bad("no such act")
	}
	if !(a.Share >= 0 && a.Share <= 2) {
		bad("share %g, it must lie from 0 to 2", a.Share)
	}
	size := 1.0
	switch a.Kind {
	case Slip, Pause, Crack, Giving:
		size = 0.95
	}
	if low := 0.0; !(a.Size >= low && a.Size <= size) && !(a.Kind == Spike && a.Size >= -1 && a.Size < 0) {
		bad("size %g, it must lie from 0 to %g", a.Size, size)
	}
	for _, d := range []time.Duration{a.At, a.For, a.Again} {
		if d < 0 || d > maxTime {
			bad("a time of %s, it must lie from 0 to %s", d, maxTime)
		}
	}
	if a.Times < 0 || a.Times > mostTimes {
		bad("%d times, it must lie from 0 to %d", a.Times, mostTimes)
	}
	return errors.Join(errs...)
}

func uniform(r *rand.Rand, low, high float64) float64 { return low + (high-low)*r.Float64() }

// spread draws evenly over the orders of magnitude.
func spread(r *rand.Rand, low, high float64) float64 {
	return low * math.Exp(r.Float64()*math.Log(high/low))
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// drawn fills in what is left open of a mechanical act. All bounds are those
// of the page on the simulator.
func (a Act) drawn(r *rand.Rand) Act {
	share := func(low, high float64) {
		if a.At == 0 && a.Share == 0 {
			a.Share = uniform(r, low, high)
		}
	}
	size := func(low, high float64) {
		if a.Size == 0 {
			a.Size = uniform(r, low, high)
		}
	}
	long := func(low, high float64) {
		if a.For == 0 {
			a.For = seconds(spread(r, low, high))
		}
	}
	switch a.Kind {
	case LetOff:
		share(0.5, 0.9)
		long(0.2, 5)
	case Slip, Crack:
		share(0.3, 0.9)
		size(0.05, 0.60)
		long(0.005, 0.06)
	case Preload:
		size(0.05, 0.22)
		long(0.4, 2)
		if a.Times == 0 {
			a.Times = 1 + r.IntN(4)
		}
		if a.Again == 0 {
			a.Again = seconds(uniform(r, 0.3, 2))
		}
	case Pause:
		share(0.2, 0.95)
		size(0.02, 0.10)
		long(2, 60)
	case Hold:
		share(0.4, 0.95)
	case Giving:
		if a.Share == 0 { // it has no other beginning
			a.Share = uniform(r, 0.5, 0.85)
		}
		size(0.10, 0.35)
	case Flaw:
		share(0.3, 0.95)
	case Fade:
		if a.Size == 0 {
			a.Size = uniform(r, 0.2, 1)
		}
	case Tear:
		long(0.015, 0.25)
	}
	return a
}

// deeds are the mechanical acts of a script in the order in which they were
// written, all draws done. Giving, fade and tear are put into the press, bar
// and course.
func deeds(script []Act, r *rand.Rand, p *person) []deed {
	var all []deed
	for _, a := range script {
		if !a.Kind.mechanical() {
			continue
		}
		a = a.drawn(r)
		switch a.Kind {
		case Giving:
			p.giveAt = a.Share * p.b.peakForce / p.m.share
			p.giveUp = a.Size / (1 - a.Size) / p.compliance
			continue
		case Fade:
			if !p.b.block {
				p.b.fade(p.m.share*p.m.share*p.b.length/p.compliance, 1.2+a.Size)
			}
			continue
		case Tear:
			p.c.fall = a.For.Seconds()
			continue
		}
		d := deed{Act: a, valve: uniform(r, 0.02, 0.6)}
		p.when(&d)
		all = append(all, d)
		switch a.Kind {
		case Preload:
			for i := range a.Times {
				one := d
				one.force = a.Size * p.b.peakForce
				one.at, one.floor = -1, uniform(r, 0.005, 0.03)
				if i == 0 {
					all[len(all)-1] = one
				} else {
					all = append(all, one)
				}
			}
		case Slip, Crack:
			// More of them follow, on the rest of the way.
			for i := 1; i < a.Times && a.At == 0 && a.Share < 1; i++ {
				one := d
				one.Share += (0.99 - a.Share) * float64(i) / float64(a.Times)
				p.when(&one)
				all = append(all, one)
			}
		}
	}
	return all
}

// when turns At and Share into what the person looks for.
func (p *person) when(d *deed) {
	d.at, d.force = -1, math.Inf(1)
	switch {
	case d.At > 0:
		d.at = max(1, int((d.At-p.c.idle)/step))
	case d.Share <= 1 && !p.b.block:
		d.force = d.Share * p.b.peakForce
	case d.Share <= 1: // of the force of first yield: past it a block's rises little
		d.force = d.Share * p.b.first
	default:
		d.strain = p.b.uniform + (d.Share-1)*(p.b.fracture-p.b.uniform)
	}
}
