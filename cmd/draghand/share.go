package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"draghand/internal/rig"
	"draghand/internal/share"
	"draghand/internal/si"
)

func shareCommand(w world, c *common) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "share RECORD...",
		Short: "what each side of the rig truly carries, from like bars pulled on both",
		Long: `share takes the records of like bars of one stock, some pulled in their own
place and some in the far side's (watch --side far), and finds what part of the
ram's force the specimen's own place carries, in place of what the ruler says of
the arms. Two bars a side are the least, three are advised; pull them in turns.

It prints the line for the rig file. Before bar and link change places: let the
pressure off, see that the gauge stands at zero, and lock the press out. See
docs/share.md.`,
		Example: `  draghand watch --rig rig.toml --melt M1 --specimen 1 --diameter "12.51 mm"
  draghand watch --rig rig.toml --melt M1 --specimen 2 --diameter "12.50 mm" --side far
  draghand share RECORD RECORD RECORD RECORD RECORD RECORD`,
		Args: atLeast(2*share.Least, "name the records of like bars, two or more of each side"),
		RunE: func(_ *cobra.Command, args []string) error {
			bars := make([]share.Bar, 0, len(args))
			for _, name := range args {
				rec, err := openRecord(c, name)
				if err != nil {
					return err
				}
				s, err := rec.Replay(nil)
				if err != nil {
					return failf(exitInput, "draghand check says what is intact; leave this record out", "%s: %w", name, err)
				}
				bars = append(bars, share.Bar{Record: rec.Name(), Bar: rec.Head.Specimen, Rig: rec.Head.Rig, Kind: rec.Head.Kind, State: s})
			}
			f, remarks, err := share.Of(bars)
			if err != nil {
				return failf(exitInput, "name like bars of one melt, pulled on one two-sided rig, two or more of each side", "no share can be found: %w", err)
			}
			answer := shareAnswer(f, bars, remarks)
			if asJSON {
				return printJSON(w.out, answer)
			}
			sys, err := c.system(bars[0].Rig.Units)
			if err != nil {
				return err
			}
			for _, l := range shareLines(answer, bars, sys) {
				fmt.Fprintln(w.out, clean(l))
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "one object, in SI")
	return cmd
}

// shareBar is one bar of the answer.
type shareBar struct {
	Record   string  `json:"record"`
	Side     string  `json:"side"`
	Ram      float64 `json:"ram_stress_pa"` // loaded ram force over the section
	Apparent float64 `json:"strength_pa"`   // by the share of the rig file
}

// shareFound is the answer.
type shareFound struct {
	share.Found
	Line     string     `json:"rig_file_line"` // empty where the bars scatter too much
	Ruler    float64    `json:"ruler_share"`
	RulerTol float64    `json:"ruler_share_tol"`
	Agrees   bool       `json:"agrees_with_ruler"`
	MoreNear *int       `json:"more_near_to_halve"` // null: thousands would not do it
	MoreFar  *int       `json:"more_far_to_halve"`
	Bars     []shareBar `json:"bars"`
	Remarks  []string   `json:"remarks"`
}

func shareAnswer(f share.Found, bars []share.Bar, remarks []string) shareFound {
	a := shareFound{Found: f, Remarks: remarks, Bars: []shareBar{}}
	if text := f.Text(); text != "" {
		a.Line = fmt.Sprintf("share_found = %q", text)
	}
	a.Ruler, a.RulerTol, _ = bars[0].Rig.Path.Ruler()
	a.Agrees = f.Agrees(a.Ruler, a.RulerTol)
	if near, far, ok := f.More(); ok {
		a.MoreNear, a.MoreFar = &near, &far
	}
	for _, b := range bars {
		a.Bars = append(a.Bars, shareBar{Record: b.Record, Side: sideWord(b), Ram: float64(b.RamStress()), Apparent: float64(b.Apparent())})
	}
	return a
}

func sideWord(b share.Bar) string {
	if b.Far() {
		return "far"
	}
	return "near"
}

// shareLines is the answer for a person.
func shareLines(a shareFound, bars []share.Bar, sys si.System) []string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	nominal := func(p rig.Path, far bool) si.Stress {
		p.BarFar = far
		return si.Stress(p.BarShare())
	}
	path := bars[0].Rig.Path
	for _, s := range []struct {
		name string
		share.Side
		far bool
	}{{"near side", a.Near, false}, {"far side", a.Far, true}} {
		add("%-12s%d bars, apparent strength %s, scatter ± %.1f %%", s.name, s.N, (s.Mean * nominal(path, s.far)).Text(sys), 100*float64(s.SD/s.Mean))
		for i, b := range bars {
			if b.Far() == s.far {
				add("            %s  %s", si.Stress(a.Bars[i].Apparent).Text(sys), b.Record)
			}
		}
	}
	add("share       %.4f ± %.4f of the ram's force on the specimen's own place", a.Share, a.Expanded)
	add("            95 %%, factor %.2f at %.1f degrees of freedom", a.K, a.DOF)
	verdict := "they agree"
	if !a.Agrees {
		verdict = "they do NOT agree: measure the arms again, and see where the bar bears"
	}
	add("ruler       %.4f ± %.4f: %s", a.Ruler, a.RulerTol, verdict)
	if a.Line != "" {
		add("rig file    under [path], beside the arms:")
		add("            %s", a.Line)
	}
	if a.MoreNear != nil {
		add("to halve it %d more bars, near %d and far %d, if they scatter as these", *a.MoreNear+*a.MoreFar, *a.MoreNear, *a.MoreFar)
	}
	for _, r := range a.Remarks {
		add("remark      %s", r)
	}
	return out
}
