package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"draghand/internal/calib"
	"draghand/internal/si"
)

// keepable says why an answer from a table is not to be kept as it is: a point in it
// that does not fit, or points that are on the shelf already.
func (f *calibrateFlags) keepable(c *common, run calib.Run, o calib.Options, a *calib.Answer) error {
	if a.Suspect >= 0 && !f.keepSuspect {
		return failf(exitInput, fmt.Sprintf("take it again, leave it out with --drop %d, or --keep-suspect where it is as written", a.Suspect+1),
			"not saved: %s", a.SuspectWhy)
	}
	if o.Replaces != "" {
		return nil
	}
	id, err := calib.Repeats(c.shelf(), run, o.Simulated)
	if err != nil {
		return failf(exitInput, "look at the folder, or name another with --data", "%w", err)
	}
	if id != "" {
		return failf(exitInput, "to correct it: --replaces "+id+", which withdraws the earlier one; else nothing is to be done",
			"not saved: these points are kept already, as %s", id)
	}
	return nil
}

// finish reckons a run, prints the answer and keeps it.
func (f *calibrateFlags) finish(w world, c *common, run calib.Run, o calib.Options, sys si.System) error {
	a, err := calib.Reckon(run, o)
	if err != nil {
		return calibrationFault(err)
	}
	var kept error
	saved := ""
	if !f.noSave {
		if kept = f.keepable(c, run, o, &a); kept == nil {
			if saved, err = calib.Save(c.shelf(), "draghand "+version(), run, o, &a); err != nil {
				return saveFault(err)
			}
		}
	}
	if f.asJSON {
		return errors.Join(printJSON(w.out, calibrateJSON{&a, saved}), kept)
	}
	for _, l := range a.Lines(run, sys) {
		fmt.Fprintln(w.out, clean(l))
	}
	prose(w.out, calib.Summary(&a.Calibration, sys, time.Now()))
	switch {
	case saved != "":
		fmt.Fprintln(w.out, "saved as   "+clean(saved))
		if o.Replaces != "" {
			fmt.Fprintln(w.out, "withdrawn  "+clean(o.Replaces))
		}
		if run.Reference.U == 0 {
			prose(w.out, "no ±       "+noReferenceU(a.Calibration.ID))
		}
	default:
		fmt.Fprintln(w.out, "not saved: no pull is reckoned by it")
	}
	return kept
}

// noReferenceU says what is missing where a reference's own uncertainty is not stated,
// and how it is added to a calibration that is kept.
func noReferenceU(id string) string {
	return fmt.Sprintf("the reference's own uncertainty is not stated: pulls reckoned by it get no ± and no verdict; later: draghand calibrate --replaces %s --reference-u \"0.3 %%\"", id)
}

// noReferenceYet is what is said of it before the first point.
const noReferenceYet = "the reference's own uncertainty is not stated: pulls reckoned by this calibration will get no ± and no verdict; its certificate says it: --reference-u \"0.3 %\", now or later"

// saveFault is an error of keeping a calibration.
func saveFault(err error) error {
	var m *calib.MissingError
	if errors.As(err, &m) {
		return calibrationFault(err)
	}
	return failf(exitSave, "choose another folder with --data, or free this one", "%w", err)
}

// redoes says that the points are those of the calibration to be replaced.
func (f *calibrateFlags) redoes() bool {
	return f.replaces != "" && f.points == "" && f.from == "" && f.rigFile == ""
}

