package bench

import (
	"fmt"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// beyond says that a specimen expected to break between two stresses would bring
// a part to its stop first, by the part and the numbers that a rig check, a plan
// and the alarm name; empty where it would not, or nothing is known of it.
func (m *moment) beyond(low, high si.Stress) string {
	area := m.setup.Bar.Area()
	if m.rig == nil || m.setup.Kind != pull.Tension || !(area > 0) || !(high > 0) {
		return ""
	}
	first, ok := m.rig.FirstAt(m.rig.Alarm.Stop)
	if !ok {
		return ""
	}
	from, to := si.Force(float64(low)*float64(area)), si.Force(float64(high)*float64(area))
	is := "may be"
	switch {
	case to < first.Specimen:
		return ""
	case from >= first.Specimen:
		is = "is"
	}
	forces := to.Text(m.units)
	if a := from.In(m.units).Number(); a != to.In(m.units).Number() {
		forces = a + "–" + forces
	}
	return fmt.Sprintf("%s %s past the stop of %s (%s), %s on the specimen", forces, is, first.Part, mayCarry(first.Bound, m.units), first.Specimen.Text(m.units))
}

// mayCarry is what a part may carry and where: "48.00 kN on each side".
func mayCarry(b rig.Bound, u si.System) string {
	if b.Limit.At == rig.AtGauge {
		return si.Pressure(b.Allowable).Text(u) + " " + b.Limit.At.Where()
	}
	return si.Force(b.Allowable).Text(u) + " " + b.Limit.At.Where()
}

// refusePast refuses a specimen that a person expects to outlast a part of the
// rig. It is for the person to overrule: the part is stated on the safe side, and
// a pull may be let off before the stop.
func (m *moment) refusePast(may func(what, next string)) {
	if m.setup.Bar.ExpectFrom != "" {
		return // of the table: told as a caution
	}
	if t := m.beyond(m.setup.Bar.ExpectLow, m.setup.Bar.ExpectHigh); t != "" {
		may("the expected break of "+t, "turn the specimen thinner (draghand plan says how thin), or let it off before the stop")
	}
}

// cautions are what a person should know before arming that refuses nothing. An
// alloy's strength by the table is no statement about this melt.
func (m *moment) cautions() (out []string) {
	if m.setup.Bar.ExpectFrom == "" {
		return nil
	}
	if t := m.beyond(m.setup.Bar.ExpectLow, m.setup.Bar.ExpectHigh); t != "" {
		out = append(out, "by the table of alloys the break of "+t)
	}
	return out
}
