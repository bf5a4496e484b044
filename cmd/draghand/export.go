package main

import (
	"errors"
	"io"
	"time"

	"github.com/spf13/cobra"

	"draghand/internal/record"
	reports "draghand/internal/report"
)

func exportCommand(w world, c *common) *cobra.Command {
	var as, file string
	cmd := &cobra.Command{
		Use:   "export RECORD --as csv|json|html|png",
		Short: "a record for others: its derived columns, a report to print, a picture",
		Long: `export writes a pull record for others to read.

csv and json hold every reading with all that is derived from it, in SI. html is
a report: one file that needs nothing else, to read, to send or to print. png is
a picture of the force against time. --units is for those two.`,
		Example: `  draghand export RECORD --as csv > pull.csv
  draghand export RECORD --as json -o M1-3.json
  draghand export RECORD --as html -o report.html
  draghand export RECORD --as png --units si -o trace.png`,
		Args: exactly(1, "name one pull record (a folder)"),
		RunE: func(_ *cobra.Command, args []string) error {
			if as != "csv" && as != "json" && as != "html" && as != "png" {
				return failf(exitUsage, "write --as csv, json, html or png", "--as %q is not known", as)
			}
			toOut := file == "" || file == "-"
			if _, tty := terminal(w.out); tty && toOut && as == "png" {
				return failf(exitUsage, "name a file with -o, or send it to one", "a picture is no text: it is not written to a terminal")
			}
			rec, err := openRecord(c, args[0])
			if err != nil {
				return err
			}
			sys, err := c.system(rec.Head.Rig.Units)
			if err != nil {
				return err
			}
			o := reports.Options{Units: sys, Program: "draghand " + version(), Made: time.Now()}
			write := map[string]func(io.Writer, *record.Record) error{
				"csv": reports.CSV, "json": reports.JSON,
				"html": func(out io.Writer, rec *record.Record) error { return reports.HTML(out, rec, o) },
				"png":  func(out io.Writer, rec *record.Record) error { return reports.PNG(out, rec, o) },
			}[as]
			if toOut {
				return exportFault(write(w.out, rec))
			}
			return exportFault(putInPlace(file, func(out io.Writer) error { return write(out, rec) }))
		},
	}
	cmd.Flags().StringVar(&as, "as", "csv", "csv, json, html or png")
	cmd.Flags().StringVarP(&file, "output", "o", "", "write to this file, in the place of one that is there (default: standard output)")
	return cmd
}

func exportFault(err error) error {
	var damage *record.DamageError
	var said *fault
	switch {
	case errors.As(err, &said):
		return err
	case err == nil:
		return nil
	case errors.As(err, &damage):
		return failf(exitInput, "what is intact was exported; draghand check says how much that is", "%w", err)
	default:
		return failf(exitSave, "see that there is room and leave to write", "%w", err)
	}
}
