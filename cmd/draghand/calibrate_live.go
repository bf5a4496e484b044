package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	"draghand/internal/calib"
	"draghand/internal/calib/live"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/sim"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// pointRun is a calibration run to be taken from a source.
type pointRun struct {
	run    calib.Run // rig, place, side and reference
	from   string    // empty: as the rig file says
	manner manner
	reckon func(run calib.Run, simulated bool) (*calib.Answer, error)
	save   func(calib.Run, *calib.Answer) (string, error)
}

// takePoints opens the source and takes points with the person, in words.
func takePoints(ctx context.Context, w world, c *common, l pointRun) error {
	sys, err := c.system(l.run.Rig.Units)
	if err != nil {
		return err
	}
	r := *l.run.Rig
	r.Units = sys
	l.run.Rig = &r
	from := l.from
	if from == "" {
		from = r.Source.From
	}
	bar := specimen.Specimen{}
	if l.run.Far {
		bar.Side = specimen.Far
	}
	src, traits, err := openSource(w, from, &r, bar, simOptions{kind: sim.Steps, on: l.run.At, wait: true})
	if err != nil {
		return err
	}
	if traits.time != watch.HostTime || from == "-" {
		return failf(exitUsage, "name a port, a network address or sim:; points that were noted elsewhere come from a table: see draghand calibrate --help",
			"%s does not send readings as they are measured: nobody could say what the reference shows", from)
	}
	o := live.Options{
		Feed: src, Time: traits.time, Run: l.run, Version: version(), Save: l.save,
		Reckon: func(run calib.Run) (*calib.Answer, error) { return l.reckon(run, traits.simulated) },
	}
	if last, ok := record.LastZero(c.shelf(), r.Name, traits.simulated); ok {
		o.LastZero = &last
	}
	ctx, cancel := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer cancel()
	taking, err := live.New(o)
	if err != nil {
		return failf(exitUsage, "correct it and call again; nothing was taken", "%w", err)
	}
	defer taking.Close()
	return speakPoints(ctx, w, l.manner, taking, traits.simulated)
}

// speakPoints takes the points in lines of text.
func speakPoints(ctx context.Context, w world, m manner, taking *live.Taking, simulated bool) error {
	v := &viewer{w: w, m: m}
	v.m.plain = true
	talk := pointTalk{cal: taking, say: v.say, bell: v.bell, typed: typed(w.in), simulated: simulated}
	err := talk.run(ctx)
	if taking.View().Loaded() {
		v.say(lastLoaded)
	}
	return err
}

// ownText is what a rig itself makes of a point, in words.
func ownText(v *live.View, p calib.Point) string { return referenceText(v.Run.At, v.ByRig(p), v) }

func referenceText(at rig.Place, value float64, v *live.View) string {
	return calib.ValueText(at, value, v.Units)
}

// pointWords is a point in one sentence.
func pointWords(v *live.View, i int) string {
	p := v.Run.Points[i]
	t := fmt.Sprintf("point %d: the reference shows %s at %s of the gauge, %s", i+1, referenceText(v.Run.At, p.Reference, v), p.Gauge.Text(v.Units), p.Direction)
	if p.Run > 1 {
		t += fmt.Sprintf(", round %d", p.Run)
	}
	return t + fmt.Sprintf("; the rig tells %s, %+.2f %%", ownText(v, p), 100*(v.ByRig(p)/p.Reference-1))
}
