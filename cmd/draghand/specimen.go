package main

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"draghand/internal/si"
	"draghand/internal/specimen"
)

func specimenCommand(w world, c *common) *cobra.Command {
	var (
		asJSON bool
		svg    string
	)
	cmd := &cobra.Command{
		Use:   "specimen [NAME]",
		Short: "standard bars and their dimensions, with a sketch to turn by",
		Long: `specimen lists the bars of the standards the program knows. With a NAME, or a
diameter of your own, it draws that bar with its dimensions; --svg writes the
drawing into a file for the workshop.

Most dimensions are from memory of the standards, and each says so: have the
standard at hand before a bar must satisfy it.`,
		Example: `  draghand specimen
  draghand specimen "E8 0.250"
  draghand specimen "8 mm" --svg bar.svg`,
		Args: cobra.ArbitraryArgs,
		RunE: func(_ *cobra.Command, args []string) error {
			name := strings.Join(args, " ")
			if name == "" {
				if svg != "" {
					return failf(exitUsage, "name one: draghand specimen lists them", "--svg draws one bar, and none is named")
				}
				if asJSON {
					return printJSON(w.out, specimen.Standards())
				}
				return listStandards(w, c)
			}
			s, err := namedStandard(name)
			if err != nil {
				return err
			}
			sys, err := c.system(s.Units)
			if err != nil {
				return err
			}
			if svg != "" {
				if err := writeNew(svg, specimen.SketchSVG(s, sys)); err != nil {
					return failf(exitSave, "choose another name, or move that file away", "write the drawing: %w", err)
				}
			}
			if asJSON {
				return printJSON(w.out, s)
			}
			fmt.Fprintln(w.out, clean(s.Name))
			for _, line := range specimen.Sketch(s, sys, c.ascii(w)) {
				fmt.Fprintln(w.out, clean(line))
			}
			if svg != "" {
				fmt.Fprintln(w.out, "drawn as "+clean(svg))
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&svg, "svg", "", "write the drawing into this file, which must not exist")
	cmd.Flags().BoolVar(&asJSON, "json", false, "the dimensions as JSON, in SI")
	return cmd
}

// writeNew writes a file that must not be there yet; one that cannot be written whole
// is taken away again.
func writeNew(name, text string) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = f.WriteString(text)
	if err = errors.Join(err, f.Close()); err != nil {
		os.Remove(name)
	}
	return err
}

// namedStandard is a bar of the tables, or one of an own diameter.
func namedStandard(name string) (specimen.Standard, error) {
	if d, err := si.ParseLength(name); err == nil {
		if err := (specimen.Specimen{Diameters: []si.Length{d}}).Validate(); err != nil {
			return specimen.Standard{}, failf(exitUsage, `write it like "8 mm"`, "%w", err)
		}
		sys := si.Metric
		if strings.Contains(name, "in") || strings.Contains(name, `"`) {
			sys = si.US
		}
		return specimen.Own(d, sys), nil
	}
	found := specimen.FindStandards(name)
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return specimen.Standard{}, failf(exitInput, "draghand specimen lists the names; an own diameter needs its unit", "no standard bar answers to %q", clean(name))
	}
	var names []string
	for _, s := range found {
		names = append(names, s.Name)
	}
	return specimen.Standard{}, failf(exitInput, "write the whole name", "%q may be any of: %s", clean(name), strings.Join(names, ", "))
}

// listStandards writes the table of bars.
func listStandards(w world, c *common) error {
	const form = "%-26s %-17s %-18s %-10s %-10s %s\n"
	if _, err := fmt.Fprintf(w.out, form, "bar", "diameter", "gauge length", "reduced", "fillet", "source"); err != nil {
		return err
	}
	for _, s := range specimen.Standards() {
		sys, err := c.system(s.Units)
		if err != nil {
			return err
		}
		size := func(v, tol si.Length) string {
			switch {
			case v == 0:
				return "–"
			case tol == 0:
				return v.Text(sys)
			}
			return v.In(sys).Number() + " ± " + tol.Text(sys)
		}
		fmt.Fprintf(w.out, form, s.Name, size(s.Diameter, s.Tol), size(s.GaugeLength, s.GaugeTol), size(s.ReducedMin, 0), size(s.FilletMin, 0), s.Source)
	}
	fmt.Fprintln(w.out, "\nreduced: least length of the reduced section; fillet: least radius; –: not in this table")
	fmt.Fprintln(w.out, "most figures are from memory of the standards: draghand specimen NAME says of each")
	return nil
}
