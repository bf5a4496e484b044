package main

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"draghand/internal/shelf"
	"draghand/internal/si"
)

func checkbarCommand(w world, c *common) *cobra.Command {
	var rigName string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "checkbar [STOCK]",
		Short: "the chart of the check bars of a bought stock: does the rig still read as it did",
		Long: `checkbar shows the bars of one bought stock that were pulled to check the rig
(--check-stock NAME with watch, enter or import, or the field stock of the
bench): their strengths against their mean and limits 3 s to either side, s from
the moving ranges. Each bar is judged by those before it. What is out of control
is told, and what to look at: sensor, friction, share, ram area.

A chart sees what changes. What was wrong from the first bar on it cannot see.
Without a STOCK all of them are listed. See docs/check-bar.md.`,
		Example: `  draghand watch --rig rig.toml --check-stock "drawn bar A" --melt check --specimen 7 --diameter "12.51 mm"
  draghand checkbar
  draghand checkbar "drawn bar A"`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			sys, err := c.system(si.US)
			if err != nil {
				return err
			}
			all, err := c.listShelf(cmd.Context())
			if err != nil {
				return failf(exitInput, "name another folder with --data", "%w", err)
			}
			stocks := shelf.Stocks(all)
			name := strings.Join(strings.Fields(clean(strings.Join(args, " "))), " ")
			if rigName != "" {
				rigName = rigNamed(rigName)
				stocks = slices.DeleteFunc(stocks, func(s shelf.Stock) bool { return s.Rig != rigName })
			}
			if name != "" {
				found := slices.DeleteFunc(slices.Clone(stocks), func(s shelf.Stock) bool { return s.Name != name })
				if len(found) == 0 {
					return noStock(name, rigName, stocks)
				}
				stocks = found
			}
			if asJSON {
				return printJSON(w.out, saidOf(stocks, time.Now()))
			}
			if len(stocks) == 0 {
				fmt.Fprintf(w.out, "no check bars in %s: pull bars of one bought stock with --check-stock NAME\n", clean(c.shelf()))
				return nil
			}
			for i := range stocks {
				s := &stocks[i]
				if name == "" {
					fmt.Fprintf(w.out, "%s, on %s: %s\n", clean(s.Title()), clean(s.Rig), clean(s.Short(time.Now())))
					continue
				}
				if i > 0 {
					fmt.Fprintln(w.out)
				}
				if c.units == "" {
					sys = s.Units()
				}
				for _, l := range s.Lines(sys, time.Now()) {
					fmt.Fprintln(w.out, spaced(l))
				}
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&rigName, "rig", "", "only on this rig: its name as the records have it, or its rig file")
	cmd.Flags().BoolVar(&asJSON, "json", false, "an array, one object a chart, in SI")
	return cmd
}

// rigNamed is the name of a rig that is given by it or by its file.
func rigNamed(text string) string {
	if st, err := os.Stat(text); err == nil && st.Mode().IsRegular() {
		if r, err := loadRig(text); err == nil {
			return r.Name
		}
	}
	return clean(text)
}

// noStock says that there is no such stock, and which there are.
func noStock(name, rigName string, have []shelf.Stock) error {
	on := ""
	if rigName != "" {
		on = " on rig " + rigName
	}
	var names []string
	for _, s := range have {
		if !slices.Contains(names, s.Name) {
			names = append(names, s.Name)
		}
	}
	if len(names) == 0 {
		return failf(exitInput, "pull bars of one bought stock with --check-stock NAME", "there are no check bars%s", on)
	}
	return failf(exitInput, "name one of them: "+strings.Join(names[:min(len(names), 8)], ", "), "no check bar%s is of the stock %q", on, name)
}

// spaced is a line of a table without what may steer a terminal: its columns keep
// their blanks.
func spaced(line string) string {
	cells := strings.Split(line, " ")
	for i, t := range cells {
		cells[i] = clean(t)
	}
	return strings.TrimRight(strings.Join(cells, " "), " ")
}

// saidStock is a chart as JSON, with what is said of it.
type saidStock struct {
	shelf.Stock
	Verdict string   `json:"verdict"`
	Says    string   `json:"says"`
	Days    *int     `json:"days_since"` // null: no bar counts
	Warns   bool     `json:"warns"`
	Look    []string `json:"look_at"`
}

func saidOf(stocks []shelf.Stock, now time.Time) []saidStock {
	out := make([]saidStock, 0, len(stocks))
	for _, s := range stocks {
		one := saidStock{Stock: s, Verdict: s.Verdict(), Says: s.Short(now), Warns: s.Warns(), Look: s.Look(), Days: s.Days(now)}
		if one.Look == nil {
			one.Look = []string{}
		}
		out = append(out, one)
	}
	return out
}
