package main

import (
	"errors"
	"io"
	"os"

	"github.com/spf13/cobra"

	"draghand/internal/record"
	reports "draghand/internal/report"
)

func exportCommand(w world, c *common) *cobra.Command {
	var as, file string
	cmd := &cobra.Command{
		Use:   "export RECORD --as csv|json",
		Short: "a record with its derived columns, for a spreadsheet or a program",
		Example: `  draghand export RECORD --as csv > pull.csv
  draghand export RECORD --as json -o pull.json`,
		Args: exactly(1, "name one pull record (a folder)"),
		RunE: func(_ *cobra.Command, args []string) error {
			write := map[string]func(io.Writer, *record.Record) error{"csv": reports.CSV, "json": reports.JSON}[as]
			if write == nil {
				return failf(exitUsage, "write --as csv or --as json", "--as %q is not known", as)
			}
			rec, err := openRecord(c, args[0])
			if err != nil {
				return err
			}
			if file == "" || file == "-" {
				return exportFault(write(w.out, rec))
			}
			// A half-written file would be taken for a whole one: write beside
			// it, then put it in place.
			part := file + ".part"
			f, err := os.Create(part)
			if err != nil {
				return failf(exitSave, "choose another place with -o", "%w", err)
			}
			damage := write(f, rec)
			if err := errors.Join(f.Sync(), f.Close()); err != nil {
				os.Remove(part)
				return failf(exitSave, "choose another place with -o", "%w", err)
			}
			if err := os.Rename(part, file); err != nil {
				return failf(exitSave, "choose another place with -o", "%w", err)
			}
			return exportFault(damage)
		},
	}
	cmd.Flags().StringVar(&as, "as", "csv", "csv or json")
	cmd.Flags().StringVarP(&file, "output", "o", "", "write to this file (default: standard output)")
	return cmd
}

func exportFault(err error) error {
	var damage *record.DamageError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &damage):
		return failf(exitInput, "what is intact was exported; draghand check says how much that is", "%w", err)
	default:
		return failf(exitSave, "see that there is room and leave to write", "%w", err)
	}
}
