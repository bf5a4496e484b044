package main

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"draghand/internal/finish"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/strength"
)

func enterCommand(w world, c *common) *cobra.Command {
	var (
		rigFile, peak, at, outcome, when string
		remarks                          []string
		asJSON                           bool
		bar                              barFlags
		job                              kindFlags
	)
	cmd := &cobra.Command{
		Use:   "enter --rig FILE --peak READING",
		Short: "a pull without a trace: the peak read by eye off a dial gauge",
		Long: `enter makes a pull record of a pull that no sensor watched: the peak is what
somebody read off the drag hand of a dial gauge, by eye, once. results, list,
export and check take it as any other record; it has no trace, and says so.

--peak is a gauge pressure, or a force where the dial is marked in one: on the
ram, unless --at specimen says otherwise. Behind it, with ±, stands the smallest
division that could be read. The rig file makes the force of it, as it does for
readings; a dial reads from its own zero.

--outcome is how the pull ended: broken or let-off. Without it nobody knows
whether the bar broke, and the peak is only what it bore at least.`,
		Example: `  draghand enter --rig rig.toml --peak "5200 psi ± 50 psi" --outcome broken --melt M1 --specimen 4 --diameter "0.493 in"
  draghand enter --rig rig.toml --peak "62 kN" --at ram --outcome let-off --remark "the pump leaked"`,
		Args: none,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if rigFile == "" {
				return failf(exitUsage, "make one with: draghand rig new > rig.toml", "no rig file: without it a dial cannot be made a force")
			}
			dial, err := readDial(peak, at, outcome)
			if err != nil {
				return err
			}
			h := record.Head{Program: "draghand " + version(), Started: time.Now().UTC(), Source: "dial gauge, by eye", Dial: &dial}
			if h.Specimen, err = bar.specimen(); err != nil {
				return err
			}
			kind, proof, err := job.read(cmd)
			if err != nil {
				return err
			}
			h.Kind = kind
			if kind == pull.Proof {
				h.Proof = &record.Proof{Target: proof.Target, Hold: record.SecondsOf(proof.Hold)}
			}
			if when != "" {
				if h.Started, err = parseDate(when); err != nil {
					return failf(exitUsage, `write it like --when 2026-11-25 or --when "2026-11-25 14:03"`, "--when: %w", err)
				}
				if h.Started.After(time.Now()) {
					return failf(exitUsage, "give the time of the pull, or leave --when out for now", "--when %s is yet to come", when)
				}
			}
			for _, text := range remarks {
				s, err := record.NewSaid(text, time.Now())
				if err != nil {
					return failf(exitUsage, "write it shorter, and not empty", "--remark: %w", err)
				}
				h.Said = append(h.Said, s)
			}
			if h.Rig, err = loadRig(rigFile); err != nil {
				return err
			}
			if h.Rig, err = placed(h.Specimen, h.Rig); err != nil {
				return err
			}
			if err := fitsRig(kind, proof, h.Rig); err != nil {
				return err
			}
			if err := dial.Fits(h.Rig); err != nil {
				return failf(exitUsage, "see that the reading, its unit and the rig file are right; nothing has been recorded", "--peak %s: %w", clean(peak), err)
			}
			return keepDial(w, c, h, asJSON)
		},
	}
	f := cmd.Flags()
	f.StringVar(&rigFile, "rig", "", "the rig file")
	f.StringVar(&peak, "peak", "", `what the dial's drag hand stood at, such as "5200 psi ± 50 psi" or "62 kN"`)
	f.StringVar(&at, "at", "", "where a force acts: ram or specimen (default ram)")
	f.StringVar(&outcome, "outcome", "", "how it ended: broken or let-off (default: nobody knows)")
	f.StringArrayVar(&remarks, "remark", nil, "what there is to know of it; repeat for several")
	f.StringVar(&when, "when", "", `when it was pulled, local time, such as 2026-11-25 or "2026-11-25 14:03" (default: now)`)
	f.BoolVar(&asJSON, "json", false, "the results as JSON, an array of one, in SI")
	job.add(cmd)
	bar.add(cmd)
	return cmd
}

// readDial reads what was read by eye.
func readDial(peak, at, outcome string) (record.Dial, error) {
	if strings.TrimSpace(peak) == "" {
		return record.Dial{}, failf(exitUsage, `write it like --peak "5200 psi ± 50 psi"`, "no peak: it is all that there is of a pull without a trace")
	}
	if at != "" && at != string(rig.AtRam) && at != string(rig.AtSpecimen) {
		return record.Dial{}, failf(exitUsage, "write --at ram or --at specimen", "--at %q is no place of a force", at)
	}
	d, err := record.ParseDial(clean(peak), rig.Place(at))
	if err != nil {
		return d, failf(exitUsage, `write it like --peak "5200 psi ± 50 psi" or --peak "62 kN" --at specimen`, "--peak: %w", err)
	}
	switch outcome {
	case string(pull.Broken), string(pull.LetOff):
		d.Outcome = pull.Phase(outcome)
	case "":
		d.Outcome = pull.Unclear
	default:
		return d, failf(exitUsage, "write --outcome broken or --outcome let-off, or leave it out where nobody knows", "--outcome %q is not known", outcome)
	}
	return d, nil
}

// keepDial writes the record and says what came out.
func keepDial(w world, c *common, h record.Head, asJSON bool) error {
	sys, err := c.system(h.Rig.Units)
	if err != nil {
		return err
	}
	dir, state, err := record.CreateDial(c.shelf(), h)
	if err != nil {
		next := "choose another folder with --data, or free this one"
		if errors.Is(err, fs.ErrPermission) {
			next = "choose another folder with --data: this one may not be written"
		}
		return failf(exitSave, next, "%w", err)
	}
	res, err := finish.Closed(&h, dir, state, nil)
	sayNotKept(w, err)
	if asJSON {
		return printJSON(w.out, []strength.Results{res})
	}
	for _, l := range res.Lines(sys, h.Specimen) {
		fmt.Fprintln(w.out, clean(l))
	}
	fmt.Fprintln(w.out, "saved as   "+clean(dir))
	return nil
}
