package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/sim"
	"draghand/internal/watch"
	"draghand/tui"
)

// manner is how a running pull is shown.
type manner struct {
	headless, plain, asJSON bool
	every                   often // lines of the state where plain
	closeAfter              time.Duration
}

// add makes the flags of a manner.
func (m *manner) add(cmd *cobra.Command) {
	f := cmd.Flags()
	f.BoolVar(&m.headless, "headless", false, "no screen")
	f.BoolVar(&m.plain, "plain", false, "no screen: lines of text, and words to type (h gives them)")
	f.Var(&m.every, "every", oftenUsage)
	f.BoolVar(&m.asJSON, "json", false, "no screen: one event a line as JSON")
}

func watchCommand(w world, c *common) *cobra.Command {
	var (
		rigFile, from string
		calibration   string
		bar           barFlags
		job           kindFlags
		m             manner
		limit         time.Duration
	)
	cmd := &cobra.Command{
		Use:   "watch --rig FILE [--from SOURCE]",
		Short: "a live pull: force, peak, alarms, record",
		Long: `watch reads the sensor, shows the pull and records every reading.

SOURCE is serial:PATH, sim: (or sim:?alloy=C90500&seed=1&speed=1), file:PATH,
tcp:HOST:PORT, or - for standard input. Without --from the rig file's own
source is used.

--kind proof holds a force: with --target it counts from there on, for --hold.
--kind crush presses a block directly under the ram; its rig file says
kind = "direct" under [path]. --yield is the lowest stress the bar is expected
to yield at: where the strokes gain less below it, something else is giving.

[alarm.trip] in the rig file drives a lamp, horn or relay: docs/trip-line.md.

Without a screen (--headless, --plain) it ends 2 s after the break (a crush or
proof: after it is let off), at the end of the source, after --for, or at a
signal. A bar that was let off, or of which nobody knows how it ended, may be
loaded again: with --headless, with --json, and where there is no terminal, its
pull ends once the force has rested at zero for 60 s (of a live source), with
--plain and somebody at the keys not by itself. It warns; it is no safety device.`,
		Example: `  draghand watch --rig rig.toml --from serial:/dev/ttyACM0 --melt M1 --specimen 3 --diameter "12.51 mm"
  draghand watch --rig rig.toml --kind proof --target "20 kN" --hold 60s --specimen "link bar 2"
  draghand watch --rig rig.toml --from serial:/dev/ttyACM0 --headless --json`,
		Args: none,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if m.plain && m.asJSON {
				return failf(exitUsage, "choose one: --plain for words, --headless --json for a program", "--plain and --json exclude one another")
			}
			if limit < 0 {
				return failf(exitUsage, "give a time such as 90s", "--for %s is negative", limit)
			}
			specimen, err := bar.specimen()
			if err != nil {
				return err
			}
			kind, proof, err := job.read(cmd)
			if err != nil {
				return err
			}
			if kind == pull.Tension && specimen.ExpectHigh == 0 && specimen.Alloy != "" {
				alloys, err := alloyTable()
				if err != nil {
					return err
				}
				expected(&specimen, alloys)
			}
			r, err := watchedRig(rigFile, from, kind)
			if err != nil {
				return err
			}
			if r, err = placed(specimen, r); err != nil {
				return err
			}
			if err := fitsRig(kind, proof, r); err != nil {
				return err
			}
			if from == "" {
				from = r.Source.From
			}
			src, base, err := openSource(w, from, r, specimen, simOptions{kind: sim.Kind(kind), target: pumpedTo(proof.Target), hold: proof.Hold})
			if err != nil {
				return err
			}
			specimen.Simulated = base.simulated
			if r, err = calibratedRig(c, r, calibration, base.simulated); err != nil {
				return err
			}
			if sys, err := c.system(r.Units); err == nil {
				sayCalibration(w.err, c, r, calibration, sys)
			}
			trip, err := tripLine(w, r, src)
			if err != nil {
				return err
			}
			defer watch.CloseTrip(trip)
			return carry(cmd.Context(), w, c, m, watch.Options{
				Feed: src, Rig: r, Kind: kind, Proof: proof, Specimen: specimen, Shelf: c.shelf(), Version: version(), Time: base.time, For: limit,
				Trip: trip,
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&rigFile, "rig", "", "the rig file")
	f.StringVar(&from, "from", "", "where the readings come from")
	addCalibration(cmd, &calibration)
	m.add(cmd)
	f.DurationVar(&limit, "for", 0, "end after so long, such as 90s")
	job.add(cmd)
	bar.add(cmd)
	return cmd
}

// watchedRig loads the rig, or takes the example rig where only the simulator
// is watched.
func watchedRig(file, from string, kind pull.Kind) (*rig.Rig, error) {
	if file != "" {
		return loadRig(file)
	}
	if isSim(from) {
		return builtInRig(kind)
	}
	return nil, failf(exitUsage, "make one with: draghand rig new > rig.toml", "no rig file: without it a reading cannot be made a force")
}

func exampleRig() (*rig.Rig, error) {
	r, err := rig.Parse("the example rig", []byte(rig.Example()))
	if err != nil {
		return nil, failf(exitFailed, "this is a fault in the program", "%w", err)
	}
	return r, nil
}

// carry runs a pull in the manner asked for and prints what came out.
func carry(ctx context.Context, w world, c *common, m manner, o watch.Options) error {
	sys, err := c.system(o.Rig.Units)
	if err != nil {
		return err
	}
	if o.Rig.Units != sys { // or else what the engine tells would be in others
		r := *o.Rig
		r.Units = sys
		o.Rig = &r
	}
	out, onTerminal := terminal(w.out)
	in, inTerminal := terminal(w.in)
	typing := m.plain && o.Feed.Name() != "-" // it was asked for by a person, who then may type
	screen := !m.headless && !m.plain && !m.asJSON
	if screen && !(onTerminal && inTerminal) {
		fmt.Fprintln(w.err, "draghand: no terminal here, going on as --plain")
		screen, m.plain = false, true
	}
	o.ZeroReturn = screen
	o.Unattended = !screen && !typing
	if last, ok := record.LastZero(o.Shelf, o.Rig.Name, o.Specimen.Simulated); ok {
		o.LastZero = &last
	}

	ctx, cancel := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
	defer cancel()
	hangup := make(chan os.Signal, 1)
	signal.Notify(hangup, syscall.SIGHUP)
	defer signal.Stop(hangup)

	// A reader of our output that goes away must not take the pull with it: the
	// write fails and is left at that.
	signal.Ignore(syscall.SIGPIPE)
	if out, ok := w.out.(*output); ok {
		out.excused = true
	}

	v := &viewer{w: w, m: m, sys: sys, edges: make(chan struct{}, 1)}
	stopped, letStop := holdStop()
	defer letStop()
	v.stopped = stopped
	if typing {
		v.typed = typed(w.in)
	}
	v.onScreen.Store(screen)
	o.Listen = v.listen
	pullRun, err := watch.New(o)
	if err != nil {
		return failf(exitSave, "choose another folder with --data, or free this one", "%w", err)
	}
	v.watch = pullRun

	done := make(chan watch.Result, 1)
	var got reckoned
	go func() {
		res := pullRun.Run(ctx)
		got = reckon(&res)
		done <- res
	}()
	var res watch.Result
	if screen {
		o := tui.Options{
			In: in, Out: out, Units: sys, CloseAfter: m.closeAfter, Edges: v.edges, Bell: true, NoColor: c.noColor, ASCII: c.ascii(w),
		}
		gone, err := onScreen(ctx, hangup, func(ctx context.Context) error { return tui.Run(ctx, pullRun, o) })
		if err != nil || gone {
			// The person can no longer see the screen, but there may be load on
			// the rig: go on in plain words, or in silence.
			v.m.plain = true
			v.onScreen.Store(false)
			pullRun.DropTrip("the screen is gone")
			if err != nil {
				fmt.Fprintln(w.err, "draghand: "+clean(err.Error())+"; going on as --plain")
			}
		} else {
			cancel()
		}
		res = v.follow(done, hangup, gone || errors.Is(err, tui.ErrTerminal))
	} else {
		res = v.follow(done, hangup, false)
	}
	return conclude(w, m, sys, o, pullRun, res, &got)
}

// onScreen shows something until the person leaves. gone says that the terminal
// hung up.
func onScreen(ctx context.Context, hangup chan os.Signal, show func(context.Context) error) (gone bool, err error) {
	screenCtx, closeScreen := context.WithCancel(ctx)
	defer closeScreen()
	hung := make(chan struct{})
	go func() {
		select {
		case <-hangup:
			close(hung)
			closeScreen()
		case <-screenCtx.Done():
		}
	}()
	err = show(screenCtx)
	select {
	case <-hung:
		return true, nil
	default:
		return false, err
	}
}

// conclude prints the result of a pull and gives its exit code.
func conclude(w world, m manner, sys si.System, o watch.Options, p *watch.Watch, res watch.Result, got *reckoned) error {
	if leftAfter(&res.State) != "" {
		out := w.out
		if m.asJSON {
			out = w.err
		}
		defer func() { fmt.Fprintln(out, lastLoaded) }()
	}
	if res.Save != nil {
		dir, err := rescue(p)
		if err != nil {
			return failf(exitSave, "note the peak by hand: "+res.State.Peak.Specimen.Text(sys), "the record could not be saved: %w; nor elsewhere: %w", res.Save, err)
		}
		failed := res.Record
		res.Record = dir
		*got = reckon(&res) // under the name it has now
		printResult(w, m, sys, o, res, got)
		if dir == failed { // the disk was late and answered after all
			return nil
		}
		return failf(exitSave, "the whole pull was saved in "+dir+" instead; move it back when there is room", "the record could not be saved in %s: %w", failed, res.Save)
	}
	printResult(w, m, sys, o, res, got)
	if res.Source != nil {
		return sourceFault(res.Source)
	}
	return nil
}

// rescue saves a pull whose own folder failed in the home folder, or where that
// fails too, among the temporary files.
func rescue(p *watch.Watch) (dir string, err error) {
	places := []string{os.TempDir()}
	if home, err := os.UserHomeDir(); err == nil {
		places = []string{home, os.TempDir()}
	}
	for _, place := range places {
		dir, err = p.Rescue(filepath.Join(place, "draghand-rescue"))
		if err == nil || errors.Is(err, record.ErrWhole) { // the disk answered after all
			return dir, nil
		}
	}
	return "", err
}

// sourceFault says why a source failed and what to do next.
func sourceFault(err error) error {
	next := "see that the board is plugged in and the name is right: draghand ports lists what is there"
	var hint interface{ Next() string }
	if errors.As(err, &hint) && hint.Next() != "" {
		next = hint.Next()
	}
	code := exitFailed
	switch {
	case errors.Is(err, feed.ErrSource):
		code = exitSource
	case errors.Is(err, feed.ErrSpec):
		code = exitUsage
	}
	return &fault{code: code, err: err, next: next}
}
