package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"draghand/internal/bench"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/replay"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/watch"
	"draghand/tui"
)

// benchFlags fill the fields of the bench from the command line, as text: what
// is wrong with one is told on the bench.
type benchFlags struct {
	texts       map[bench.FieldID]*string
	m           manner
	calibration string
}

// add makes a flag of each field.
func (b *benchFlags) add(cmd *cobra.Command) {
	b.texts = map[bench.FieldID]*string{}
	f := cmd.Flags()
	for _, one := range []struct {
		id          bench.FieldID
		flag, usage string
	}{
		{bench.FieldRig, "rig", "the rig file"},
		{bench.FieldSource, "from", "where the readings come from: serial:PATH, sim:, tcp:HOST:PORT"},
		{bench.FieldKind, "kind", "tension, crush or proof"},
		{bench.FieldTarget, "target", `of a proof: the force on the specimen to hold, such as "20 kN"`},
		{bench.FieldHold, "hold", "of a proof: how long to hold it, such as 60s"},
		{bench.FieldMelt, "melt", "the pour"},
		{bench.FieldTags, "tags", "free words of the melt, by commas"},
		{bench.FieldSpecimen, "specimen", "the bar's number or name"},
		{bench.FieldAlloy, "alloy", "the alloy"},
		{bench.FieldDiameters, "diameter", `measured diameters, such as "12.51 12.49 mm", or "6.02 x 3.01 mm", or "tube 12 x 1.5 mm"; the smallest counts`},
		{bench.FieldGauge, "gauge-length", `distance of the gauge marks, such as "50 mm"`},
		{bench.FieldYield, "yield", `lowest stress it is expected to yield at, such as "20 ksi"`},
		{bench.FieldSide, "side", "where in a two-sided rig it stands: near (its own place) or far (the far side's place)"},
		{bench.FieldExpect, "expect", `stress it is expected to break at, such as "40 ksi .. 50 ksi"`},
		{bench.FieldStock, "check-stock", "the bar is a check bar, turned from the bought stock of this name"},
	} {
		b.texts[one.id] = f.String(one.flag, "", one.usage)
	}
	addCalibration(cmd, &b.calibration)
	f.BoolVar(&b.m.plain, "plain", false, "no screen: the bench in words, a line at a time")
	f.Var(&b.m.every, "every", oftenUsage)
}

// initial are the fields that were given.
func (b *benchFlags) initial() map[bench.FieldID]string {
	out := map[bench.FieldID]string{}
	for id, text := range b.texts {
		if *text != "" {
			out[id] = *text
		}
	}
	return out
}

// sit opens the bench, on the screen or in words, and carries the pulls that are
// armed there. Without a terminal, and not asked for words, it gives the help.
func sit(ctx context.Context, w world, c *common, flags benchFlags, help func() error) error {
	out, onTerminal := terminal(w.out)
	in, inTerminal := terminal(w.in)
	screen := !flags.m.plain
	if screen && !(onTerminal && inTerminal) {
		return help()
	}
	var units *si.System
	if c.units != "" {
		sys, err := c.system(si.US)
		if err != nil {
			return err
		}
		units = &sys
	}
	alloys, err := alloyTable()
	if err != nil {
		return err
	}
	ctx, cancel := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
	defer cancel()
	hangup := make(chan os.Signal, 1)
	signal.Notify(hangup, syscall.SIGHUP)
	defer signal.Stop(hangup)
	signal.Ignore(syscall.SIGPIPE)
	if out, ok := w.out.(*output); ok {
		out.excused = true
	}

	v := &viewer{w: w, m: flags.m, edges: make(chan struct{}, 1)}
	v.m.plain = !screen
	v.onScreen.Store(screen)
	s := &sitting{w: w, c: c, v: v, hangup: hangup}
	src := &benchSources{w: w}
	load := benchRig
	if w.loadRig != nil {
		load = w.loadRig
	}
	b := bench.New(bench.Options{
		Open: src.open, LoadRig: inUnits(units, load), BuiltIn: inUnits(units, builtInRig), Trip: benchTrip, Armed: src.armed,
		Calibrate: benchCalibration(c, flags.calibration, units), Shelf: c.shelf(), Version: version(), Listen: v.listen, Rescue: rescue, Units: units, Alloys: alloys, Initial: flags.initial(),
	})
	s.bench = b
	v.sits, v.unitsOf = true, func() si.System { return b.View().Units }
	// A fault of the bench ends the screen first: the terminal is as before when it
	// is told.
	ctx, leave := context.WithCancelCause(ctx)
	defer leave(nil)
	over := make(chan error, 1)
	go func() {
		err := b.Run(ctx)
		leave(err)
		over <- err
	}()
	d := &desk{Bench: b, c: c}
	if !screen {
		s.speak(ctx, d)
	} else if err := s.show(ctx, d, tui.Options{In: in, Out: out, Edges: v.edges, Bell: true, NoColor: c.noColor, ASCII: c.ascii(w)}); err != nil {
		return err
	}
	loaded := s.stillLoaded()
	b.Close()
	fault := <-over
	s.loadLeft = loaded()
	err = s.lastWords(screen)
	if fault != nil {
		return failf(exitFailed, "what was pulled is on the shelf: draghand list; a pull that ran was ended. Look at the rig before you start again", "%w", fault)
	}
	return err
}

// inUnits gives the rigs of load in the units asked for: what the engine tells of
// them is in the rig's.
func inUnits[A any](units *si.System, load func(A) (*rig.Rig, error)) func(A) (*rig.Rig, error) {
	return func(a A) (*rig.Rig, error) {
		r, err := load(a)
		if err == nil && units != nil {
			r.Units = *units
		}
		return r, err
	}
}

