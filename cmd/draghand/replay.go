package main

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"

	"draghand/internal/record"
	"draghand/internal/replay"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/tui"
)

func replayCommand(w world, c *common) *cobra.Command {
	var (
		rigFile string
		speed   float64
		plain   bool
	)
	cmd := &cobra.Command{
		Use:   "replay RECORD",
		Short: "a saved pull on the pull screen: play, step, seek",
		Long: `replay goes through a saved pull again, with the same engine as when it was
pulled. It opens where the pull came out; space plays it from the beginning of
the load, arrows move by a second, comma and full stop by a reading, p b n go to
the peak, the break and the next alarm, + and - change the speed; ? explains.
Nothing of it happens now, and nothing in the record is changed.

--rig reckons the same readings by another rig file. Without a terminal, or
with --plain, it says at once what happened in the pull.`,
		Example: `  draghand replay RECORD
  draghand replay RECORD --rig corrected.toml --speed 10
  draghand replay RECORD --plain`,
		Args: oneRecord,
		RunE: func(cmd *cobra.Command, args []string) error {
			if !(speed >= slowest && speed <= fastest) {
				return failf(exitUsage, "give a speed from 0.1 to 100", "--speed %v is out of range", speed)
			}
			rec, err := openRecord(c, args[0])
			if err != nil {
				return err
			}
			if rec.Writing && !rec.Closed() {
				return beingWritten(args[0])
			}
			if rec.Head.Dial != nil {
				return failf(exitUsage, "draghand results says what is known of it", "%s: %w", args[0], replay.ErrNoTrace)
			}
			var other *rig.Rig
			if rigFile != "" {
				if other, err = loadRig(rigFile); err != nil {
					return err
				}
				rec.Head.UseRig(other)
			}
			sys, err := c.system(rec.Head.Rig.Units)
			if err != nil {
				return err
			}
			_, out := terminal(w.out)
			_, in := terminal(w.in)
			if plain || !out || !in {
				return replayPlain(w, rec, args[0], rigFile, sys)
			}
			o := replay.Options{Rig: other, RigFile: rigFile, Units: &sys, Speed: speed}
			return replayOnScreen(cmd.Context(), w, c, rec, args[0], sys, o)
		},
	}
	f := cmd.Flags()
	f.StringVar(&rigFile, "rig", "", "reckon with this rig file in place of the record's own")
	f.Float64Var(&speed, "speed", 1, "speed of playing at the start, 0.1 to 100")
	f.BoolVar(&plain, "plain", false, "no screen: the words of the pull, at once")
	return cmd
}

// oneRecord refuses several records, and says what takes them.
func oneRecord(cmd *cobra.Command, args []string) error {
	if len(args) > 1 {
		return failf(exitUsage, "name one; draghand check and draghand results take several", "replay goes through one record at a time, and %d are named", len(args))
	}
	return exactly(1, "name one pull record (a folder)")(cmd, args)
}

// The speeds there are.
const slowest, fastest = 0.1, 100

func beingWritten(name string) error {
	return failf(exitFailed, "watch it where it is pulled, and replay it once it is closed", "%s: %w", name, replay.ErrWriting)
}

// damaged is the fault of a record that could be shown in part alone.
func damaged(name, what string) error {
	return failf(exitInput, "draghand check says what is intact", "%s: %s", name, what)
}

// replayOnScreen shows the record until the person leaves.
func replayOnScreen(ctx context.Context, w world, c *common, rec *record.Record, name string, sys si.System, o replay.Options) error {
	ctx, cancel := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
	defer cancel()
	r, err := replay.Open(rec.Dir, o)
	if errors.Is(err, replay.ErrWriting) {
		return beingWritten(name)
	}
	if err != nil {
		return failf(exitInput, "draghand check says what is intact", "%w", err)
	}
	defer r.Close()
	in, _ := terminal(w.in)
	out, _ := terminal(w.out)
	err = tui.RunReplay(ctx, r, tui.Options{
		In: in, Out: out, Units: sys, NoColor: c.noColor, ASCII: c.ascii(w),
	})
	switch bad := r.Playback().Err; {
	case errors.Is(err, tui.ErrTerminal):
		return nil // nobody is there any more, and nothing is lost
	case err != nil:
		return failf(exitFailed, "draghand replay --plain says the same in words", "%w", err)
	case bad != "":
		return damaged(name, bad)
	}
	return nil
}
