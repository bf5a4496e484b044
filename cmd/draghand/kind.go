package main

import (
	"errors"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"draghand/internal/bench"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// kindFlags say what a pull is for.
type kindFlags struct {
	kind, target string
	hold         time.Duration
}

func (k *kindFlags) add(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&k.kind, "kind", string(pull.Tension), "tension, crush or proof")
	f.StringVar(&k.target, "target", "", `of a proof: the force on the specimen to hold, such as "20 kN" (default: whatever is held)`)
	f.DurationVar(&k.hold, "hold", 0, "of a proof: how long to hold it, such as 60s (default: as long as you like)")
}

// mostHold is the longest hold asked for: a day.
const mostHold = 24 * time.Hour

// read gives the kind, and what a proof is to hold.
func (k *kindFlags) read(cmd *cobra.Command) (pull.Kind, watch.Proof, error) {
	kind, proof := pull.Kind(k.kind), watch.Proof{}
	if !slices.Contains([]pull.Kind{pull.Tension, pull.Crush, pull.Proof}, kind) {
		return kind, proof, failf(exitUsage, "write --kind tension, crush or proof", "--kind %q is not known", k.kind)
	}
	for _, flag := range []string{"target", "hold"} {
		if kind != pull.Proof && cmd.Flags().Changed(flag) {
			return kind, proof, failf(exitUsage, "write --kind proof, or leave it out", "--%s belongs to a proof, and this is --kind %s", flag, kind)
		}
	}
	if k.target != "" {
		f, err := si.ParseForce(k.target)
		if err != nil {
			return kind, proof, failf(exitUsage, `write it like --target "20 kN"`, "--target: %w", err)
		}
		if !(f > 0) {
			return kind, proof, failf(exitUsage, `write it like --target "20 kN"`, "--target %s is nothing to hold", f.Text(si.Metric))
		}
		proof.Target = f
	}
	if cmd.Flags().Changed("hold") && k.hold <= 0 || k.hold > mostHold {
		return kind, proof, failf(exitUsage, "write it like --hold 60s", "--hold %s: it must be longer than nothing and at most %s", k.hold, mostHold)
	}
	proof.Hold = k.hold
	return kind, proof, nil
}

// placed is the rig with the bar on its side; it refuses a rig that has but one.
func placed(bar specimen.Specimen, r *rig.Rig) (*rig.Rig, error) {
	if err := unfit(bench.FitsSide(bar.Side, r)); err != nil {
		return nil, err
	}
	return r.BarOn(bar.Side == specimen.Far), nil
}

// fitsRig refuses what cannot be done on a rig.
func fitsRig(kind pull.Kind, proof watch.Proof, r *rig.Rig) error {
	return unfit(bench.FitsRig(kind, proof, r))
}

// crushable refuses a rig that a block cannot be pressed on.
func crushable(r *rig.Rig) error { return unfit(bench.Crushable(r)) }

// unfit is what the bench says against something, as wrong use.
func unfit(err error) error {
	var why *bench.Unfit
	if errors.As(err, &why) {
		return failf(exitUsage, why.Next(), "%w", err)
	}
	return err
}

// crushRig is the example rig with a block under its ram: what the bar and the
// link beside it would carry is not there.
func crushRig() (*rig.Rig, error) {
	r, err := exampleRig()
	if err != nil {
		return nil, err
	}
	r.Name = "example rig, crushing (simulated)"
	r.Path = rig.Path{Kind: rig.Direct, Share: 1}
	r.Limits = slices.DeleteFunc(r.Limits, func(l rig.Limit) bool { return l.At != rig.AtRam && l.At != rig.AtGauge })
	if err := r.Validate(); err != nil {
		return nil, failf(exitFailed, "this is a fault in the program", "%w", err)
	}
	return r, nil
}

// builtInRig is the rig of a kind where none was named.
func builtInRig(kind pull.Kind) (*rig.Rig, error) {
	if kind == pull.Crush {
		return crushRig()
	}
	return exampleRig()
}