// sitting is a bench in use.
type sitting struct {
	w      world
	c      *common
	v      *viewer
	bench  *bench.Bench
	hangup chan os.Signal
	// loadLeft says that there was load on the rig when the program ended.
	loadLeft bool
}

// show is the sitting on the screen. Where the screen goes while a pull runs, the
// pull goes on in words, or in silence.
func (s *sitting) show(ctx context.Context, d *desk, o tui.Options) error {
	gone, err := onScreen(ctx, s.hangup, func(ctx context.Context) error { return tui.RunApp(ctx, d, o) })
	p := s.bench.Running()
	if err == nil && !gone {
		return nil
	}
	if p == nil {
		if err != nil && !errors.Is(err, tui.ErrTerminal) {
			return failf(exitFailed, "nothing was being recorded; draghand --plain is the bench in words", "%w", err)
		}
		return nil
	}
	if err != nil {
		fmt.Fprintln(s.w.err, "draghand: "+clean(err.Error())+"; the pull goes on in words")
	}
	s.v.m.plain = true
	s.v.onScreen.Store(false)
	p.DropTrip("the screen is gone")
	s.follow(p, gone || errors.Is(err, tui.ErrTerminal))
	return nil
}

// follow carries a pull without a screen until its record is closed.
func (s *sitting) follow(p *watch.Watch, orphaned bool) {
	s.v.take(p)
	done := make(chan watch.Result, 1)
	stop := make(chan struct{})
	go func() {
		tick := time.NewTicker(50 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-stop:
				return
			case <-tick.C:
				if s.bench.Running() == nil {
					done <- s.bench.Result()
					return
				}
			}
		}
	}()
	s.v.follow(done, s.hangup, orphaned)
	close(stop)
}

// speak is the sitting in words.
func (s *sitting) speak(ctx context.Context, d *desk) {
	stopped, letStop := holdStop()
	defer letStop()
	s.v.stopped, s.v.typed = stopped, typed(s.w.in)
	talk := dialogue{
		desk: d, say: s.v.say, bell: s.v.bell, typed: s.v.typed,
		nag:     func(look *watch.Snapshot) { s.v.tellOver(look.Now); s.v.nag(look, time.Now(), ". NOTHING IS RECORDED") },
		replay:  s.tellRecord,
		check:   s.tellCheck,
		leaving: func() bool { return ctx.Err() != nil },
		left:    func() string { st := s.bench.Result().State; return leftAfter(&st) },
	}
	talk.run(ctx, func() {
		if p := s.bench.Running(); p != nil {
			s.follow(p, false)
		}
	})
}

// tellCheck says what is intact of a record.
func (s *sitting) tellCheck(name string) {
	path, err := recordPath(s.c, name)
	if err != nil {
		s.v.say(sentence(err))
		return
	}
	s.v.say(strings.TrimSpace(record.Check(path).Text()))
}

// sentence is a failure with what to do next.
func sentence(err error) string {
	var f *fault
	if errors.As(err, &f) && f.next != "" {
		return f.Error() + ". " + f.next
	}
	return err.Error()
}

// tellRecord tells a saved pull in words.
func (s *sitting) tellRecord(name string) error {
	rec, err := openRecord(s.c, name)
	if err != nil {
		return err
	}
	if rec.Head.Dial != nil {
		return replay.ErrNoTrace
	}
	sys, err := s.c.system(rec.Head.Rig.Units)
	if err != nil {
		return err
	}
	return replayPlain(s.w, rec, name, "", sys)
}

// lastWords are what stays on the terminal after the sitting.
func (s *sitting) lastWords(screen bool) error {
	all := s.bench.View().Bars
	for _, b := range all {
		if screen {
			fmt.Fprintln(s.w.out, clean(barWords(b)))
		}
	}
	if s.loadLeft {
		fmt.Fprintln(s.w.out, lastLoaded)
	}
	return unsaved(all)
}

// unsaved is the failure of a sitting in which a bar was saved nowhere, or not
// where it should be; nil where all are.
func unsaved(all []bench.Bar) error {
	var elsewhere error
	for _, b := range all {
		switch {
		case b.Saved == "":
		case b.Record == "":
			return failf(exitSave, "note the peak by hand", "%s is saved nowhere: %s", barName(b), b.Saved)
		case elsewhere == nil:
			elsewhere = failf(exitSave, "move it back when there is room", "%s is not where it should be: %s", barName(b), b.Saved)
		}
	}
	return elsewhere
}

// lastLoaded is said last of all where the program ends on a loaded rig.
const lastLoaded = "the rig was loaded when the program ended: " + letOffFirst

// stillLoaded says, before and after the bench is put away, whether there is load
// on the rig. What ended with the program was seen before by the events alone.
func (s *sitting) stillLoaded() (after func() bool) {
	look, p := s.bench.View().Look, s.bench.Running()
	return func() bool {
		switch {
		case p != nil:
			st := s.bench.Result().State
			return leftAfter(&st) != ""
		case look != nil && look.State.Seen && look.State.Phase != pull.Ended:
			return loadedNow(look) || s.v.loaded.Load() && forceLeft(&look.State, false)
		}
		return s.v.loaded.Load()
	}
}

// barWords is a bar of the sitting in one line.
func barWords(b bench.Bar) string {
	saved := "saved as " + b.Record
	if b.Saved != "" {
		saved = b.Saved
	}
	return fmt.Sprintf("%s  %s  %s  %s", barName(b), b.Outcome, b.Strength, saved)
}

func barName(b bench.Bar) string {
	switch {
	case b.Specimen == "":
		return "a bar without a number"
	case b.Melt != "":
		return b.Melt + "-" + b.Specimen
	}
	return b.Specimen
}
