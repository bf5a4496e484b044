package rig

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/exp/golden"

	"draghand/internal/si"
)

func TestDescribeExample(t *testing.T) {
	r := mustParse(t, Example())
	golden.RequireEqual(t, []byte(r.Describe(si.US)+"\n----\n\n"+r.Describe(si.Metric)))
}

// TestDescribeFlat is the rig with everything to be said about.
func TestDescribeFlat(t *testing.T) {
	r, err := Load("../../testdata/rigs/flat-no-limits.toml")
	if err != nil {
		t.Fatal(err)
	}
	golden.RequireEqual(t, []byte(r.Describe(si.Metric)))
}

// TestDescribeActuator shows every table that a rig file can have.
func TestDescribeActuator(t *testing.T) {
	r, err := Load("../../testdata/rigs/ratiometric-actuator.toml")
	if err != nil {
		t.Fatal(err)
	}
	golden.RequireEqual(t, []byte(r.Describe(si.Metric)))
}

func TestCautions(t *testing.T) {
	rng := "range = \"0 bar .. 700 bar\"\naccuracy = \"1 % of full scale\"\n"
	conv := func(v string) string { return "bits = 12\nreference = \"" + v + "\"" }
	tests := []struct {
		name string
		over tables
		want string
		not  bool
	}{
		{"no limit", nil, "no part has a known limit", false},
		{"flat", tables{"path": "kind = \"two-sided\"\nspecimen_arm = \"90 mm ± 1 mm\"\nfar_arm = \"90 mm ± 1 mm\"\nbearing = \"flat\"\nbearing_width = \"18 mm\""}, "± 0.050 of the share", false},
		{"flat says what to fit", tables{"path": "kind = \"two-sided\"\nspecimen_arm = \"90 mm ± 1 mm\"\nfar_arm = \"90 mm ± 1 mm\"\nbearing = \"flat\"\nbearing_width = \"18 mm\""}, "half-round or a ball seat", false},
		{"far side forgotten", tables{"path": "kind = \"two-sided\"\nspecimen_arm = \"90 mm ± 0 mm\"\nfar_arm = \"90 mm ± 0 mm\"\nbearing = \"ball\""}, "no limit is stated for the far side", false},
		{"poor arms", tables{"path": "kind = \"two-sided\"\nspecimen_arm = \"90 mm ± 5 mm\"\nfar_arm = \"90 mm ± 5 mm\"\nbearing = \"ball\""}, "measure the arms better", false},
		{"no proof", nil, "proof pressure is not known", false},
		{"proof below the nearest limit", tables{"sensor": "kind = \"current\"\nproof_pressure = \"800 bar\"\n" + rng, "ram": "area = \"10 cm² ± 0 %\"\nrole = \"sensor\"\nrated_force = \"90 kN\""}, "above the transducer's proof pressure", false},
		{"sensor ends before the limit", tables{"sensor": "kind = \"current\"\n" + rng, "ram": "area = \"10 cm² ± 0 %\"\nrole = \"sensor\"\nrated_force = \"90 kN\""}, "the sensor ends at 700.0 bar", false},
		{"clipped", tables{"sensor": "kind = \"current\"\nshunt = \"250 ohm\"\n" + rng, "sensor.converter": conv("3.3 V")}, "the converter is full at 402", false},
		{"too much for the board", tables{"sensor": "kind = \"current\"\nshunt = \"250 ohm\"\n" + rng, "sensor.converter": conv("3.3 V")}, "it may harm the board", false},
		{"not too much", tables{"sensor": "kind = \"current\"\nshunt = \"150 ohm\"\n" + rng, "sensor.converter": conv("3.3 V")}, "harm", true},
		{"dead zero", tables{"sensor": "kind = \"voltage\"\nsignal = \"0 V .. 10 V\"\n" + rng}, "a broken wire reads as no load", false},
		{"live zero", tables{"sensor": "kind = \"current\"\n" + rng}, "broken wire", true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := strings.Join(mustParse(t, file(tt.over)).Cautions(si.Metric), "\n")
			if strings.Contains(got, tt.want) == tt.not {
				t.Errorf("cautions\n%s\nwant %q (or not: %v)", got, tt.want, tt.not)
			}
		})
	}
}
