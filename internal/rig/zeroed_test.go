package rig

import (
	"strings"
	"testing"
)

// That a number has lost its zero already stands in the records of imported
// tables; a person cannot write it, since a live rig is zeroed before each pull.
func TestZeroedIsNoKey(t *testing.T) {
	for _, sensor := range []string{"zeroed = true", "zeroed = false"} {
		text := strings.Replace(Example(), "[sensor]\n", "[sensor]\n"+sensor+"\n", 1)
		_, err := Parse("zeroed.toml", []byte(text))
		if err == nil || !strings.Contains(err.Error(), "sensor.zeroed: unknown key") {
			t.Errorf("%s: %v, want it refused", sensor, err)
		}
	}
	if r := mustParse(t, Example()); r.Sensor.Zeroed {
		t.Error("the example rig is zeroed")
	}
}
