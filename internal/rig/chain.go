package rig

import "draghand/internal/si"

// Chain turns raw numbers into pressures and forces.
type Chain struct{ b float64 }

// Chain builds the converter of the rig.
func (r *Rig) Chain() Chain { return Chain{} }

// Pressure is the gauge pressure of a raw number.
func (c Chain) Pressure(raw float64) (si.Pressure, Signal) { return 0, NotANumber }

// Step is the pressure of one converter count.
func (c Chain) Step() si.Pressure { return 0 }

// Range is High - Low.
func (c Chain) Range() si.Pressure { return 0 }

// Ram is the force on the ram.
func (c Chain) Ram(p si.Pressure) si.Force { return 0 }

// Specimen is the force on the specimen.
func (c Chain) Specimen(p si.Pressure) si.Force { return 0 }

// PressureForRam inverts Ram.
func (c Chain) PressureForRam(f si.Force) si.Pressure { return 0 }

// PressureForSpecimen inverts Specimen.
func (c Chain) PressureForSpecimen(f si.Force) si.Pressure { return 0 }
