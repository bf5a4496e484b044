package sim

import (
	"errors"
	"fmt"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// area is the ram's true one.
func (o *Options) area() si.Area {
	if o.TrueArea != 0 {
		return o.TrueArea
	}
	return o.Rig.Ram.Area
}

// friction is the seals' true one.
func (o *Options) friction() float64 {
	switch {
	case o.TrueFriction < 0:
		return 0
	case o.TrueFriction != 0:
		return o.TrueFriction
	}
	return o.Rig.Ram.Friction
}

// share is the part of the ram's force that the bar truly carries.
func (o *Options) share() float64 {
	share := o.Rig.Path.Share
	if o.TrueShare != 0 {
		share = o.TrueShare
	}
	if o.Far {
		return 1 - share
	}
	return share
}

// refuseTruth is what cannot be true of a rig, or a load of it.
func (o *Options) refuseTruth() (errs []error) {
	if o.TrueArea != 0 && !(o.TrueArea > 0 && o.TrueArea <= 1) {
		errs = append(errs, fmt.Errorf("simulated rig: a true area of %g m², it must lie above 0 and up to 1", float64(o.TrueArea)))
	}
	if !(o.SensorGain >= -0.2 && o.SensorGain <= 0.2) {
		errs = append(errs, fmt.Errorf("simulated sensor: a gain that is off by %g, it must lie from -0.2 to 0.2", o.SensorGain))
	}
	if o.Kind != Steps {
		if len(o.Loads) > 0 || o.Wait {
			errs = append(errs, errors.New("simulated loads: only the kind steps is brought to them"))
		}
		return errs
	}
	switch o.On {
	case rig.AtGauge, rig.AtRam, rig.AtSpecimen:
	default:
		errs = append(errs, fmt.Errorf("no reference stands at the %q: choose gauge, ram or specimen", o.On))
	}
	if len(o.Loads) > mostLoads {
		errs = append(errs, fmt.Errorf("%d simulated loads: %d are the most", len(o.Loads), mostLoads))
	}
	for _, l := range o.Loads {
		if !(l > 0 && l <= 1e10) {
			errs = append(errs, fmt.Errorf("simulated load of %g: it must lie above 0", l))
		}
	}
	return errs
}
