package bench

import (
	"fmt"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// beyond says that a specimen expected to break between two stresses would bring
// a part to its stop first, or the sensor to its end, by the part and the numbers that a rig check, a plan
// and the alarm name; empty where it would not, or nothing is known of it.
func (m *moment) beyond(low, high si.Stress) string {
	area := m.setup.Bar.Area()
	if m.rig == nil || m.setup.Kind != pull.Tension || !(area > 0) || !(high > 0) {
		return ""
	}
	first, ok := m.rig.FirstAt(m.rig.Alarm.Stop)
	at, what, ends, carries := first.Specimen, first.Part, "come to its stop", "carry"
	most := ""
	if ok {
		most = mayCarry(first.Bound, m.units)
	}
	if top := m.rig.SeenTo(); !ok || top < first.Gauge { // nobody sees the force from there on
		at, what, ends, carries, most = m.rig.Chain().Specimen(top), "the sensor's range", "end", "read", top.Text(m.units)+" at the gauge"
	}
	from, to := si.Force(float64(low)*float64(area)), si.Force(float64(high)*float64(area))
	if to < at {
		return ""
	}
	does := "may " + ends
	if from >= at {
		verb, rest, _ := strings.Cut(ends, " ")
		does = strings.TrimSpace(verb + "s " + rest)
	}
	forces := to.Text(m.units)
	if a := from.In(m.units).Number(); a != to.In(m.units).Number() {
		forces = a + "–" + forces
	}
	return fmt.Sprintf("%s %s first, at %s on the specimen: it may %s %s, the break is expected at %s", what, does, at.Text(m.units), carries, most, forces)
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
		may(t, "turn it thinner (see the plan), or let it off before")
	}
}

// cautions are what a person should know before arming that refuses nothing. An
// alloy's strength by the table is no statement about this melt.
func (m *moment) cautions() (out []string) {
	if m.setup.Bar.ExpectFrom == "" {
		return nil
	}
	if t := m.beyond(m.setup.Bar.ExpectLow, m.setup.Bar.ExpectHigh); t != "" {
		out = append(out, "by the table of alloys "+t)
	}
	return out
}
