package main

import (
	"errors"
	"fmt"
	"io/fs"

	"github.com/spf13/cobra"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/strength"
)

func resultsCommand(w world, c *common) *cobra.Command {
	var v resultsVerb
	cmd := &cobra.Command{
		Use:   "results RECORD|FOLDER...",
		Short: "what came out of a pull, recomputed from its readings",
		Long: `results recomputes a pull from its readings, by the rig it was pulled on and with
what was measured after the break. A folder of records stands for all of them, in
the order they were pulled, the newest last. What cannot be read is told, and the
others are shown.

With --rig FILE it recomputes by that rig file, as after the ram was measured
anew, and shows what moved: the results by the record's own rig, those by the
file, and what differs between the two rigs. The record is not touched. The
calibration that the record was pulled with still counts; where it does not fit
the file, that is refused: --calibration none leaves it out, and another one may
be named.`,
		Example: `  draghand results RECORD
  draghand results --json FOLDER
  draghand results --rig corrected.toml --json RECORD`,
		Args: atLeast(1, "name a pull record, or a folder of them"),
		RunE: func(cmd *cobra.Command, args []string) error {
			v.w, v.c = w, c
			return v.run(cmd.Context(), args)
		},
	}
	cmd.Flags().BoolVar(&v.asJSON, "json", false, "an array, one object a record, in SI")
	cmd.Flags().BoolVar(&v.withBudget, "budget", false, "tell what the uncertainty is made of, the largest first")
	cmd.Flags().StringVar(&v.calibration, "calibration", "", "recompute by this calibration, a file or an ID, or none (default: the record's own)")
	cmd.Flags().StringVar(&v.rigFile, "rig", "", "recompute with this rig file in place of the record's own")
	return cmd
}

// outcome is what a record gives by one rig.
type outcome struct {
	res   strength.Results
	state pull.State
}

// answered is the JSON of one record: the results, and what moved where another
// rig was asked for.
func answered(res strength.Results, change *moved) any {
	if change == nil {
		return res
	}
	return struct {
		strength.Results
		Moved []shift `json:"moved"`
	}{res, change.all()}
}

func printRecomputed(w world, res strength.Results, rec *record.Record, change *moved, sys si.System) {
	for _, l := range res.Lines(sys, rec.Head.Specimen) {
		fmt.Fprintln(w.out, clean(l))
	}
	for _, l := range calibratedLines(rec.Head.Rig.Calibration, res.Calibration != nil) {
		fmt.Fprintln(w.out, l)
	}
	if change == nil {
		return
	}
	for _, l := range change.lines(sys) {
		fmt.Fprintln(w.out, clean(l))
	}
}

// openRecord finds a record by path or by its name on the shelf.
func openRecord(c *common, name string) (*record.Record, error) {
	path, err := recordPath(c, name)
	if err != nil {
		return nil, err
	}
	rec, err := record.Open(path)
	if err != nil {
		return nil, openFault(c, name, err)
	}
	return rec, nil
}

// openFault is the error of a record that could not be opened, with what to do.
func openFault(c *common, name string, err error) error {
	fault, head := errors.AsType[*record.HeadError](err)
	switch {
	case errors.Is(err, record.ErrNewer):
		return failf(exitInput, "update draghand; the record is not touched", "%w", err)
	case head && fault.Empty:
		return failf(exitInput, fault.Next(), "%w", err)
	case head:
		return failf(exitInput, "put "+record.HeadFile+" back from a copy: the bar and the rig stood in it; draghand check says what of the readings is intact", "%w", err)
	case errors.Is(err, fs.ErrNotExist):
		return failf(exitInput, "name the folder of a pull record; they stand in "+c.shelf(), "%s: %w", name, record.ErrForeign)
	default:
		return failf(exitInput, "draghand check says what is intact", "%w", err)
	}
}
