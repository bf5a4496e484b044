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
	if err := calib.Kind(&f.Calibration, simulated); err != nil {
		return nil, calibrationFault(err)
	}
	out, err := r.Calibrated(&f.Calibration)
	if err != nil {
		return nil, calibrationFault(err)
	}
	return out, nil
}

// foundRig is a rig as a reference finds it, on a side: with the calibration that was
// named, or the one in force there.
func foundRig(c *common, r *rig.Rig, far bool, name string, simulated bool) (*rig.Rig, error) {
	if name != "" {
		return calibratedRig(c, r, name, simulated)
	}
	k, err := calib.InForce(c.shelf(), r, far, simulated, time.Now())
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
		return r, calib.Told(r, sys, time.Now()), nil
	}
}
