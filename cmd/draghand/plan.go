package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"draghand/internal/bench"
	"draghand/internal/plan"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// planFlags are what a plan is asked for.
type planFlags struct {
	rig, alloy, strength, upper, micrometer, side string
	diameters                                     []string
	json                                          bool
}

func planCommand(w world, c *common) *cobra.Command {
	var f planFlags
	cmd := &cobra.Command{
		Use:   "plan",
		Short: "which bar to turn: sizes, margins, gauge reading and uncertainty",
		Long: `plan says, before anything is turned, what each standard bar of a metal would
break at on a rig: the force, the reading of the gauge, which part of the rig
comes to its stop first and by what margin, and how sure the strength would be.
It recommends a size, or says no and what would have to be otherwise.

It ends with 0 for a clear no too: the answer is the answer.`,
		Example: `  draghand plan --rig rig.toml --alloy C90500
  draghand plan --rig rig.toml --strength "40 ksi .. 50 ksi" --diameter "0.4 in"`,
		Args: none,
		RunE: func(*cobra.Command, []string) error {
			a, err := f.ask(c)
			if err != nil {
				return err
			}
			p := plan.For(a)
			if f.json {
				return printJSON(w.out, p)
			}
			for _, l := range p.Lines() {
				fmt.Fprintln(w.out, clean(l))
			}
			return nil
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&f.rig, "rig", "", "the rig file")
	fl.StringVar(&f.alloy, "alloy", "", "an alloy of the table, such as C90500 or \"356 T6\"")
	fl.StringVar(&f.strength, "strength", "", `what the metal breaks at, "40 ksi .. 50 ksi"; one figure is taken as typical`)
	fl.StringVar(&f.upper, "upper", "", "the strongest a bar may be, in place of the rule: limits are held against it")
	fl.StringArrayVar(&f.diameters, "diameter", nil, "a diameter to look at beside the standard ones (repeatable)")
	fl.StringVar(&f.micrometer, "micrometer", "", `limit of error of a measured diameter (default "0.01 mm")`)
	fl.StringVar(&f.side, "side", "", "where the bar stands in a rig of two sides: near (by itself) or far")
	fl.BoolVar(&f.json, "json", false, "the plan as JSON, in SI")
	return cmd
}

// ask is what a plan is made for, by the flags.
func (f *planFlags) ask(c *common) (a plan.Ask, err error) {
	if f.rig == "" {
		return a, failf(exitUsage, "name one: --rig FILE; draghand rig new > rig.toml makes one to fill in", "a plan needs a rig file")
	}
	alloys, err := alloyTable()
	if err != nil {
		return a, err
	}
	if a.Rig, err = loadRig(f.rig); err != nil {
		return a, err
	}
	if a.Units, err = c.system(a.Rig.Units); err != nil {
		return a, err
	}
	if a.Strength, err = f.metal(alloys, a.Units); err != nil {
		return a, err
	}
	side, err := bench.ParseSide(f.side)
	if err != nil {
		return a, failf(exitUsage, "write --side near or --side far", "--side: %w", err)
	}
	if a.Rig, err = placed(specimen.Specimen{Side: side}, a.Rig); err != nil {
		return a, err
	}
	for _, text := range f.diameters {
		d, err := specimen.ParseDiameters(text)
		if err != nil {
			return a, failf(exitUsage, `write it with its unit: --diameter "0.4 in"`, "--diameter: %w", err)
		}
		a.Diameters = append(a.Diameters, d...)
	}
	if f.micrometer != "" {
		if a.SizeU, err = si.ParseLength(f.micrometer); err != nil || !(a.SizeU > 0 && a.SizeU <= si.Millimetre) {
			return a, failf(exitUsage, `write what it may be off, up to 1 mm: --micrometer "0.01 mm"`, "--micrometer %q is no limit of error of a diameter", f.micrometer)
		}
	}
	a.Alloys = alloys
	return a, nil
}

// metal is the strength that the flags ask for.
func (f *planFlags) metal(alloys specimen.Table, sys si.System) (s plan.Strength, err error) {
	var upper si.Stress
	if f.upper != "" {
		if upper, err = si.ParseStress(f.upper); err != nil {
			return s, failf(exitUsage, `write it with its unit: --upper "60 ksi"`, "--upper: %w", err)
		}
	}
	switch {
	case f.alloy == "" && f.strength == "":
		return s, failf(exitUsage, `say --alloy NAME, or --strength "40 ksi .. 50 ksi"`, "a plan needs to know how strong the metal is")
	case f.strength != "":
		low, high, err := bench.ParseExpect(f.strength)
		if err != nil {
			return s, failf(exitUsage, `write a range, "40 ksi .. 50 ksi", or one strength`, "--strength: %w", err)
		}
		s = plan.OfRange(low, high, upper)
		s.Name = f.alloy // as the person calls it
	default:
		var ok bool
		if s, ok = plan.OfAlloy(alloys, f.alloy); !ok {
			return s, unknownAlloy(alloys, f.alloy)
		}
		if upper > 0 && upper < s.Low {
			return s, failf(exitUsage, "give an upper strength above it, or leave --upper out",
				"--upper %s lies below what %s has at least, %s", upper.Text(sys), s.Name, s.Low.Text(sys))
		}
		if upper > 0 {
			s.Upper, s.High = upper, min(s.High, upper)
			s.How += "; held against the upper strength you gave"
		}
	}
	if err := s.Valid(); err != nil {
		return s, failf(exitUsage, `write the lower end first, in metals' strengths: "40 ksi .. 50 ksi"`, "%w", err)
	}
	return s, nil
}

// unknownAlloy says that an alloy is none of the table, or which it may be.
func unknownAlloy(alloys specimen.Table, name string) error {
	var like []string
	for _, a := range alloys.Find(name) {
		if !slices.Contains(like, a.Name) {
			like = append(like, a.Name)
		}
	}
	if len(like) > 1 {
		return failf(exitUsage, "name one of them: "+strings.Join(like[:min(len(like), 8)], ", "), "--alloy %q may be %d alloys of the table", name, len(like))
	}
	return failf(exitUsage, `say how strong it is instead: --strength "40 ksi .. 50 ksi"`, "--alloy %q is none of the table", name)
}
