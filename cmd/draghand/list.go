package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"draghand/internal/shelf"
	"draghand/internal/si"
)

// listVerb is one call of list.
type listVerb struct {
	w           world
	c           *common
	melt, since string
	byMelt      bool
	sort        string
	reverse     bool
	asJSON      bool
	asCSV       bool
	file        string
}

func listCommand(w world, c *common) *cobra.Command {
	v := listVerb{w: w, c: c}
	cmd := &cobra.Command{
		Use:   "list [TERM]...",
		Short: "the pull records on the shelf, newest first",
		Long: `list names the pull records on the shelf, newest first: when, which bar, what
came out, whether it counts. It reads the head of each and no reading. What cannot
be read is named with the reason and what helps; draghand check says what of it is
intact.

Terms show a part of the shelf: each must hold. A word is looked for in bar, alloy,
tags and names; alloy:C905 in one of them; strength>40ksi and elongation:5%..10% are
ranges; since:2026-01 is a time. A term with a minus before it must not hold: write
-- before the first such, or put it in quotes with another. docs/shelf.md has them all.

On a terminal too narrow for the table each record takes two lines. --csv is one
table of all that is listed, in SI, for a spreadsheet.`,
		Example: `  draghand list
  draghand list alloy:C905 'strength>40ksi'
  draghand list 'tag:wet-sand -counts:no' --sort strength --reverse
  draghand list -- -is:simulated
  draghand list --melt M1 --since 2026-11-01 --json
  draghand list --csv -o shelf.csv`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			v.byMelt = cmd.Flags().Changed("melt")
			return v.run(cmd.Context(), args)
		},
	}
	cmd.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		next := "see " + cmd.CommandPath() + " --help"
		switch {
		case strings.HasPrefix(err.Error(), "unknown flag: --"):
			next = "a term stands without --, such as " + cmd.CommandPath() + " alloy:C905 'strength>40ksi'; " + next[len("see "):] + " has the flags"
		case strings.ContainsAny(err.Error(), ":=<>"):
			next = "a term with a minus goes behind --, such as " + cmd.CommandPath() + " -- -is:simulated"
		}
		return failf(exitUsage, next, "%w", err)
	})
	f := cmd.Flags()
	f.StringVar(&v.melt, "melt", "", "only those of this melt")
	f.StringVar(&v.since, "since", "", `only those begun at or after this, local time, such as 2026-11-25 or "2026-11-25 14:03"`)
	f.StringVar(&v.sort, "sort", string(shelf.ByBegan), "order by "+sortNames())
	f.BoolVar(&v.reverse, "reverse", false, "the other way round; what is not known comes last either way")
	f.BoolVar(&v.asJSON, "json", false, "an array, one object a record, in SI")
	f.BoolVar(&v.asCSV, "csv", false, "a table for a spreadsheet, one row a record, in SI")
	f.StringVarP(&v.file, "output", "o", "", "with --csv: write to this file, in the place of one that is there (default: standard output)")
	return cmd
}

// sortNames are the keys of --sort in words.
func sortNames() string {
	var out []string
	for _, k := range shelf.SortKeys() {
		out = append(out, string(k))
	}
	return strings.Join(out[:len(out)-1], ", ") + " or " + out[len(out)-1]
}

