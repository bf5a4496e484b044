package bench

import (
	"fmt"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// Unfit is why something cannot be done on a rig, and what would help.
type Unfit struct{ What, Hint string }

func (u *Unfit) Error() string { return u.What }

// Next is what to do.
func (u *Unfit) Next() string { return u.Hint }

// FitsRig refuses what cannot be done on a rig; the error is an *Unfit.
func FitsRig(kind pull.Kind, proof watch.Proof, r *rig.Rig) error {
	switch kind {
	case pull.Crush:
		return Crushable(r)
	case pull.Proof:
		return Reachable(proof.Target, r)
	}
	return nil
}

// unfit says that the kind cannot be done on a rig at all.
func (s *Setup) unfit(r *rig.Rig) bool { return s.Kind == pull.Crush && Crushable(r) != nil }

// FitsSide refuses a side that a rig does not have; the error is an *Unfit.
func FitsSide(side specimen.Side, r *rig.Rig) error {
	if why := r.TakesSides(); side == specimen.Far && why != nil {
		return &Unfit{
			What: "the bar cannot stand on the far side: " + why.Error(),
			Hint: `leave the side out; of a bar with two arms the rig file says kind = "two-sided" under [path]`,
		}
	}
	return nil
}

// Crushable refuses a load path that takes a part of the ram's force elsewhere:
// a block lies directly under the ram and bears all of it.
func Crushable(r *rig.Rig) error {
	if r.Path.Share == 1 {
		return nil
	}
	return &Unfit{
		What: fmt.Sprintf("the path of this rig is %s, with %.3g of the ram's force on the specimen: a block under the ram bears all of it", r.Path.Kind, r.Path.Share),
		Hint: `write a rig file for crushing, with kind = "direct" under [path] and without the parts that then carry nothing`,
	}
}

// Reachable refuses a target past a limit or past what the sensor can read.
func Reachable(target si.Force, r *rig.Rig) error {
	if target <= 0 {
		return nil
	}
	chain := r.Chain()
	for _, b := range r.Bounds() {
		if most := chain.Specimen(b.PressureAt(r.Alarm.Stop)); target >= most {
			return &Unfit{
				What: fmt.Sprintf("the target of %s is past the limit of %s: the stop comes at %s on the specimen", target.Text(r.Units), b.Limit.Name, most.Text(r.Units)),
				Hint: "choose a lower target, or strengthen the part and then the rig file",
			}
		}
	}
	if most := chain.Specimen(r.Sensor.High); r.Sensor.High > 0 && target > most {
		return &Unfit{
			What: fmt.Sprintf("the target of %s is past what the sensor can read, %s on the specimen", target.Text(r.Units), most.Text(r.Units)),
			Hint: "choose a lower target",
		}
	}
	return nil
}
