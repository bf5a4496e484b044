package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"draghand/internal/rig"
	"draghand/internal/share"
)

func shareCommand(w world, c *common) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "share RECORD...",
		Short: "what each side of the rig truly carries, from like bars pulled on both",
		Long: `share takes the records of like bars of one stock, some pulled in their own
place and some in the far side's (watch --side far), and finds what part of the
ram's force the specimen's own place carries, in place of what the ruler says of
the arms. Two bars a side are the least, three are advised; pull them in turns.

It prints the line for the rig file. Before bar and link change places: let the
pressure off, see that the gauge stands at zero, and lock the press out. See
docs/share.md.`,
		Example: `  draghand watch --rig rig.toml --melt M1 --specimen 1 --diameter "12.51 mm"
  draghand watch --rig rig.toml --melt M1 --specimen 2 --diameter "12.50 mm" --side far
  draghand share RECORD RECORD RECORD RECORD RECORD RECORD`,
		Args: atLeast(2*share.Least, "name the records of like bars, two or more of each side"),
		RunE: func(_ *cobra.Command, args []string) error {
			bars := make([]share.Bar, 0, len(args))
			for _, name := range args {
				rec, err := openRecord(c, name)
				if err != nil {
					return err
				}
				if k := rec.Head.Rig.Calibration; k != nil && k.At == rig.AtSpecimen {
					// What a cell in the bar's place has shown holds the share already: it is
					// asked for by the ram's force.
					if rec.Head.Rig, err = rec.Head.Rig.Calibrated(nil); err != nil {
						return err
					}
				}
				s, err := rec.Replay(nil)
				if err != nil {
					return failf(exitInput, "draghand check says what is intact; leave this record out", "%s: %w", name, err)
				}
				bars = append(bars, share.Bar{Record: rec.Name(), Bar: rec.Head.Specimen, Rig: rec.Head.Rig, Kind: rec.Head.Kind, State: s})
			}
			answer, err := share.Of(bars)
			if err != nil {
				return failf(exitInput, "name like bars of one melt, pulled on one two-sided rig, two or more of each side", "no share can be found: %w", err)
			}
			if asJSON {
				return printJSON(w.out, answer)
			}
			sys, err := c.system(bars[0].Rig.Units)
			if err != nil {
				return err
			}
			for _, l := range answer.Lines(sys) {
				fmt.Fprintln(w.out, clean(l))
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "one object, in SI")
	return cmd
}
