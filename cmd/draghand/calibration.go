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
const calibrationUsage = "reckon forces by this calibration, a file or an ID (default: the newest that fits the rig), or none"

// noCalibration is what a person writes for none.
const noCalibration = "none"

func addCalibration(cmd *cobra.Command, name *string) {
	cmd.Flags().StringVar(name, "calibration", "", calibrationUsage)
}

// calibratedRig is a rig reckoned by the calibration that was named, or by the
// newest that fits; simulated says what kind of source it is for. A named one that
// does not fit is an error.
func calibratedRig(c *common, r *rig.Rig, name string, simulated bool) (*rig.Rig, error) {
	switch name {
	case noCalibration:
		return r.Calibrated(nil)
	case "":
		k, err := calib.Newest(c.shelf(), r, r.Path.BarFar, simulated)
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

// sayCalibration tells by what the forces are reckoned, to one who has calibrations
// or has named one: to others there is nothing to choose.
func sayCalibration(w io.Writer, c *common, r *rig.Rig, name string, sys si.System) {
	if all, err := calib.List(c.shelf()); r.Calibration == nil && name == "" && err == nil && len(all) == 0 {
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
			if k, err = shelf.Newest(r, far, simulated); err == nil {
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
