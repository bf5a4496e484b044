package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"draghand/internal/bench"
	"draghand/internal/record"
)

func labelCommand(w world, c *common) *cobra.Command {
	var (
		melt, specimen, tags string
		noTags               bool
	)
	cmd := &cobra.Command{
		Use:   "label RECORD",
		Short: "correct the melt, the number or the tags of a pulled bar",
		Long: `label corrects what a bar is called: its melt, its number, and the free words it
is grouped by. What it was called before stays in the record as a remark. The
folder keeps its name, and nothing that was measured or reckoned changes.

The tags given take the place of those there.`,
		Example: `  draghand label M1-3 --melt M2
  draghand label M1-3 --specimen 4 --tags "wet sand, 1150C"
  draghand label M1-3 --no-tags`,
		Args: exactly(1, "name one pull record (a folder)"),
		RunE: func(cmd *cobra.Command, args []string) error {
			rec, err := openRecord(c, args[0])
			if err != nil {
				return err
			}
			to, f := rec.Head.Label(), cmd.Flags()
			was := labelWords(to)
			if f.Changed("melt") {
				to.Melt = melt
			}
			if f.Changed("specimen") {
				to.ID = specimen
			}
			switch {
			case f.Changed("tags") && noTags:
				return failf(exitUsage, "give one of the two", "--tags and --no-tags contradict each other")
			case f.Changed("tags"):
				if to.Tags, err = bench.ParseTags(tags); err == nil && len(to.Tags) == 0 {
					err = errors.New("a tag is empty")
				}
				if err != nil {
					return failf(exitUsage, "write them like --tags \"wet sand, 1150C\", or --no-tags for none; nothing has been written", "--tags: %s", strings.ReplaceAll(err.Error(), "\n", "; "))
				}
			case noTags:
				to.Tags = nil
			case !f.Changed("melt") && !f.Changed("specimen"):
				return failf(exitUsage, "give --melt, --specimen, --tags or --no-tags", "no other label is given; it is called %s", was)
			}
			if to, err = to.ValidFrom(rec.Head.Label()); err == nil {
				err = record.Relabel(rec.Dir, to)
			}
			if err != nil {
				return labelFault(rec, err)
			}
			if now := labelWords(to); now != was {
				fmt.Fprintf(w.out, "called     %s\nbefore     %s\nsaved in   %s, which keeps its name\n", now, was, clean(rec.Dir))
				return nil
			}
			fmt.Fprintf(w.out, "unchanged  %s is called that already: %s\n", clean(rec.Dir), was)
			return nil
		},
	}
	f := cmd.Flags()
	f.StringVar(&melt, "melt", "", "the melt it was turned from")
	f.StringVar(&specimen, "specimen", "", "the number of the bar")
	f.StringVar(&tags, "tags", "", "free words it is grouped by, separated by commas")
	f.BoolVar(&noTags, "no-tags", false, "no tags")
	return cmd
}

// labelWords is a label in one line.
func labelWords(l record.Label) string {
	words := oneLine(strings.Trim(l.Melt+"-"+l.ID, "-"))
	if words == "" {
		words = "nothing"
	}
	if len(l.Tags) > 0 {
		words += ", " + oneLine(strings.Join(l.Tags, ", "))
	}
	return words
}

func labelFault(rec *record.Record, err error) error {
	switch {
	case errors.Is(err, record.ErrBusy):
		return failf(exitSave, "another draghand writes this record: end the pull first, then label it again; nothing has been written", "%w", err)
	case errors.Is(err, record.ErrLabel), errors.Is(err, record.ErrRemark):
		return failf(exitUsage, "nothing has been written; the record stays as it was", "%s", strings.ReplaceAll(err.Error(), "\n", "; "))
	}
	return failf(exitSave, "see that there is room and leave to write in "+rec.Dir+"; the record stays as it was", "%w", err)
}