// redo makes a calibration anew from its own kept points: with what is known of the
// reference by now, without a point, or by the other line.
func (f *calibrateFlags) redo(w world, c *common, set func(string) bool) error {
	for _, name := range []string{"at", "far", "side", "made", "zero", "reference-unit", "gauge-unit", "calibration", "simulated", "plain", "sure"} {
		if set(name) {
			return failf(exitUsage, "leave it out, or give --points or --rig too", "--%s says nothing where the points are those of %s", name, f.replaces)
		}
	}
	old, err := findCalibration(c, f.replaces)
	if err != nil {
		return err
	}
	k, run := &old.Calibration, old.Run
	o := calib.Options{Line: f.line, Due: k.Due, Drop: old.Dropped, Simulated: k.Simulated, Replaces: k.ID}
	if len(f.drop) > 0 {
		o.Drop = nil
		for _, n := range f.drop {
			o.Drop = append(o.Drop, n-1)
		}
	}
	if o.Line == "" && slices.Equal(o.Drop, old.Dropped) {
		o.Line = lineOf(k)
	}
	if f.due != "" {
		if o.Due, err = parseDate(f.due); err != nil {
			return failf(exitUsage, "write it like --due 2027-11-20", "--due: %w", err)
		}
	}
	if t := strings.TrimSpace(clean(f.reference)); t != "" {
		run.Reference.Text = t
	}
	if f.certificate != "" {
		run.Reference.Certificate = clean(f.certificate)
	}
	if f.uncertainty != "" {
		if run.Reference.U, err = f.referenceU(); err != nil {
			return err
		}
	}
	if run.Reference == old.Run.Reference && slices.Equal(o.Drop, old.Dropped) && o.Line == lineOf(k) && o.Due.Equal(k.Due) {
		return failf(exitUsage, `give what is new, as in --reference-u "0.3 %"; new points with --points or --rig`, "nothing of %s would be changed", k.ID)
	}
	sys, err := c.system(run.Rig.Units)
	if err != nil {
		return err
	}
	r := *run.Rig
	r.Units = sys
	run.Rig = &r
	return f.finish(w, c, run, o, sys)
}

// referenceU is the standard uncertainty of the reference, of the expanded one.
func (f *calibrateFlags) referenceU() (float64, error) {
	u, err := parseFraction(f.uncertainty)
	if err != nil || !(u > 0 && u <= 0.4) {
		return 0, failf(exitUsage, `write it like --reference-u "0.3 %", the expanded one with k = 2`, "--reference-u %q is no part of a value", f.uncertainty)
	}
	return u / 2, nil
}

// liveSave keeps points that were taken live. A point that does not fit is asked
// about: saved again it is kept. Saved anew after more points it takes the place of
// what was saved before.
func (f *calibrateFlags) liveSave(c *common, o *calib.Options) func(calib.Run, *calib.Answer) (string, error) {
	var last string
	var asked []calib.Point
	return func(run calib.Run, a *calib.Answer) (string, error) {
		if f.noSave {
			return "", errors.New("nothing is saved with --no-save")
		}
		if a.Suspect >= 0 && !f.keepSuspect && !slices.Equal(asked, run.Points) {
			asked = slices.Clone(run.Points)
			return "", fmt.Errorf("%s. Drop it and take it again, or save once more to keep it as it is", a.SuspectWhy)
		}
		own := *o
		if last != "" {
			own.Replaces = last
		}
		path, err := calib.Save(c.shelf(), "draghand "+version(), run, own, a)
		if path != "" {
			last = a.Calibration.ID
		}
		return path, err
	}
}

func calibrateWithdrawCommand(w world, c *common) *cobra.Command {
	return &cobra.Command{
		Use:   "withdraw ID REASON",
		Short: "use a calibration no more; its file stays, with the reason",
		Long: `withdraw marks a calibration as not to be used any more: no pull is reckoned by it
from then on. Its file stays on the shelf with the day and the reason, since pulls
may have been reckoned by it; their records keep it as it was. draghand results
--calibration tells what they would be by another.`,
		Example: `  draghand calibrate withdraw 2026-11-20-rig-specimen "point 4 was read wrong"`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) < 2 {
				return failf(exitUsage, "draghand calibrate list has the IDs; the reason stays in the file", "name one calibration and say why it is withdrawn")
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error {
			path, err := calib.Withdraw(c.shelf(), args[0], clean(strings.Join(args[1:], " ")), "", time.Now())
			if err != nil {
				return calibrationFault(err)
			}
			fmt.Fprintln(w.out, "withdrawn  "+clean(path))
			return nil
		},
	}
}
