package bench

import (
	"fmt"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// The set-up points. Those of the bar are asked for again before each bar; the
// others hold for the sitting, on one rig.
const (
	PointGuard   PointID = "guard"
	PointEyes    PointID = "eyes"
	PointLine    PointID = "line"
	PointReach   PointID = "reach"
	PointOil     PointID = "oil"
	PointAir     PointID = "air"
	PointStroke  PointID = "stroke"
	PointProof   PointID = "proof-pressure"
	PointPieces  PointID = "pieces"  // of a tension pull
	PointStuff   PointID = "stuff"   // of a crush
	PointHeld    PointID = "held"    // of a proof
	PointArms    PointID = "arms"    // of a two-sided path
	pointUnknown         = "unknown" // of each part without a known limit: unknown/NAME
)

// ofBar says that a point is about this bar alone.
func (id PointID) ofBar() bool { return id == PointGuard || id == PointLine || id == PointStroke }

// ofPlan says that a point is about what is planned: another kind or target asks
// for it anew.
func (id PointID) ofPlan() bool { return id == PointProof || id == PointStroke }

// ofSide says that a point is about where in the rig the bar stands.
func (id PointID) ofSide() bool { return id == PointArms || id == PointLine || id == PointStroke }

// ofPeople says that a point holds whatever the rig is.
func (id PointID) ofPeople() bool { return id == PointEyes || id == PointReach }

// mostCells is how long the text of a point may be.
const mostCells = 60

// points are the set-up points of a kind on a rig, which may be nil.
func points(kind pull.Kind, r *rig.Rig, sys si.System) []Point {
	out := []Point{
		{ID: PointGuard, Text: "guard up between the bar and everybody in the room", Why: "When the bar breaks, what is stretched in the fixture comes loose at once."},
		{ID: PointEyes, Text: "eyes and face covered, of everybody in the room", Why: "Chips fly over a guard, and oil sprays round it."},
		{ID: PointLine, Text: "nobody in line with the pins or the pull", Why: "A pin that shears leaves along its own line, a bar along the pull."},
		{ID: PointReach, Text: "nobody reaches in while there is load, whatever slips", Why: "What has slipped may catch or go altogether the next moment."},
		{ID: PointOil, Text: "fittings and hoses looked over; no bare hand near a leak", Why: "Oil from a pinhole goes through skin and glove; it is a case for the hospital at once, however small it looks."},
		{ID: PointAir, Text: "air bled from the ram and the hose", Why: "Air is a spring: it stores what oil does not, and lets it go at the break."},
		{ID: PointStroke, Text: "ram stroke left for all that will stretch", Why: "A ram at its end reads no more force, and its stop may shear off."},
		proofPoint(r, sys),
	}
	switch kind {
	case pull.Tension:
		out = append(out, Point{ID: PointPieces, Text: "brittle bars throw pieces: both halves will be caught", Why: "A bar that does not neck breaks with all of its force still on."})
	case pull.Crush:
		out[0].Text = "guard up around the block, on all sides"
		out[2].Text = "nobody level with the block, nor in line with the ram"
		out = append(out, Point{ID: PointStuff, Text: "nothing sealed, nothing unknown, no magnesium", Why: "A closed hollow bursts, and magnesium chips burn and cannot be put out with water."})
	case pull.Proof:
		out = append(out, Point{ID: PointHeld, Text: "nobody near for as long as it is held", Why: "A part that creeps may go minutes after the force was reached."})
	}
	if r == nil {
		return out
	}
	if r.Path.Kind == rig.TwoSided {
		text := fmt.Sprintf("arms as written: %s to the bar, %s far side", r.Path.SpecimenArm.Text(sys), r.Path.FarArm.Text(sys))
		if r.Path.BarFar {
			text = fmt.Sprintf("bar on the FAR side: %s to it, %s to the link", r.Path.FarArm.Text(sys), r.Path.SpecimenArm.Text(sys))
		}
		out = append(out, Point{
			ID:   PointArms,
			Text: text,
			Why:  "The share of the force that the bar gets follows from the arms: a ram set down elsewhere makes every stress wrong.",
		})
	}
	for _, part := range r.UnknownParts() {
		out = append(out, Point{
			ID:   PointID(pointUnknown + "/" + part),
			Text: short("no known limit, accepted: "+tidy(part), mostCells),
			Why:  fmt.Sprintf("Nobody knows what it can take, and no alarm comes before it breaks: %s.", tidy(part)),
		})
	}
	return out
}

// proofPoint names the pressure at which the nearest limit says stop: no more
// than that is planned.
func proofPoint(r *rig.Rig, sys si.System) Point {
	p := Point{ID: PointProof, Text: "transducer and fitting are proofed above what is planned", Why: "A transducer is rated for its range; what it and its fitting hold is another figure, and it bursts towards whoever reads it."}
	if r == nil {
		return p
	}
	if near := r.Nearest(); len(near) > 0 {
		p.Why += fmt.Sprintf(" The first stop comes at %s.", near[0].PressureAt(r.Alarm.Stop).Text(sys))
	}
	if r.Sensor.Proof > 0 {
		p.Why += fmt.Sprintf(" The rig file states %s for the transducer.", r.Sensor.Proof.Text(sys))
	}
	return p
}

// short is a text of at most n cells, an ellipsis where it was longer. Letters of
// the far east take two cells; so are counted all from there on.
func short(s string, n int) string {
	cells := 0
	for i, r := range s {
		w := 1
		if r >= 0x1100 {
			w = 2
		}
		if cells+w > n {
			return short(s[:i], n-1) + "…"
		}
		cells += w
	}
	return s
}
