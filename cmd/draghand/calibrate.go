package main

import (
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"draghand/internal/bench"
	"draghand/internal/calib"
	"draghand/internal/rig"
	"draghand/internal/specimen"
)

func calibrateCommand(w world, c *common) *cobra.Command {
	var plain bool
	var rigFile, from, at, side, reference, certificate, uncertainty string
	cmd := &cobra.Command{
		Use:   "calibrate --rig FILE --from SOURCE --at gauge|ram|specimen --reference TEXT",
		Short: "hold the rig against a reference",
		Args:  none,
		RunE: func(cmd *cobra.Command, _ []string) error {
			r, err := watchedRig(rigFile, from, "tension")
			if err != nil {
				return err
			}
			s, err := bench.ParseSide(side)
			if err != nil {
				return failf(exitUsage, "write --side near or --side far", "--side: %w", err)
			}
			run := calib.Run{Rig: r, At: rig.Place(at), Far: s == specimen.Far, Reference: calib.Reference{Text: clean(reference), Certificate: clean(certificate)}}
			if uncertainty != "" {
				if run.Reference.U, err = parseFraction(uncertainty); err != nil {
					return failf(exitUsage, `write it like "0.1 %"`, "--reference-u: %w", err)
				}
			}
			if strings.TrimSpace(run.Reference.Text) == "" {
				return failf(exitUsage, `say what it is: --reference "20 kN cell no. 3"`, "the reference has no name")
			}
			return takePoints(cmd.Context(), w, c, pointRun{
				run: run, from: from, plain: plain,
				reckon: func(run calib.Run, simulated bool) (*calib.Answer, error) {
					a, err := calib.Reckon(run, calib.Options{Simulated: simulated})
					return &a, err
				},
				save: func(calib.Run, *calib.Answer) (string, error) { return "", errors.New("not yet") },
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&rigFile, "rig", "", "the rig file")
	f.BoolVar(&plain, "plain", false, "no screen: in words, a line at a time")
	f.StringVar(&from, "from", "", "where the readings come from")
	f.StringVar(&at, "at", "", "where the reference stands: gauge, ram or specimen")
	f.StringVar(&side, "side", "", "near or far")
	f.StringVar(&reference, "reference", "", "what the reference is, in words")
	f.StringVar(&certificate, "certificate", "", "its certificate")
	f.StringVar(&uncertainty, "reference-u", "", "its standard uncertainty")
	return cmd
}
