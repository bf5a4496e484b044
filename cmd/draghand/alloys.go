package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"

	"draghand/internal/si"
	"draghand/internal/specimen"
)

// ownAlloys is where a person's own alloys stand.
func ownAlloys() string { return filepath.Join(xdg.ConfigHome, "draghand", "alloys.csv") }

// alloyTable is the table of alloys, a person's own first.
func alloyTable() (specimen.Table, error) {
	f, err := os.Open(ownAlloys())
	if errors.Is(err, fs.ErrNotExist) {
		return specimen.Alloys(), nil
	}
	var own specimen.Table
	if err == nil {
		defer f.Close()
		own, err = specimen.ReadAlloys(ownAlloys(), f)
	}
	if err != nil {
		return nil, failf(exitInput, "correct your own alloys, or move the file away; docs/specimen.md explains every column", "%w", err)
	}
	return specimen.Alloys().With(own), nil
}

func alloysCommand(w world, c *common) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "alloys [NAME]",
		Short: "the table of alloys: published strengths, each with its source",
		Long: `alloys prints the table that an expected strength is taken from: what a standard
demands at least and what is typical, apart, each with the source and whether it
was found in print or is from memory. With a NAME it prints the rows of that
alloy and the range a bar of it is planned with.

Your own alloys stand in ` + "`draghand/alloys.csv`" + ` of the configuration folder, before
those of the program: docs/specimen.md. A published strength says nothing about
your melt, and a bar cut from a casting may have 75 % of it.`,
		Example: `  draghand alloys
  draghand alloys C90500
  draghand alloys "grey iron 30" --json`,
		Args: cobra.ArbitraryArgs,
		RunE: func(_ *cobra.Command, args []string) error {
			table, err := alloyTable()
			if err != nil {
				return err
			}
			sys, err := c.system(si.US)
			if err != nil {
				return err
			}
			name := strings.Join(args, " ")
			rows := table
			if name != "" {
				if rows = table.Find(name); len(rows) == 0 {
					return failf(exitInput, "draghand alloys lists all; your own go into "+ownAlloys(), "no alloy of the table answers to %q", clean(name))
				}
			}
			if asJSON {
				return printJSON(w.out, rows)
			}
			if err := printAlloys(w, rows, sys); err != nil {
				return err
			}
			if e, ok := table.Strength(name); ok {
				fmt.Fprintf(w.out, "\nplanned with   %s to %s\n", e.Low.Text(sys), e.High.Text(sys))
				fmt.Fprintln(w.out, "  the weakest    "+clean(e.LowWords))
				fmt.Fprintln(w.out, "  the strongest  "+clean(e.HighWords))
			} else if name != "" {
				fmt.Fprintln(w.out, "\nmore than one alloy answers to this name: no range is taken from it")
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "an array, one object a row, in SI")
	return cmd
}

// printAlloys writes the rows, the source of each on a line of its own.
func printAlloys(w world, rows specimen.Table, sys si.System) error {
	cells := [][]string{{"alloy", "condition", "basis", "strength", "yield", "elongation", "standard"}}
	for _, a := range rows {
		cells = append(cells, alloyCells(a, sys))
	}
	wide := make([]int, len(cells[0]))
	for _, row := range cells {
		for i, cell := range row {
			row[i] = clean(cell)
			wide[i] = max(wide[i], utf8.RuneCountInString(row[i]))
		}
	}
	for n, row := range cells {
		var line strings.Builder
		for i, cell := range row {
			fmt.Fprintf(&line, "%-*s  ", wide[i], cell)
		}
		if _, err := fmt.Fprintln(w.out, strings.TrimRight(line.String(), " ")); err != nil {
			return err
		}
		if n > 0 {
			fmt.Fprintln(w.out, "    "+clean(alloyFrom(rows[n-1])))
		}
	}
	return nil
}

// alloyCells are the columns of a row.
func alloyCells(a specimen.Alloy, sys si.System) []string {
	strength, yield, stretch := a.UTSLow.Text(sys), "", ""
	if a.UTSHigh > a.UTSLow {
		strength = a.UTSLow.In(sys).Number() + "–" + a.UTSHigh.Text(sys)
	}
	if a.Yield > 0 {
		yield = a.Yield.Text(sys)
	}
	if a.ElongationHigh > 0 {
		stretch = fmt.Sprintf("%g %%", a.ElongationLow)
		if a.ElongationHigh > a.ElongationLow {
			stretch = fmt.Sprintf("%g–%g %%", a.ElongationLow, a.ElongationHigh)
		}
	}
	name := a.Name
	if a.Also != "" {
		name += " (" + a.Also + ")"
	}
	return []string{name, a.Condition, string(a.Basis), strength, yield, stretch, a.Standard}
}

// alloyFrom says how the figures of a row came into the table.
func alloyFrom(a specimen.Alloy) string {
	var parts []string
	if a.Own {
		parts = append(parts, "your own")
	}
	for _, s := range []string{a.Provenance, a.Source, a.Note} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, "; ")
}
