package rig

import "draghand/internal/si"

// Describe is the rig as understood, for a person.
func (r *Rig) Describe(sys si.System) string { return "" }
