package main

import (
	"errors"
	"fmt"
	"io/fs"

	"github.com/spf13/cobra"

	"draghand/internal/record"
	"draghand/internal/strength"
)

func resultsCommand(w world, c *common) *cobra.Command {
	var asJSON bool
	var rigFile string
	cmd := &cobra.Command{
		Use:   "results RECORD...",
		Short: "what came out of a pull, recomputed from its readings",
		Example: `  draghand results RECORD
  draghand results --rig corrected.toml --json RECORD`,
		Args: atLeast(1, "name a pull record (a folder)"),
		RunE: func(_ *cobra.Command, args []string) error {
			all := []strength.Results{}
			code := exitDone
			for i, name := range args {
				rec, err := openRecord(c, name)
				if err != nil {
					code = max(code, report(w.err, err))
					continue
				}
				if rigFile != "" {
					r, err := loadRig(rigFile)
					if err != nil {
						return err
					}
					if rec.Head.Rig, err = placed(rec.Head.Specimen, r); err != nil {
						return err
					}
				}
				sys, err := c.system(rec.Head.Rig.Units)
				if err != nil {
					return err
				}
				var told strength.Remarks
				s, damage := rec.ReplayLines(func(l record.Line) bool {
					told.Add(l.Events)
					return true
				})
				res := strength.From(strength.Pull{Record: rec.Name(), State: s, Config: rec.Head.Config(), Bar: rec.Head.Specimen, Told: told, Said: rec.Head.SaidTexts(), Overrides: rec.Head.Overrides})
				if rigFile != "" {
					res.Remarks = append(res.Remarks, "recomputed with another rig file")
				}
				if rec.Head.Closing == nil {
					res.Remarks = append(res.Remarks, "the record was never closed: these are the readings that were saved")
				}
				if damage != nil {
					res.Remarks = append(res.Remarks, "the record is damaged: only what is intact was used")
					code = max(code, report(w.err, failf(exitInput, "draghand check says what is intact", "%s: %w", name, damage)))
				}
				all = append(all, res)
				if !asJSON {
					if i > 0 {
						fmt.Fprintln(w.out)
					}
					for _, l := range res.Lines(sys, rec.Head.Specimen) {
						fmt.Fprintln(w.out, clean(l))
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
	cmd.Flags().StringVar(&rigFile, "rig", "", "recompute with this rig file in place of the record's own")
	return cmd
}

// openRecord finds a record by path or by its name on the shelf.
func openRecord(c *common, name string) (*record.Record, error) {
	rec, err := record.Open(recordPath(c, name))
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
