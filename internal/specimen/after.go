package specimen

import "draghand/internal/si"

// Where is where the bar broke.
type Where string

// The places of a break. InGrip counts for nothing; OffMarks and AtShoulder leave
// the strength and take the elongation's worth.
const (
	MidGauge    Where = "middle"        // in the middle half of the gauge length
	OffMiddle   Where = "outer-quarter" // between the marks, outside the middle half
	OffMarks    Where = "off-marks"     // in the reduced section, outside the marks
	AtShoulder  Where = "shoulder"      // at the fillet
	InGrip      Where = "grip"          // in the grip or the thread
	NotLookedAt Where = ""              // nobody says
)

// Look is what the fracture looked like, in the trade's words. A fracture may
// have several.
type Look string

// The looks of a fracture.
const (
	CupCone Look = "cup-and-cone"
	Slant   Look = "slant"
	Flat    Look = "flat"
	Coarse  Look = "coarse" // coarse grain
	Porous  Look = "porous" // gas or shrinkage
	Dross   Look = "dross"  // oxide films, slag, sand
	ColdLap Look = "cold-lap"
	Crushed Look = "crushed" // of a block
)

// After is what was measured and seen on the bar after the pull. The zero value
// of a field: not measured, not seen.
type After struct {
	Diameters   []si.Length `json:"final_diameters_m,omitempty"` // least at the break, round bars
	Sections    []Section   `json:"final_sections_m,omitempty"`  // the same, of a bar that is not round
	GaugeLength si.Length   `json:"final_gauge_length_m,omitempty"`
	Where       Where       `json:"where,omitempty"`
	Looks       []Look      `json:"looks,omitempty"`
	// Failed names the part of the rig that gave way in the place of the bar.
	Failed string   `json:"failed_part,omitempty"`
	Photos []string `json:"photos,omitempty"` // file names; the files are the person's
	// Minimum is the strength the bar is held against, and From where it is from.
	Minimum     si.Stress `json:"minimum_pa,omitempty"`
	MinimumFrom string    `json:"minimum_from,omitempty"`
}

// BoundOnly says that the force fell for another reason than that the bar broke as
// a bar: its grip or thread broke, or a part of the rig gave way. What it bore is
// then a lower bound of its strength.
func BoundOnly(w Where, failed string) bool { return w == InGrip || failed != "" }
