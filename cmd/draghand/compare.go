package main

import (
	"github.com/spf13/cobra"

	"draghand/internal/batch"
	"draghand/internal/compare"
	"draghand/internal/si"
)

func compareCommand(w world, c *common) *cobra.Command {
	var v compareVerb
	n := compare.NewOptions()
	cmd := &cobra.Command{
		Use:   "compare [RECORD|FOLDER|MELT]... [vs RECORD|FOLDER|MELT...]",
		Short: "bars beside each other: is this melt as good as the last, and what strength to count on",
		Long: `compare sets the pulls of like bars beside each other: how many count, their
mean, scatter and range, whether one lies apart, whether groups differ by more
than their scatter explains, and what strength may be counted on: the strength
that 90 % of such bars reach, said with 95 % confidence (the bound), less what
the rig itself may be off. It is no promise for the next bar: with that
confidence at most 1 bar in 10 reads below the bound, with --bound 99/95 1 in
100. Five bars of a melt are few, ten are better; of two there is a bound
and nothing to count on.

Each answer says how its bars were picked. Leave none out for being weak: what
is left scatters less, and the figure rises without the melt. Bars picked by what
came out, such as --where 'strength>40ksi', are told, and so are other pulls of
the same melt that were not taken.

A record is named by its path, its name on the shelf or its bar; a folder of
records, or a melt, stands for all of its records. Without any, the whole shelf
is compared, or what --where takes of it. The word vs between records makes
groups of them, A, B and so on; without it the groups are the melts.

Nothing is dropped by itself: a bar that lies apart is named, and you look at it.
Pulls that do not count are left out, each with its reason. A bar that did not
break bore at least so much: it is in the Weibull line alone.

A strength to count on holds for the melt, the section and the kind of bar that
were pulled, not for a casting of another thickness. It is no design value of a
code, replaces no code and no licensed practice, and this program is no safety
device. See docs/compare.md.`,
		Example: `  draghand compare M1                                 the bars of a melt
  draghand compare M1 M2 --minimum "40 ksi"           two melts, against a minimum
  draghand compare M1-1 M1-2 M1-3 vs M2-1 M2-2 M2-3   bars against bars
  draghand compare --where 'alloy:C905 since:2026-01' --by tag:wet-sand,dry-sand
  draghand compare M1 M2 --as html -o melts.html      a report to read, send or print
  draghand compare --by alloy --bound 99/95 --json`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			v.w, v.c = w, c
			v.byGiven, v.whereGiven = cmd.Flags().Changed("by"), cmd.Flags().Changed("where")
			return v.run(cmd.Context(), args)
		},
	}
	f := cmd.Flags()
	f.StringVar(&v.where, "where", "", "compare those of the shelf that this takes, such as 'alloy:C905 strength>40ksi tag:wet-sand'")
	f.StringVar(&v.by, "by", "", "what groups are made by: all, melt, alloy, tag, tag:wet-sand,dry-sand or marks (default: melt; marks with vs)")
	f.StringVar(&v.bound, "bound", "90/95", "the tolerance bound: what share of such bars in percent, and with what confidence, such as 99/95")
	f.StringVar(&v.side, "outlier", string(n.Side), "where one bar is looked for that lies apart: low, high or either")
	f.Float64Var(&v.level, "level", n.Level, "level of significance of every test; intervals are of what is left of 1")
	f.StringVar(&v.minimum, "minimum", "", `hold each group against a minimum, such as "40 ksi"`)
	f.BoolVar(&v.asJSON, "json", false, "one object, in SI")
	f.StringVar(&v.as, "as", "", "html: a report with all figures and drawings, one page that needs nothing else (default: words)")
	f.StringVarP(&v.file, "output", "o", "", "write to this file, in the place of one that is there (default: standard output)")
	return cmd
}

// settings reads what the flags ask for.
func (v *compareVerb) settings() (o compare.Options, by compare.By, err error) {
	o = compare.NewOptions()
	if o.Content, o.Confidence, err = compare.ParseBound(v.bound); err != nil {
		return o, by, failf(exitUsage, "see draghand compare --help", "--bound: %w", err)
	}
	switch o.Side = batch.Side(v.side); o.Side {
	case batch.Low, batch.High, batch.Either:
	default:
		return o, by, failf(exitUsage, "write low, high or either", "--outlier %q is no side", v.side)
	}
	if o.Level = v.level; !(v.level >= 0.0001 && v.level <= 0.5) {
		return o, by, failf(exitUsage, "write it like 0.05, for 5 %", "--level %v is no level from 0.0001 to 0.5", v.level)
	}
	if v.minimum != "" {
		if o.Minimum, err = si.ParseStress(v.minimum); err == nil && !(o.Minimum > 0) {
			err = failf(exitUsage, "leave it away where there is none", "%q is no minimum", v.minimum)
		}
		if err != nil {
			return o, by, failf(exitUsage, `write it like --minimum "40 ksi"`, "--minimum: %w", err)
		}
	}
	if by.Field = compare.ByMelt; v.byGiven {
		if by, err = compare.ParseBy(v.by); err != nil {
			return o, by, failf(exitUsage, "see draghand compare --help", "--by: %w", err)
		}
	}
	return o, by, nil
}
