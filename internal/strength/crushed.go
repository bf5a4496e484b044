package strength

// Crushed is the stress that stands for a crush, in Pa, and what it is: where the
// block was seen to give, the first yield, else the stress at the peak; nil where no
// section is known. Every screen, list and report names this one.
func (r *Results) Crushed() (pa *float64, what string) {
	switch {
	case r.FirstYield != nil && r.FirstYield.StressPa != nil:
		return r.FirstYield.StressPa, "first yield of the block"
	case r.Peak != nil && r.Peak.StressPa != nil:
		return r.Peak.StressPa, "stress on the block at the peak"
	}
	return nil, ""
}
