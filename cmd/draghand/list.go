package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/spf13/cobra"

	"draghand/internal/pull"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

func listCommand(w world, c *common) *cobra.Command {
	var melt, since string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "list",
		Short: "the pull records on the shelf, newest first",
		Long: `list names the pull records on the shelf, newest first: when, which bar, what
came out. It reads the head of each and no reading. What cannot be read is named
with the reason; draghand check says what of it is intact.`,
		Example: `  draghand list
  draghand list --melt M1
  draghand list --since 2026-11-01 --json`,
		Args: none,
		RunE: func(cmd *cobra.Command, _ []string) error {
			keep := filter{melt: clean(melt), byMelt: cmd.Flags().Changed("melt")}
			if since != "" {
				t, err := parseDate(since)
				if err != nil {
					return failf(exitUsage, `write it like --since 2026-11-25 or --since "2026-11-25 14:03"`, "--since: %w", err)
				}
				keep.since = t
			}
			if _, err := c.system(si.Metric); err != nil {
				return err
			}
			all, err := c.listShelf(cmd.Context())
			if err != nil {
				return failf(exitInput, "name another folder with --data", "%w", err)
			}
			shown := all[:0:0]
			for _, e := range all {
				if keep.takes(e) {
					shown = append(shown, e)
				}
			}
			if asJSON {
				out := make([]entryJSON, 0, len(shown))
				for _, e := range shown {
					out = append(out, jsonOf(e))
				}
				return printJSON(w.out, out)
			}
			switch {
			case len(all) == 0:
				fmt.Fprintf(w.out, "no pull records in %s: draghand demo makes one on the simulated rig, draghand watch a real one\n", clean(c.shelf()))
			case len(shown) == 0:
				fmt.Fprintf(w.out, "none of the %d pull records in %s is asked for: leave --melt or --since out to see all\n", len(all), clean(c.shelf()))
			default:
				return printEntries(w.out, c, shown)
			}
			return nil
		},
	}
	f := cmd.Flags()
	f.StringVar(&melt, "melt", "", "only those of this melt")
	f.StringVar(&since, "since", "", `only those begun at or after this, local time, such as 2026-11-25 or "2026-11-25 14:03"`)
	f.BoolVar(&asJSON, "json", false, "an array, one object a record, in SI")
	return cmd
}

// filter is what of a shelf is asked for.
type filter struct {
	melt   string
	byMelt bool
	since  time.Time
}

// takes says whether an entry is asked for. What cannot be read is told whenever
// it may be meant.
func (f filter) takes(e shelf.Entry) bool {
	if f.byMelt && e.Readable() && clean(e.Specimen.Melt) != f.melt {
		return false
	}
	when := e.When()
	return f.since.IsZero() || when.IsZero() || !when.Before(f.since)
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

// oneLine is a name from a record on one line of a table.
func oneLine(s string) string { return strings.Join(strings.Fields(clean(s)), " ") }

// row is an entry in words, a column each.
func row(e shelf.Entry, c *common) ([]string, error) {
	if !e.Readable() {
		return []string{"", "", "", "", "", e.How(), oneLine(e.Name) + ": " + oneLine(e.Reason)}, nil
	}
	sys, err := c.system(e.Units)
	if err != nil {
		return nil, err
	}
	diameter := e.Specimen.SizeText(sys)
	if d := e.Specimen.Diameter(); d > 0 {
		diameter = d.Size(sys)
	}
	return []string{
		e.Started.Local().Format("2006-01-02 15:04:05"),
		oneLine(strings.Trim(e.Specimen.Melt+"-"+e.Specimen.ID, "-")),
		oneLine(e.Specimen.Alloy), diameter, e.Result(sys), e.How(), oneLine(e.Name),
	}, nil
}

// widest bounds a column, so that one long name does not push the rest away.
const widest = 28

// printEntries writes the table. The last column is never cut: it is the name to
// type.
func printEntries(out io.Writer, c *common, all []shelf.Entry) error {
	head := []string{"start", "bar", "alloy", "diameter", "result", "outcome", "record"}
	wide := make([]int, len(head))
	rows := make([][]string, 0, len(all)+1)
	rows = append(rows, head)
	for _, e := range all {
		r, err := row(e, c)
		if err != nil {
			return err
		}
		rows = append(rows, r)
	}
	for _, r := range rows {
		for i, s := range r {
			wide[i] = max(wide[i], min(ansi.StringWidth(s), widest))
		}
	}
	var b strings.Builder
	for _, r := range rows {
		b.Reset()
		for i, s := range r {
			if i == len(r)-1 {
				b.WriteString(s)
				break
			}
			s = ansi.Truncate(s, wide[i], "…")
			b.WriteString(s + strings.Repeat(" ", wide[i]-ansi.StringWidth(s)+2))
		}
		if _, err := fmt.Fprintln(out, b.String()); err != nil {
			return err
		}
	}
	return nil
}

// entryJSON is an entry as JSON, with the field names of the record and of its
// results; null is not known.
type entryJSON struct {
	Record            string             `json:"record"`
	Condition         string             `json:"condition"`
	Reason            *string            `json:"reason"`
	Started           *time.Time         `json:"started"`
	Kind              *pull.Kind         `json:"kind"`
	ID                string             `json:"id"`
	Melt              string             `json:"melt"`
	Alloy             string             `json:"alloy"`
	Diameters         []si.Length        `json:"diameters_m"`
	Shape             specimen.Shape     `json:"shape,omitempty"`
	Sections          []specimen.Section `json:"sections_m,omitempty"`
	Stock             string             `json:"check_stock,omitempty"`
	Simulated         bool               `json:"simulated"`
	Imported          bool               `json:"imported"`
	ByEye             bool               `json:"by_eye"`
	Rig               string             `json:"rig"`
	Source            string             `json:"source"`
	Outcome           *pull.Phase        `json:"outcome"`
	PeakN             *si.Force          `json:"peak_n"`
	StressPa          *si.Stress         `json:"stress_pa"`
	StrengthPa        *si.Stress         `json:"strength_pa"`
	StrengthAtLeastPa *si.Stress         `json:"strength_at_least_pa"`
	Remarks           int                `json:"remarks"`
}

func jsonOf(e shelf.Entry) entryJSON {
	out := entryJSON{Record: e.Name, Condition: string(e.Condition), Diameters: []si.Length{}}
	if e.Reason != "" {
		out.Reason = &e.Reason
	}
	if !e.Readable() {
		return out
	}
	out.Started, out.Kind = &e.Started, &e.Kind
	out.ID, out.Melt, out.Alloy, out.Simulated = e.Specimen.ID, e.Specimen.Melt, e.Specimen.Alloy, e.Specimen.Simulated
	out.Diameters = append(out.Diameters, e.Specimen.Diameters...)
	out.Stock = e.Specimen.Stock
	out.Shape, out.Sections = e.Specimen.Shape, e.Specimen.Sections
	out.Imported, out.ByEye, out.Rig, out.Source, out.Remarks = e.Imported, e.ByEye, e.RigName, e.Source, e.Remarks
	if e.Outcome != "" {
		out.Outcome = &e.Outcome
	}
	out.PeakN, out.StressPa, out.StrengthPa, out.StrengthAtLeastPa = some(e.Peak), some(e.Stress), some(e.Strength), some(e.AtLeast)
	return out
}

// some is nil for what is not known.
func some[T ~float64](v T) *T {
	if v == 0 {
		return nil
	}
	return &v
}
