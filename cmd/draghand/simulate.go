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
	"draghand/internal/sim"
	"draghand/internal/sim/ptylink"
)

func simulateCommand(w world, _ *common) *cobra.Command {
	o := simOptions{alloy: "C90500", seed: 1, speed: 1}
	var link, logFile, rigFile string
	texts := map[string]*string{} // of the options that set reads
	cmd := &cobra.Command{
		Use:   "simulate --link PATH",
		Short: "the simulated sensor on a pseudo-terminal, to try watch on a real port",
		Long: `simulate makes a pseudo-terminal at PATH that behaves like the board of a rig:
when a reader opens it, it idles 3 s at zero load, then a bar is pulled until it
breaks (within 25 s at speed 1), then it idles. Opened again, it pulls the next
bar. No metal is pulled.

It does not pretend a baud rate; docs/line-formats.md says what one carries.

--kind proof pumps to a target, holds and lets off; --kind crush squashes a
block; --kind steps loads a reference to one value after the other, for
draghand calibrate. Several faults at once are separated by commas.

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
			for key, text := range texts {
				if *text == "" {
					continue
				}
				if _, err := o.set(key, *text); err != nil {
					return failf(exitUsage, "see draghand simulate --help", "--%s: %w", key, err)
				}
			}
			if rigFile != "" {
				r, err = loadRig(rigFile)
			} else {
				r, err = builtInRig(simulatedKind(o.kind))
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
				if err := notInRecord(logFile); err != nil {
					return err
				}
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
	f.StringVar(&o.fault, "fault", "", "what happens in the pull, by name; several separated by commas")
	for _, one := range []struct{ key, usage string }{
		{"diameter", `of the simulated bar, such as "9 mm" (default: 12.5 mm)`},
		{"kind", "tension (the default), proof, crush or steps"},
		{"noise", `SD of the noise, of the peak, such as "2 %" (default: the transducer's own)`},
		{"target", `force on the specimen of a proof, such as "20 kN" (default: 0.6 of its strength)`},
		{"loads", "of steps: what the reference is brought to, such as 10kN/20kN/30kN/20kN/10kN"},
		{"on", "of steps: where the reference stands: gauge, ram or specimen (the default)"},
		{"true-share", `the specimen's true share, such as "51 %" (default: as the rig file says)`},
		{"true-area", `the ram's true area, such as "41.6 cm2" (default: as the rig file says)`},
		{"true-friction", `the ram's true friction, such as "2 %" (default: as the rig file says)`},
		{"sensor-gain", `how much more the transducer tells than it feels, such as "1 %"`},
	} {
		texts[one.key] = f.String(one.key, "", one.usage)
	}
	f.DurationVar(&o.hold, "hold", 0, "how long a proof, or each load of steps, is held (default: 10s)")
	f.StringVar(&logFile, "log", "", "write what was truly sent and the true force, line by line")
	return cmd
}

// simulatedKind is the kind of pull that a simulated kind is, for its rig.
func simulatedKind(k sim.Kind) pull.Kind {
	if k == sim.Steps {
		return pull.Tension
	}
	return pull.Kind(k)
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
