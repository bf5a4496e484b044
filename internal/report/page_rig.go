package report

import (
	"fmt"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// limitRow is one limit and how near the pull came to it.
type limitRow struct {
	Name, Where, Known, Allowed, Came, At string
	Level                                 string // "stop", "warning", "caution" or ""
}

// bare says that the forces came from a table: its ram and gauge are made up.
func (f *facts) bare() bool { return f.rig.Sensor.Zeroed && f.rig.Sensor.Kind == rig.ForceOut }

// fillRig tells the rig in words, and its limits.
func (f *facts) fillRig(p *page) {
	r, sys := f.rig, f.opt.Units
	var out rows
	out.add("name", "%s", r.Name)
	if f.bare() {
		out.add("forces", "as they stood in the imported table; ram, gauge and sensor are not known")
	} else {
		f.rigRows(&out)
	}
	p.Rig = out
	known := r.Bounds()
	for i, l := range f.state.Limits {
		if i == mostRows {
			break
		}
		one := limitRow{Name: tidy(l.Name), Where: placeWords(l.At), At: "–"}
		if l.At == rig.AtGauge {
			one.Allowed = si.Pressure(l.Allowable).Text(sys)
		} else {
			one.Allowed = si.Force(l.Allowable).Text(sys)
		}
		if l.AtForce > 0 {
			one.At = l.AtForce.Text(sys)
		}
		if i < len(known) {
			one.Known = limitWords(known[i].Limit, sys)
		}
		if f.started {
			one.Came = si.Number(100*l.PeakRatio, 0) + " %"
			switch a := r.Alarm; {
			case a.Stop > 0 && l.PeakRatio >= a.Stop:
				one.Level = "stop"
			case a.Warning > 0 && l.PeakRatio >= a.Warning:
				one.Level = "warning"
			case a.Caution > 0 && l.PeakRatio >= a.Caution:
				one.Level = "caution"
			}
		}
		p.Limits = append(p.Limits, one)
	}
	p.Unknown = tidied(r.UnknownParts())
	if !f.bare() {
		p.RigCautions = tidied(r.Cautions(sys))
	}
}

func (f *facts) rigRows(out *rows) {
	r, sys, c := f.rig, f.opt.Units, f.rig.Chain()
	role := "closed off, used as the force sensor"
	if r.Ram.Role == rig.ActuatorRam {
		role = "pumped itself"
	}
	out.add("ram", "%s ± %s effective area, %s", r.Ram.Area.Text(sys), r.Ram.AreaTol.In(sys), role)
	out.add("seal friction", "%s ± %s of the force", si.Number(r.Ram.Friction, 3), si.Number(r.Ram.FrictionBand, 3))
	s := &r.Sensor
	out.add("sensor", "%s, %s to %s", sensorWords(s), s.Low.Text(sys), s.High.Text(sys))
	of := "full scale"
	if s.AccuracyOfReading {
		of = "the reading"
	}
	out.add("its stated accuracy", "± %s %% of %s", si.Number(100*s.Accuracy, 2), of)
	if step := c.Step(); step > 0 {
		text := fmt.Sprintf("one count is %s on the specimen", figures(c.Ram(step).In(sys).Value*r.Path.BarShare(), c.Ram(step).In(sys).Unit))
		if s.Bits > 0 {
			text = fmt.Sprintf("%d bits, ", s.Bits) + text
		}
		out.add("converter", "%s", text)
	}
	path := r.Path
	switch path.Kind {
	case rig.Direct:
		out.add("load path", "direct: all of the ram's force")
	case rig.TwoSided:
		out.add("load path", "two-sided: arms %s to the specimen and %s to the far side, ± %s, on a %s bearing", path.SpecimenArm.Text(sys), path.FarArm.Text(sys), path.ArmTol.In(sys), path.Bearing)
	default:
		out.add("load path", "%s", string(path.Kind))
	}
	out.add("share of the ram's force", "%s ± %s on the specimen", si.Number(path.BarShare(), 4), si.Number(path.ShareTol, 4))
	if path.Weight > 0 {
		does := "taken off"
		if path.RamPushes == "down" {
			does = "added"
		}
		out.add("weight of moving parts", "%s, %s", path.Weight.Text(sys), does)
	}
	if d := r.Drive; d != nil {
		out.add("drive", "%s", d.Kind)
	}
	if r.Alarm.Stop > 0 {
		out.add("told at", "caution %s, warning %s, stop %s of what is allowed", si.Number(r.Alarm.Caution, 2), si.Number(r.Alarm.Warning, 2), si.Number(r.Alarm.Stop, 2))
	}
}

func sensorWords(s *rig.Sensor) string {
	switch s.Kind {
	case rig.Ratiometric:
		return "pressure transducer, ratiometric voltage"
	case rig.VoltageOut:
		return "pressure transducer, voltage"
	case rig.CurrentLoop:
		return "pressure transducer, current loop"
	case rig.PressureOut:
		return "a board that sends the pressure"
	case rig.ForceOut:
		return "a board that sends the ram's force"
	case rig.Counts:
		return "two points of count and pressure"
	}
	return string(s.Kind)
}

func placeWords(p rig.Place) string {
	switch p {
	case rig.AtRam:
		return "on the ram"
	case rig.AtSpecimen:
		return "on the specimen's side"
	case rig.AtFar:
		return "on the far side"
	case rig.AtSides:
		return "on each side"
	case rig.AtGauge:
		return "at the gauge"
	}
	return tidy(string(p))
}

// limitWords says how a limit is known.
func limitWords(l rig.Limit, sys si.System) string {
	text := "stated"
	switch {
	case l.Kind == rig.Rated && l.Proof != nil:
		text = "by a proof load of " + l.Proof.Force.Text(sys)
	case l.Kind == rig.Rated:
		text = "rated"
	case l.Kind == rig.PressureLimit:
		text = "rated pressure"
	case l.Part != nil:
		text = "reckoned from its sizes: " + l.Part.Words(sys)
	}
	if l.Factor > 1 {
		text += ", design factor " + si.Number(l.Factor, 2)
	}
	if l.Note != "" {
		text += ". " + l.Note
	}
	return tidy(text)
}
