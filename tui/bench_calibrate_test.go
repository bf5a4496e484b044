package tui

import (
	"testing"

	"draghand/internal/bench"
)

// The help names the command with the rig and the source that stand on the bench.
func TestBenchCalibrateCommand(t *testing.T) {
	for _, c := range []struct{ rig, source, want string }{
		{"rig.toml", "serial:/dev/ttyACM0", `draghand calibrate --rig rig.toml --from serial:/dev/ttyACM0 --at specimen --reference "50 kN cell no. 3"`},
		{"my rigs/a b.toml", "sim:?seed=2&speed=3", `draghand calibrate --rig "my rigs/a b.toml" --from "sim:?seed=2&speed=3" --at specimen --reference "50 kN cell no. 3"`},
		{"it's $x.toml", "", `draghand calibrate --rig 'it'\''s $x.toml' --from SOURCE --at specimen --reference "50 kN cell no. 3"`},
		{"\x1b[2Jrig.toml", "serial:COM3", `draghand calibrate --rig rig.toml --from serial:COM3 --at specimen --reference "50 kN cell no. 3"`},
	} {
		m := BenchScreen{view: &bench.View{Fields: []bench.Field{{ID: bench.FieldRig, Text: c.rig}, {ID: bench.FieldSource, Text: c.source}}}}
		if got := m.calibrateCommand(); got != c.want {
			t.Errorf("%s\nwant %s", got, c.want)
		}
	}
}
