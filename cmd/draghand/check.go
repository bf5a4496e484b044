package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"draghand/internal/record"
)

func checkCommand(w world, c *common) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "check RECORD...",
		Short: "is a pull record whole, and if not, what is intact",
		Long: `check reads a record and proves it: the sums, the hash, every line. It changes
nothing. It ends with 0 for a whole record and for one that is unfinished but
intact, and with 3 for a damaged one.

Where pull.json is torn, altered or lost the readings beside it may be whole all the
same: check says so. Put back from a copy, which must be of this very pull, it makes
the record whole again; nothing else does.`,
		Example: `  draghand check RECORD
  draghand check --json RECORD RECORD`,
		Args: atLeast(1, "name a pull record (a folder)"),
		RunE: func(_ *cobra.Command, args []string) error {
			reports := make([]record.Report, 0, len(args))
			code := exitDone
			for _, name := range args {
				path, err := recordPath(c, name)
				if err != nil {
					code = max(code, report(w.err, err))
					continue
				}
				r := record.Check(path)
				reports = append(reports, r)
				if !r.Intact() {
					code = exitInput
				}
				if r.Status == record.Newer {
					report(w.err, failf(exitInput, "update draghand; the record is not touched", "%s: %s", name, strings.Join(r.Reasons, "; ")))
					continue
				}
				if r.Status == record.Foreign {
					report(w.err, failf(exitInput, "name the folder of a pull record; they stand in "+c.shelf(), "%s: %w", name, record.ErrForeign))
					continue
				}
				if !asJSON {
					fmt.Fprintln(w.out, clean(r.Text()))
				}
			}
			if asJSON {
				if err := printJSON(w.out, reports); err != nil {
					return err
				}
			}
			if code != exitDone {
				return told(code)
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "an array, one object a record")
	return cmd
}