func (v *listVerb) run(ctx context.Context, terms []string) error {
	keep, by, reverse, err := v.asked(terms)
	if err != nil {
		return err
	}
	all, err := v.c.listShelf(ctx)
	if err != nil {
		return failf(exitInput, "name another folder with --data", "%w", err)
	}
	shown := all[:0:0]
	for i := range all {
		if keep.takes(&all[i]) {
			shown = append(shown, all[i])
		}
	}
	if by != shelf.ByBegan || reverse {
		shelf.Sort(shown, by, reverse)
	}
	out := v.w.out
	switch {
	case v.asJSON:
		list := make([]entryJSON, 0, len(shown))
		for _, e := range shown {
			list = append(list, jsonOf(e))
		}
		return printJSON(out, list)
	case v.asCSV && v.file != "" && v.file != "-":
		return putInPlace(v.file, func(out io.Writer) error { return writeEntries(out, shown) })
	case v.asCSV:
		return writeEntries(out, shown)
	case len(all) == 0 && v.c.data != "" && !there(v.c.data):
		fmt.Fprintf(out, "no pull records: there is no folder %s; draghand demo makes a record on the simulated rig, draghand watch a real one\n", clean(v.c.data))
	case len(all) == 0:
		fmt.Fprintf(out, "no pull records in %s: draghand demo makes one on the simulated rig, draghand watch a real one\n", clean(v.c.shelf()))
	case len(shown) == 0:
		fmt.Fprintf(out, "none of the %d pull records in %s is asked for: leave terms, --melt or --since out to see all\n", len(all), clean(v.c.shelf()))
	default:
		return printEntries(out, v.c, shown, columnsOf(out))
	}
	return nil
}

// asked reads what the flags and the terms ask for.
func (v *listVerb) asked(terms []string) (keep filter, by shelf.SortKey, reverse bool, err error) {
	keep = filter{melt: clean(v.melt), byMelt: v.byMelt}
	if v.since != "" {
		if keep.since, err = parseDate(v.since); err != nil {
			return keep, by, false, failf(exitUsage, `write it like --since 2026-11-25 or --since "2026-11-25 14:03"`, "--since: %w", err)
		}
	}
	if keep.terms, err = shelf.ParseFilter(strings.Join(terms, " ")); err != nil {
		next := "see draghand list --help"
		if t, ok := errors.AsType[*shelf.TermError](err); ok {
			return keep, by, false, failf(exitUsage, t.Next, "%s: %s", clean(t.Term), t.Why)
		}
		return keep, by, false, failf(exitUsage, next, "%w", err)
	}
	if by, reverse, err = shelf.ParseSort(v.sort); err != nil {
		return keep, by, false, failf(exitUsage, "write --sort "+sortNames(), "--sort %q is nothing to order by", clean(v.sort))
	}
	if _, err := v.c.system(si.Metric); err != nil {
		return keep, by, false, err
	}
	_, notFile := shelf.ParseFilter("o" + v.file)
	switch {
	case strings.ContainsAny(v.file, ":=") && notFile == nil: // -on:2026 and -outcome:broken read as -o
		return keep, by, false, failf(exitUsage, "a term with a minus goes behind --, such as draghand list -- -is:simulated", "-o%s reads as a file to write to", clean(v.file))
	case v.asJSON && v.asCSV:
		return keep, by, false, failf(exitUsage, "leave one of them out", "--json and --csv cannot both be written")
	case v.file != "" && !v.asCSV:
		return keep, by, false, failf(exitUsage, "add --csv, or send the list to a file with >", "-o is for --csv")
	}
	return keep, by, reverse != v.reverse, nil
}

// filter is what of a shelf is asked for.
type filter struct {
	melt   string
	byMelt bool
	since  time.Time
	terms  shelf.Filter
}

// takes says whether an entry is asked for. What cannot be read is told whenever
// it may be meant.
func (f filter) takes(e *shelf.Entry) bool {
	if f.byMelt && e.Readable() && clean(e.Specimen.Melt) != f.melt {
		return false
	}
	if when := e.When(); !f.since.IsZero() && !when.IsZero() && when.Before(f.since) {
		return false
	}
	return f.terms.Takes(e)
}

// parseDate reads a date, with or without a time, in local time, or a whole RFC
// 3339 time.
func parseDate(text string) (time.Time, error) {
	for _, layout := range []string{"2006-01-02", "2006-01-02 15:04", "2006-01-02 15:04:05", "2006-01-02T15:04", "2006-01-02T15:04:05"} {
		if t, err := time.ParseInLocation(layout, text, time.Local); err == nil {
			return t, nil
		}
	}
	if t, err := time.Parse(time.RFC3339, text); err == nil {
		return t, nil
	}
	return time.Time{}, fmt.Errorf("%q is no date", text)
}
