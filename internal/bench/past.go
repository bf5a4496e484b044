package bench

import (
	"fmt"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// beyond says that the specimen, as strong as it may be, would bring a part to its
// stop first, or the sensor to its end, by the part and the numbers that a rig
// check, a plan and the alarm name; empty where it surely would not, or nothing is
// known of it.
func (m *moment) beyond() string {
	bar := &m.setup.Bar
	area, upper := bar.Area(), bar.Upper()
	if m.rig == nil || m.setup.Kind != pull.Tension || !(area > 0) || !(upper > 0) {
		return ""
	}
	end, ok := m.rig.EndsOf(bar.ExpectLow).FirstEnd()
	force := func(s si.Stress) si.Force { return si.Force(float64(s) * float64(area)) }
	from, to, most := force(bar.ExpectLow), force(bar.ExpectHigh), force(upper)
	if !ok || most < end.Least {
		return ""
	}
	does, carries := [2]string{"may come to its stop", "comes to its stop"}, "carry "+mayCarry(end.Bound, m.units)
	if end.SensorEnd {
		does, carries = [2]string{"may end", "ends"}, "read "+end.Gauge.Text(m.units)+" at the gauge"
	}
	verb := does[0]
	if from >= end.Specimen {
		verb = does[1]
	}
	text := fmt.Sprintf("%s %s first, at %s on the specimen: it may %s, the break is expected at ", end.Part, verb, end.Specimen.Text(m.units), carries)
	if a := from.In(m.units).Number(); a != to.In(m.units).Number() {
		text += a + "–"
	}
	text += to.Text(m.units)
	if most > to {
		text += ", at the most at " + most.Text(m.units) + " (1.2 of one figure)"
	}
	if most < end.Specimen {
		text += "; by what area, friction and share may be off, that may be as early as " + end.Least.Text(m.units)
	}
	return text
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
	if t := m.beyond(); t != "" {
		may(t, "turn it thinner (see the plan), or let it off before")
	}
}

// cautions are what a person should know before arming that refuses nothing. An
// alloy's strength by the table is no statement about this melt.
func (m *moment) cautions() (out []string) {
	if m.setup.Bar.ExpectFrom == "" {
		return nil
	}
	if t := m.beyond(); t != "" {
		out = append(out, "by the table of alloys "+t)
	}
	return out
}
