package specimen

import "draghand/internal/si"

// AboveTypical is by how much a typical strength is raised to hold it against a
// limit: a good bar of a good melt is stronger than the typical one.
const AboveTypical = highOfTypical

// UpperOf is what the limits of a rig are held against where a person expects a
// bar to break between two stresses, in Pa: the high end of a range; 1.2 of one
// figure alone, which is taken as typical.
func UpperOf(low, high si.Stress) si.Stress {
	if low == high {
		return AboveTypical * high
	}
	return high
}

// Upper is what the limits of a rig are held against for this specimen, in Pa; 0
// where nothing is expected. What the table of alloys expects has its upper
// strength at its high end already.
func (s Specimen) Upper() si.Stress {
	if s.ExpectFrom != "" {
		return s.ExpectHigh
	}
	return UpperOf(s.ExpectLow, s.ExpectHigh)
}
