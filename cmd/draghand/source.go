package main

import (
	"net/url"
	"strconv"
	"strings"
	"time"

	"draghand/internal/feed"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/sim"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// sourceTraits is what the pull must know of its source.
type sourceTraits struct {
	time      watch.TimeBase
	simulated bool
}

func isSim(from string) bool { return from == "sim" || strings.HasPrefix(from, "sim:") }

// openSource makes the feed named by from.
// what stands for what the simulator takes where from does not say it.
func openSource(w world, from string, r *rig.Rig, bar specimen.Specimen, what simOptions) (feed.Feed, sourceTraits, error) {
	var traits sourceTraits
	switch {
	case from == "":
		return nil, traits, failf(exitUsage, "add --from serial:PATH, or from = \"serial:PATH\" under [source] in the rig file", "no source of readings is named")
	case isSim(from):
		traits.simulated = true
		f, err := simSource(from, r, bar, what)
		return f, traits, err
	case strings.HasPrefix(from, "file:") || from == "-":
		traits.time = fileTime(from, r)
	}
	f, err := feed.Open(from, feed.Options{Baud: r.Source.Baud, Stdin: w.in})
	if err != nil {
		return nil, traits, sourceFault(err)
	}
	if traits.time == watch.RateTime && r.Source.Rate <= 0 {
		return nil, traits, failf(exitUsage, "state rate = 100 (readings a second) under [source] in the rig file", "%s carries no time column and the rig file states no rate", from)
	}
	return f, traits, nil
}

// fileTime is the time base of readings that do not come as they are measured.
// Standard input without a board clock may be a live pipe: it keeps the host's
// time.
func fileTime(from string, r *rig.Rig) watch.TimeBase {
	if r.Source.Clock != "" {
		return watch.BoardTime
	}
	if from == "-" {
		return watch.HostTime
	}
	return watch.RateTime
}

// simSource is the simulated rig with one bar in it.
func simSource(from string, r *rig.Rig, bar specimen.Specimen, o simOptions) (feed.Feed, error) {
	o, err := simQuery(from, bar, o)
	if err != nil {
		return nil, err
	}
	s, err := o.sim(r)
	if err != nil {
		return nil, err
	}
	return sim.NewFeed(s, o.speed), nil
}

// simQuery reads sim:?alloy=…&seed=…&speed=… and the other keys of set.
func simQuery(from string, bar specimen.Specimen, o simOptions) (simOptions, error) {
	q, err := url.ParseQuery(strings.TrimPrefix(strings.TrimPrefix(strings.TrimPrefix(from, "sim"), ":"), "?"))
	if err != nil {
		return o, failf(exitUsage, "write sim:?alloy=C90500&seed=1", "the source %q cannot be read: %w", from, err)
	}
	o.diameter, o.seed, o.speed, o.far = bar.RoundEqual(), 1, 1, bar.Side == specimen.Far
	for key, values := range q {
		v := values[len(values)-1]
		known, err := o.set(key, v)
		if !known {
			return o, failf(exitUsage, "known are alloy, diameter, seed, speed, rate, idle, fault, kind, noise, target and hold; loads and on; true-share, true-area, true-friction and sensor-gain", "the simulator knows no %q", key)
		}
		if err != nil {
			return o, failf(exitUsage, "write it like sim:?alloy=C90500&seed=1&speed=2", "%s=%q of the simulator cannot be read: %w", key, v, err)
		}
	}
	return o, nil
}

// simOptions is what the simulator may be told on the command line.
type simOptions struct {
	alloy, fault string
	kind         sim.Kind
	far          bool    // the bar stands on the far side
	share        float64 // true one of its own place; 0: as the rig file says
	diameter     si.Length
	seed         uint64
	speed, rate  float64
	noise        float64 // SD over the peak; 0: the transducer's own
	target       si.Force
	hold         time.Duration
	clockSpeed   float64       // of the board on a port; 0: its clock is the simulated one
	idle         time.Duration // at zero before the load; 0: the simulator's 3 s

	// of the truth behind the rig file, and of the kind steps; see sim.Options
	area, friction, gain float64
	loads                string
	on                   rig.Place
	wait                 bool
}

// set reads one option as text; false where there is none of that name.
func (o *simOptions) set(key, v string) (known bool, err error) {
	switch key {
	case "alloy":
		o.alloy = v
	case "fault":
		o.fault = v
	case "kind":
		o.kind = sim.Kind(v)
	case "diameter":
		o.diameter, err = si.ParseLength(v)
	case "seed":
		o.seed, err = strconv.ParseUint(v, 10, 64)
	case "speed":
		o.speed, err = strconv.ParseFloat(v, 64)
	case "rate":
		o.rate, err = strconv.ParseFloat(v, 64)
	case "idle":
		o.idle, err = time.ParseDuration(v)
	case "noise":
		o.noise, err = parseFraction(v)
	case "true-area":
		var a si.Area
		a, err = si.ParseArea(v)
		o.area = float64(a)
	case "true-friction":
		if o.friction, err = parseFraction(v); err == nil && o.friction == 0 {
			o.friction = -1 // none, whatever the file says
		}
	case "sensor-gain":
		o.gain, err = parseFraction(v)
	case "loads":
		o.loads = v
	case "on":
		o.on = rig.Place(v)
	case "share", "true-share":
		o.share, err = parseFraction(v)
	case "target":
		o.target, err = si.ParseForce(v)
	case "hold":
		o.hold, err = time.ParseDuration(v)
	default:
		return false, nil
	}
	return true, err
}

// loadsOn reads "10kN/20kN" for the place of the reference.
func (o *simOptions) loadsOn() ([]float64, error) {
	if o.loads == "" {
		return nil, nil
	}
	var out []float64
	for text := range strings.SplitSeq(o.loads, "/") {
		var v float64
		var err error
		if o.on == rig.AtGauge {
			var p si.Pressure
			p, err = si.ParsePressure(text)
			v = float64(p)
		} else {
			var f si.Force
			f, err = si.ParseForce(text)
			v = float64(f)
		}
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}

// parseFraction reads "2 %" or 0.02.
func parseFraction(s string) (float64, error) {
	text, percent := strings.CutSuffix(strings.TrimSpace(s), "%")
	f, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if percent {
		f /= 100
	}
	return f, err
}

// pumpedTo is what a person pumps to who means to hold a target: a little over
// it, lest it is not reached by the gauge.
func pumpedTo(target si.Force) si.Force { return 1.02 * target }

// demoDiameter is the turned bar of the example scenario.
const demoDiameter = 12.5 * si.Millimetre

func (o *simOptions) sim(r *rig.Rig) (*sim.Sim, error) {
	if o.diameter == 0 {
		o.diameter = demoDiameter
	}
	if !(o.speed >= 0.1 && o.speed <= 1000) {
		return nil, failf(exitUsage, "choose 0.1 to 1000", "the simulator cannot run at speed %g", o.speed)
	}
	if o.kind == sim.Crush {
		if err := crushable(r); err != nil {
			return nil, err
		}
	}
	loads, err := o.loadsOn()
	if err != nil {
		return nil, failf(exitUsage, "write it like loads=10kN/20kN/30kN/20kN/10kN, or loads=100bar/200bar&on=gauge", "the loads of the simulator: %w", err)
	}
	s, err := sim.New(sim.Options{
		TrueArea: si.Area(o.area), TrueFriction: o.friction, SensorGain: o.gain, Loads: loads, On: o.on, Wait: o.wait && o.hold == 0 && o.kind == sim.Steps,
		Rig: r, Alloy: o.alloy, Diameter: o.diameter, Seed: o.seed, Rate: o.rate, Idle: o.idle, ClockSpeed: o.clockSpeed, Fault: o.fault,
		Kind: o.kind, Noise: o.noise, Target: o.target, Hold: o.hold, TrueShare: o.share, Far: o.far,
	})
	if err != nil {
		return nil, failf(exitUsage, "see draghand simulate --help", "%w", err)
	}
	return s, nil
}
