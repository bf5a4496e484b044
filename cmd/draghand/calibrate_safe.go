package main

import "draghand/internal/rig"

// safeToLoad are the words on what can hurt, for the place of a reference. They
// come before the first load is brought on.
func safeToLoad(at rig.Place, far bool) []string {
	out := []string{"guard up, eyes and face covered, nobody in line with the pins or the load, nobody reaches in under load"}
	switch {
	case at == rig.AtGauge:
		out = append(out,
			"the reference gauge shares the ram's oil: gauge, hose and fittings rated for the highest pressure, air bled, no hand near a fitting under pressure: oil at hundreds of bar goes through skin")
	case at == rig.AtRam:
		out = append(out,
			"the reference stands in the load path at the ram: it has to be rated for the highest load and to sit square, or it shoots out sideways",
			"dead weights can fall: hung low, nobody's foot or hand under them, a stop beneath")
	case far:
		out = append(out, "the cell stands in the place of the far side's link: cell, pins and threads have to be rated for the load of that side")
	default:
		out = append(out,
			"the cell stands in the specimen's place: cell, pins and threads have to be rated for the highest load; a cell that parts goes off like a bar that breaks",
			"dead weights can fall: hung low, nobody's foot or hand under them, a stop beneath")
	}
	return append(out,
		"a press under load holds energy, also when nobody pumps: let the pressure off before anything is changed, tightened or reached for",
		"the program warns; it is no safety device")
}
