package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"sync/atomic"
	"syscall"

	"draghand/internal/calib"
	"draghand/internal/calib/live"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/sim"
	"draghand/internal/specimen"
	"draghand/internal/watch"
	"draghand/tui"
)

// pointRun is a calibration run to be taken from a source.
type pointRun struct {
	run   calib.Run // rig, place, side and reference
	from  string    // empty: as the rig file says
	plain bool
	// calibration is what the rig's own figures are by, as of foundRig.
	calibration string
	replaces    string // ID of the one whose place it takes
	reckon      func(run calib.Run, simulated bool) (*calib.Answer, error)
	save        func(calib.Run, *calib.Answer) (string, error)
}

// takePoints opens the source and takes points with the person, on the screen, or in
// words without a terminal or where asked for.
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
	if l.run.Rig, err = foundRig(c, &r, l.run, l.calibration, traits.simulated, l.replaces); err != nil {
		return err
	}
	found := foundWords(c, l.run.Rig, l.run.Far, l.calibration, sys)
	o := live.Options{
		Feed: src, Time: traits.time, Run: l.run, Version: version(), Save: l.save,
		Reckon: func(run calib.Run) (*calib.Answer, error) { return l.reckon(run, traits.simulated) },
	}
	if last, ok := record.LastZero(c.shelf(), r.Name, traits.simulated); ok {
		o.LastZero = &last
	}
	ctx, cancel := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
	defer cancel()
	hangup := make(chan os.Signal, 1)
	signal.Notify(hangup, syscall.SIGHUP)
	defer signal.Stop(hangup)
	taking, err := live.New(o)
	if err != nil {
		return failf(exitUsage, "correct it and call again; nothing was taken", "%w", err)
	}
	defer taking.Close()
	out, onTerminal := terminal(w.out)
	in, inTerminal := terminal(w.in)
	v := &viewer{w: w, m: manner{plain: true}, sys: sys}
	talk := &pointTalk{cal: taking, keep: func(run calib.Run) (string, error) { return calib.KeepPoints(c.shelf(), run) }, say: v.say, bell: v.bell, simulated: traits.simulated}
	if l.plain || !onTerminal || !inTerminal {
		go func() { // words end as at a signal where the terminal hangs up
			select {
			case <-hangup:
				cancel()
			case <-ctx.Done():
			}
		}()
		if found != "" {
			v.say(found)
		}
		talk.typed = typed(w.in)
		err = talk.run(ctx)
	} else {
		if found != "" {
			fmt.Fprintln(w.err, "draghand: "+found)
		}
		if l.run.Reference.U == 0 {
			fmt.Fprintln(w.err, "draghand: "+noReferenceYet)
		}
		err = showPoints(ctx, hangup, talk, tui.Options{In: in, Out: out, Units: sys, Bell: true, NoColor: c.noColor, ASCII: c.ascii(w)})
	}
	if taking.View().Loaded() {
		v.say(lastLoaded)
	}
	return err
}

// showPoints takes the points on the screen. Where the screen goes, what was taken
// is told in words.
func showPoints(ctx context.Context, hangup chan os.Signal, d *pointTalk, o tui.Options) error {
	var agreed atomic.Bool
	o.Agreed = func() { agreed.Store(true) }
	gone, err := onScreen(ctx, hangup, func(ctx context.Context) error { return tui.RunCalibrate(ctx, d.cal, o) })
	switch {
	case err != nil:
		return errors.Join(d.leave("the screen failed"), err)
	case gone:
		return d.leave("the terminal hung up")
	case ctx.Err() != nil:
		return d.leave("ended by a signal")
	}
	if v := d.cal.View(); v.Saved == "" && len(v.Run.Points) > 0 {
		if !agreed.Load() {
			return d.leave("left at once")
		}
		d.letGo()
	} else if v.Saved != "" {
		d.say("saved as " + v.Saved)
		d.sayNoU(v.Saved)
	} else if err := d.cal.Err(); err != nil && len(v.Run.Points) == 0 {
		return sourceFault(err)
	}
	return nil
}

// ownText is what a rig itself makes of a point, in words.
func ownText(v *live.View, p calib.Point) string { return referenceText(v.Run.At, v.ByRig(p), v) }

func referenceText(at rig.Place, value float64, v *live.View) string {
	return calib.ValueText(at, value, v.Units)
}

// pointWords is a point in one sentence.
func pointWords(v *live.View, i int) string {
	p := v.Run.Points[i]
	t := fmt.Sprintf("point %d: the reference shows %s at %s of the gauge, %s", i+1, clean(p.ReferenceText(v.Run.At, v.Units)), p.Gauge.Text(v.Units), p.Direction)
	if p.Run > 1 {
		t += fmt.Sprintf(", round %d", p.Run)
	}
	return t + fmt.Sprintf("; the rig tells %s, %+.2f %%", ownText(v, p), 100*(v.ByRig(p)/p.Reference-1))
}
