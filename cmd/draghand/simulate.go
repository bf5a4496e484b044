package main

import (
	"fmt"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/sim"
	"draghand/internal/sim/ptylink"
)

func simulateCommand(w world, _ *common) *cobra.Command {
	o := simOptions{alloy: "C90500", seed: 1, speed: 1}
	var link, logFile, rigFile, diameter, kind, noise, target string
	cmd := &cobra.Command{
		Use:   "simulate --link PATH",
		Short: "the simulated sensor on a pseudo-terminal, to try watch on a real port",
		Long: `simulate makes a pseudo-terminal at PATH that behaves like the board of a rig:
when a reader opens it, it idles 3 s at zero load, then a bar is pulled until it
breaks (within 25 s at speed 1), then it idles. Opened again, it pulls the next
bar. No metal is pulled.

It does not pretend a baud rate; docs/line-formats.md says what one carries.

--kind proof pumps to a target, holds and lets off; --kind crush squashes a
block. Several faults at once are separated by commas.

` + wrapped("Known metals: "+strings.Join(sim.Alloys(), ", ")) + `
` + wrapped("Known faults: "+strings.Join(sim.Faults(), ", ")) + `

docs/simulator.md tells what each of them does.`,
		Example: `  draghand simulate --link ./board &
  draghand watch --rig rig.toml --from serial:./board
  draghand simulate --link ./board --fault preload,slip,spike --noise "2 %"`,
		Args: none,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if link == "" {
				return failf(exitUsage, "write --link ./board", "no --link: nobody could find the port")
			}
			var r *rig.Rig
			var err error
			if diameter != "" {
				if o.diameter, err = si.ParseLength(diameter); err != nil {
					return failf(exitUsage, "write it like 9 mm", "--diameter: %w", err)
				}
			}
			for _, one := range []struct{ key, text string }{{"kind", kind}, {"noise", noise}, {"target", target}} {
				if one.text == "" {
					continue
				}
				if _, err := o.set(one.key, one.text); err != nil {
					return failf(exitUsage, "see draghand simulate --help", "--%s: %w", one.key, err)
				}
			}
			if rigFile != "" {
				r, err = loadRig(rigFile)
			} else {
				r, err = builtInRig(pull.Kind(o.kind))
			}
			if err != nil {
				return err
			}
			if _, err := o.sim(r); err != nil {
				return err
			}
			next := func(n int) (*sim.Sim, error) {
				one := o
				one.seed += uint64(n)
				one.clockSpeed = o.speed
				return one.sim(r)
			}
			opts := ptylink.Options{Speed: o.speed}
			if logFile != "" {
				f, err := os.Create(logFile)
				if err != nil {
					return failf(exitSave, "choose a place that can be written", "%w", err)
				}
				defer f.Close()
				opts.Log = f
			}
			ctx, cancel := signal.NotifyContext(cmd.Context(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
			defer cancel()
			told := false
			opts.Ready = func(at string) {
				if !told {
					told = true
					fmt.Fprintf(w.err, "draghand: the simulated board is at %s (ctrl-c ends it)\n", clean(at))
				}
			}
			if err := ptylink.Serve(ctx, link, next, opts); err != nil {
				return failf(exitUsage, "choose another --link", "%w", err)
			}
			return nil
		},
	}
	f := cmd.Flags()
	f.StringVar(&link, "link", "", "where to put the port (a symbolic link)")
	f.StringVar(&rigFile, "rig", "", "simulate this rig (default: the example rig)")
	f.StringVar(&o.alloy, "alloy", o.alloy, "the simulated metal")
	f.Uint64Var(&o.seed, "seed", o.seed, "the same seed pulls the same bar")
	f.Float64Var(&o.speed, "speed", o.speed, "0.1 to 1000 times as fast")
	f.Float64Var(&o.rate, "rate", 0, "readings a second (default: the simulator's)")
	f.DurationVar(&o.idle, "idle", 0, "time at zero load before the pull, such as 10m (default: 3s)")
	f.StringVar(&diameter, "diameter", "", `of the simulated bar, such as "9 mm" (default: 12.5 mm)`)
	f.StringVar(&o.fault, "fault", "", "what happens in the pull, by name; several separated by commas")
	f.StringVar(&kind, "kind", "", "tension (the default), proof or crush")
	f.StringVar(&noise, "noise", "", `SD of the noise, of the peak, such as "2 %" (default: the transducer's own)`)
	f.StringVar(&target, "target", "", `force on the specimen of a proof, such as "20 kN" (default: 0.6 of its strength)`)
	f.DurationVar(&o.hold, "hold", 0, "how long a proof is held (default: 10s)")
	f.StringVar(&logFile, "log", "", "write what was truly sent and the true force, line by line")
	return cmd
}

// wrapped breaks a line of help between words at 79 columns.
func wrapped(text string) string {
	const columns = 79
	var b strings.Builder
	at := 0
	for i, word := range strings.Fields(text) {
		switch {
		case i == 0:
		case at+1+len(word) > columns:
			b.WriteByte('\n')
			at = 0
		default:
			b.WriteByte(' ')
			at++
		}
		b.WriteString(word)
		at += len(word)
	}
	return b.String()
}
