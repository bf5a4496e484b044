package bench

import "draghand/internal/pull"

// label is the word or two beside a field.
func label(id FieldID) string {
	switch id {
	case FieldRig:
		return "rig file"
	case FieldTarget:
		return "hold at"
	case FieldHold:
		return "hold for"
	case FieldGauge:
		return "gauge length"
	case FieldYield:
		return "least yield"
	case FieldExpect:
		return "breaks at"
	case FieldStock:
		return "check bar of"
	}
	return string(id)
}

// hint is an example of what to write.
func hint(id FieldID, kind pull.Kind) string {
	switch id {
	case FieldRig:
		return "rig.toml; draghand rig new prints one to fill in"
	case FieldSource:
		return "serial:/dev/ttyACM0, tcp:HOST:PORT, or sim: to practise"
	case FieldKind:
		return "tension breaks a bar, crush presses a block, proof holds a force"
	case FieldTarget:
		return "20 kN; empty: whatever is held counts"
	case FieldHold:
		return "60 s; empty: for as long as you like"
	case FieldMelt:
		return "M1"
	case FieldTags:
		return "1150 °C, green sand, as cast"
	case FieldSpecimen:
		return "3"
	case FieldSide:
		return "near; far: bar and link swapped"
	case FieldAlloy:
		return "C90500"
	case FieldDiameters:
		if kind == pull.Crush {
			return "20.1 mm round, 20.1 x 20.3 mm; empty: force only"
		}
		return "12.51 mm, 12.49 mm; 6.02 x 3.01 mm; tube 12 x 1.5 mm"
	case FieldGauge:
		return "50 mm between the marks"
	case FieldYield:
		return "20 ksi; what gives way below it is another part"
	case FieldExpect:
		return "40 ksi .. 50 ksi; empty: by the table, for an alloy it knows"
	case FieldStock:
		return "drawn bar A; only for a bar of bought stock that checks the rig"
	}
	return ""
}
