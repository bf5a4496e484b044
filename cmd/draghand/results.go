package main

import (
	"errors"
	"fmt"
	"io/fs"

	"github.com/spf13/cobra"

	"draghand/internal/finish"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/strength"
)

func resultsCommand(w world, c *common) *cobra.Command {
	var asJSON, withBudget bool
	var rigFile, calibration string
	cmd := &cobra.Command{
		Use:   "results RECORD...",
		Short: "what came out of a pull, recomputed from its readings",
		Long: `results recomputes a pull from its readings, by the rig it was pulled on and with
what was measured after the break.

With --rig FILE it recomputes by that rig file, as after the ram was measured
anew, and shows what moved: the results by the record's own rig, those by the
file, and what differs between the two rigs. The record is not touched. The
calibration that the record was pulled with still counts; where it does not fit
the file, that is refused: --calibration none leaves it out, and another one may
be named.`,
		Example: `  draghand results RECORD
  draghand results --rig corrected.toml --json RECORD`,
		Args: atLeast(1, "name a pull record (a folder)"),
		RunE: func(_ *cobra.Command, args []string) error {
			all := []any{}
			code := exitDone
			for i, name := range args {
				rec, err := openRecord(c, name)
				if err != nil {
					code = max(code, report(w.err, err))
					continue
				}
				res, state, damage := finish.Recompute(rec)
				shown := rec
				var change *moved
				if rigFile != "" || calibration != "" {
					var note string
					if shown, note, err = onRig(c, rec, rigFile, calibration); err != nil {
						return err
					}
					now, after, _ := finish.Recompute(shown) // the same damage again
					change = whatMoved(rec, shown, outcome{res, state}, outcome{now, after})
					if rigFile != "" {
						now.Remarks = append(now.Remarks, "recomputed with another rig file")
					}
					if note != "" {
						now.Remarks = append(now.Remarks, note)
					}
					res = now
				}
				if damage != nil {
					code = max(code, report(w.err, failf(exitInput, "draghand check says what is intact", "%s: %w", name, damage)))
				}
				sys, err := c.system(shown.Head.Rig.Units)
				if err != nil {
					return err
				}
				if rec.Writing {
					res.Remarks = append([]string{"another program is writing this record, as while it is recorded: what follows is of the readings until now, and whether it counts is not decided"}, res.Remarks...)
				}
				all = append(all, answered(res, change))
				if asJSON {
					continue
				}
				if i > 0 {
					fmt.Fprintln(w.out)
				}
				printRecomputed(w, res, shown, change, sys)
				if withBudget {
					for _, l := range budgetLines(res.Budget, sys) {
						fmt.Fprintln(w.out, l)
					}
				}
			}
			if asJSON {
				if err := printJSON(w.out, all); err != nil {
					return err
				}
			}
			if code != exitDone {
				return told(code)
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "an array, one object a record, in SI")
	cmd.Flags().BoolVar(&withBudget, "budget", false, "tell what the uncertainty is made of, the largest first")
	cmd.Flags().StringVar(&calibration, "calibration", "", "recompute by this calibration, a file or an ID, or none (default: the record's own)")
	cmd.Flags().StringVar(&rigFile, "rig", "", "recompute with this rig file in place of the record's own")
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
	switch {
	case err == nil:
		return rec, nil
	case errors.Is(err, record.ErrNewer):
		return nil, failf(exitInput, "update draghand; the record is not touched", "%w", err)
	case errors.Is(err, fs.ErrNotExist):
		return nil, failf(exitInput, "name the folder of a pull record; they stand in "+c.shelf(), "%s: %w", name, record.ErrForeign)
	default:
		return nil, failf(exitInput, "draghand check says what is intact", "%w", err)
	}
}
