package main

import (
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"draghand/internal/calib"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// calibrationUsage is the flag of every verb that pulls.
const calibrationUsage = "reckon forces by this calibration, a file or an ID (default: of those that fit and are not overdue the one nearest the specimen, the newest there), or none"

// noCalibration is what a person writes for none.
const noCalibration = "none"

func addCalibration(cmd *cobra.Command, name *string) {
	cmd.Flags().StringVar(name, "calibration", "", calibrationUsage)
}

// calibratedRig is a rig reckoned by the calibration that was named, or by
// the one in force; simulated says what kind of source it is for. A named one that
// does not fit is an error.
func calibratedRig(c *common, r *rig.Rig, name string, simulated bool) (*rig.Rig, error) {
	switch name {
	case noCalibration:
		return r.Calibrated(nil)
	case "":
		k, err := calib.InForce(c.shelf(), r, r.Path.BarFar, simulated, time.Now())
		if err != nil {
			return nil, failf(exitInput, "look at the folder, or write --calibration none", "%w", err)
		}
		return r.Calibrated(k)
	}
	f, err := findCalibration(c, name)
	if err != nil {
		return nil, err
	}
	if f.Withdrawn != nil {
		return nil, failf(exitInput, "name another, or write --calibration none", "%s is %s", f.Calibration.ID, f.Withdrawn.Words())
	}
	if err := calib.Kind(&f.Calibration, simulated); err != nil {
		return nil, calibrationFault(err)
	}
	out, err := r.Calibrated(&f.Calibration)
	if err != nil {
		return nil, calibrationFault(err)
	}
	return out, nil
}

// foundRig is a rig as the reference of a run finds it: with the calibration that was
// named, or the one in force there before the points were taken. The one that the run
// replaces, if any, does not count.
func foundRig(c *common, r *rig.Rig, run calib.Run, name string, simulated bool, replaces string) (*rig.Rig, error) {
	if name != "" {
		out, err := calibratedRig(c, r, name, simulated)
		if err != nil || name == noCalibration {
			return out, err
		}
		f, err := findCalibration(c, name)
		if err == nil {
			if err = f.Judges(run); err != nil {
				err = calibrationFault(err)
			}
		}
		return out, err
	}
	k, err := calib.AsFound(c.shelf(), r, run, simulated, replaces)
	if err != nil {
		return nil, failf(exitInput, "look at the folder, or name another with --data", "%w", err)
	}
	return r.Calibrated(k)
}

// foundWords say by what a rig tells its forces as found; empty where there is
// nothing to choose.
func foundWords(c *common, r *rig.Rig, far bool, name string, sys si.System) string {
	if nothingToTell(c, r, name) {
		return ""
	}
	return clean("as found: " + calib.Told(r.BarOn(far), sys, time.Now()))
}

// nothingToTell says that a person has no calibration and named none.
func nothingToTell(c *common, r *rig.Rig, name string) bool {
	all, err := calib.List(c.shelf())
	return r.Calibration == nil && name == "" && err == nil && len(all) == 0
}

// sayCalibration tells by what the forces are reckoned, to one who has calibrations
// or has named one: to others there is nothing to choose.
func sayCalibration(w io.Writer, c *common, r *rig.Rig, name string, sys si.System) {
	if nothingToTell(c, r, name) {
		return
	}
	fmt.Fprintln(w, "draghand: "+clean(calib.Told(r, sys, time.Now())))
	if r.Calibration != nil {
		fmt.Fprintln(w, "draghand: its ID is "+oneLine(r.Calibration.ID))
	}
	for _, t := range damagedAlone(c, r, name) {
		fmt.Fprintln(w, "draghand: "+clean(t))
	}
	if name == "" && r.Calibration == nil {
		if all, err := calib.List(c.shelf()); err == nil {
			if why := calib.OtherRam(all, r, r.Path.BarFar); why != "" {
				fmt.Fprintln(w, "draghand: CAUTION: "+clean(why))
			}
		}
	}
	if d, bad := r.Disagrees(); bad {
		fmt.Fprintln(w, "draghand: CAUTION: the calibration and the rig file do not agree: "+d.Words()+": is it the same ram, are the arms as stated?")
	}
}

// damagedAlone tells of damaged calibrations where none is in force.
func damagedAlone(c *common, r *rig.Rig, name string) []string {
	if r.Calibration != nil || name != "" {
		return nil
	}
	all, err := calib.List(c.shelf())
	if err != nil {
		return nil // told where it was asked for one
	}
	return calib.PassedOver(all, r, r.Path.BarFar, nil)
}

// benchCalibration is calibratedRig for a sitting.
func benchCalibration(c *common, name string, units *si.System) func(*rig.Rig, bool, bool) (*rig.Rig, string, error) {
	shelf := &calib.Watcher{Shelf: c.shelf()}
	return func(r *rig.Rig, far, simulated bool) (*rig.Rig, string, error) {
		var err error
		if name == "" {
			var k *rig.Calibration
			if k, err = shelf.InForce(r, far, simulated, time.Now()); err == nil {
				r, err = r.Calibrated(k)
			}
			if err == nil && k == nil {
				if all, lerr := calib.List(shelf.Shelf); lerr == nil {
					if why := calib.OtherRam(all, r, far); why != "" {
						return r, calib.NoCalibration + ": " + why, nil
					}
				}
			}
		} else {
			r, err = calibratedRig(c, r, name, simulated)
		}
		if err != nil {
			return nil, "", err
		}
		sys := r.Units
		if units != nil {
			sys = *units
		}
		told := calib.Told(r, sys, time.Now())
		if r.Calibration == nil && name == "" {
			for _, t := range shelf.PassedOver(r, far) {
				told += "; " + t
			}
		}
		return r, told, nil
	}
}
