package main

import (
	"fmt"
	"math"
	"time"

	"github.com/spf13/cobra"

	"draghand/internal/bench"
	"draghand/internal/si"
	"draghand/internal/sim"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// demoStays is how long the demo's screen stays after the record is closed
// when no key is pressed.
const demoStays = 30 * time.Second

// demoAtMost ends a demo whose break cannot be seen, since a fault hides it.
const demoAtMost = time.Minute

func demoCommand(w world, c *common) *cobra.Command {
	o := simOptions{alloy: "C90500", seed: 2, speed: 1}
	var m manner
	var stock string
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "a whole pull on the simulated rig: no hardware, no set-up",
		Long: `demo runs a whole pull on the simulated rig: a hand-pumped press pulls a
12.5 mm bar until it breaks. Nothing is connected and no metal is pulled; the
record it saves says so. The hand at the pump is about twice as quick as a test
should be, so that nobody waits: each pull counts with that remark.`,
		Example: `  draghand demo
  draghand demo --seed 7 --speed 2
  draghand demo --plain`,
		Args: none,
		RunE: func(cmd *cobra.Command, _ []string) error {
			r, err := exampleRig()
			if err != nil {
				return err
			}
			name, err := bench.ParseStock(clean(stock))
			if err != nil {
				return failf(exitUsage, "write a short name", "--check-stock: %w", err)
			}
			o.diameter = demoDiameter
			s, err := o.sim(r)
			if err != nil {
				return err
			}
			m.closeAfter = demoStays
			return carry(cmd.Context(), w, c, m, watch.Options{
				Feed: sim.NewFeed(s, o.speed), Rig: r, For: demoAtMost, Shelf: c.shelf(), Version: version(),
				Specimen: specimen.Specimen{
					ID: fmt.Sprintf("%d", o.seed), Melt: "M1", Alloy: s.Truth().Alloy,
					Diameters: []si.Length{demoDiameter}, GaugeLength: 4 * demoDiameter, Simulated: true, Stock: name,
					Yield:     s.Truth().Yield, // as a book would have it, and so are the others
					ExpectLow: booked(0.9, s.Truth()), ExpectHigh: booked(1.1, s.Truth()),
				},
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.alloy, "alloy", o.alloy, "the simulated metal")
	f.Uint64Var(&o.seed, "seed", o.seed, "the same seed pulls the same bar")
	f.Float64Var(&o.speed, "speed", o.speed, "0.1 to 1000 times as fast")
	f.Float64Var(&o.rate, "rate", 0, "readings a second (default: the simulator's)")
	f.StringVar(&o.fault, "fault", "", "something that goes wrong; see draghand simulate --help")
	f.StringVar(&stock, "check-stock", "", "the simulated bar is a check bar of this stock")
	m.add(cmd)
	return cmd
}

// booked is a part of what a bar of the simulated metal stands, to a whole MPa.
func booked(share float64, t sim.Truth) si.Stress {
	mpa := share * float64(si.StressOn(t.Expected, t.Area)) / 1e6
	return si.Stress(math.Round(mpa)) * si.Megapascal
}
