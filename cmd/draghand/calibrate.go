package main

import (
	"strings"
	"time"

	"github.com/spf13/cobra"

	"draghand/internal/bench"
	"draghand/internal/calib"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/specimen"
)

// calibrateFlags say what the rig is held against.
type calibrateFlags struct {
	rig, from, at, side, reference, certificate, uncertainty, line, due string
	plain                                                               bool
}

func calibrateCommand(w world, c *common) *cobra.Command {
	var f calibrateFlags
	cmd := &cobra.Command{
		Use:   "calibrate --rig FILE --from SOURCE --at gauge|ram|specimen --reference TEXT",
		Short: "hold the rig against a reference: gauge, dead weights or a borrowed cell",
		Long: `calibrate takes points live: load is brought on and held, the program finds by
itself when the reading stands still, and a person types what the reference
shows. From points on the way up comes a line, from points on the way down the
friction. Saved, it is used in later pulls of this rig.

--at is where the reference stands: gauge (a reference gauge on the same oil),
ram (dead weights or a cell under the ram) or specimen (a cell in the bar's
place; --side far: in the far side's).

The reference stands in the load path: it has to be rated for the load. Guard
up, nobody in line, nobody under a weight; let the pressure off before anything
is changed. The program warns; it is no safety device.`,
		Example: `  draghand calibrate --rig rig.toml --at specimen --reference "50 kN cell no. 7" --certificate "K-113, 2026-03-02" --uncertainty "0.1 %"
  draghand calibrate --from sim: --at ram --reference "simulated weights" --plain`,
		Args: none,
		RunE: func(cmd *cobra.Command, _ []string) error {
			run, o, err := f.read()
			if err != nil {
				return err
			}
			return takePoints(cmd.Context(), w, c, pointRun{
				run: run, from: f.from, plain: f.plain,
				reckon: func(run calib.Run, simulated bool) (*calib.Answer, error) {
					o.Simulated = simulated
					a, err := calib.Reckon(run, o)
					return &a, err
				},
				save: func(run calib.Run, a *calib.Answer) (string, error) {
					return calib.Save(c.shelf(), "draghand "+version(), run, o, a)
				},
			})
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&f.rig, "rig", "", "the rig file")
	fl.StringVar(&f.from, "from", "", "where the readings come from")
	fl.StringVar(&f.at, "at", "", "where the reference stands: gauge, ram or specimen")
	fl.StringVar(&f.side, "side", "", "of a rig of two sides, where a cell stands: near (the specimen's place) or far")
	fl.StringVar(&f.reference, "reference", "", "what the reference is, in words")
	fl.StringVar(&f.certificate, "certificate", "", "number and date of its certificate")
	fl.StringVar(&f.uncertainty, "uncertainty", "", `its expanded uncertainty (k = 2) by the certificate, of the value, such as "0.2 %"`)
	fl.StringVar(&f.line, "line", "", "through-zero or offset (default: what the points say)")
	fl.StringVar(&f.due, "due", "", "when it is to be done again, such as 2027-03-02 (default: in a year)")
	fl.BoolVar(&f.plain, "plain", false, "no screen: in words, a line at a time")
	return cmd
}

// read is what is to be taken, by the flags.
func (f *calibrateFlags) read() (run calib.Run, o calib.Options, err error) {
	switch at := rig.Place(f.at); at {
	case rig.AtGauge, rig.AtRam, rig.AtSpecimen:
		run.At = at
	case "":
		return run, o, failf(exitUsage, "write --at gauge, --at ram or --at specimen", "it is not said where the reference stands")
	default:
		return run, o, failf(exitUsage, "write --at gauge, --at ram or --at specimen", "--at %q is no place of a reference", f.at)
	}
	run.Reference = calib.Reference{Text: strings.TrimSpace(clean(f.reference)), Certificate: strings.TrimSpace(clean(f.certificate))}
	if run.Reference.Text == "" {
		return run, o, failf(exitUsage, `say what it is, with its number: --reference "50 kN cell no. 7"`, "the reference has no name")
	}
	if f.uncertainty != "" {
		u, err := parseFraction(f.uncertainty)
		if err != nil || !(u > 0 && u <= 0.2) {
			return run, o, failf(exitUsage, `write it as a part of the value, such as "0.2 %"`, "--uncertainty %q is none from 0 to 20 %%", f.uncertainty)
		}
		run.Reference.U = u / 2
	}
	if f.due != "" {
		if o.Due, err = time.ParseInLocation(time.DateOnly, f.due, time.Local); err != nil {
			return run, o, failf(exitUsage, "write it like 2027-03-02", "--due %q is no day", f.due)
		}
	}
	if o.Line = f.line; o.Line != "" && o.Line != calib.ThroughZero && o.Line != calib.Offset {
		return run, o, failf(exitUsage, "write --line through-zero or --line offset, or leave it away", "--line %q is no line", f.line)
	}
	if run.Rig, err = watchedRig(f.rig, f.from, pull.Tension); err != nil {
		return run, o, err
	}
	side, err := bench.ParseSide(f.side)
	if err != nil {
		return run, o, failf(exitUsage, "write --side near or --side far", "--side: %w", err)
	}
	if run.Far = side == specimen.Far; run.Far && run.At != rig.AtSpecimen {
		return run, o, failf(exitUsage, "leave --side away, or write --at specimen", "a reference at the %s stands on no side", run.At)
	}
	return run, o, nil
}
