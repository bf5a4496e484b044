package rig

import (
	"math"
	"strings"
	"testing"
)

// tables are some tables of a test's rig file; the others come from plain.
type tables map[string]string

// plain is a rig without anything to correct: round numbers, share a half, no
// friction, the number sent in bar.
func plain() tables {
	return tables{
		"rig":    `name = "test rig"`,
		"ram":    `area = "10 cm² ± 0 %"` + "\n" + `role = "sensor"` + "\n" + `friction = "0 ± 0"`,
		"sensor": `kind = "pressure"` + "\n" + `range = "0 bar .. 1000 bar"` + "\n" + `accuracy = "1 % of reading"` + "\n" + `unit = "bar"`,
		"path":   `kind = "fixed"` + "\n" + `share = "0.5 ± 0"`,
	}
}

// file writes a rig file: plain with the given tables in place of its own.
func file(over tables) string {
	all := plain()
	for k, v := range over {
		all[k] = v
	}
	var b strings.Builder
	for _, k := range []string{"rig", "ram", "sensor", "sensor.converter", "source", "path", "drive", "alarm", "units"} {
		if v, ok := all[k]; ok {
			b.WriteString("[" + k + "]\n" + v + "\n")
		}
	}
	b.WriteString(all["limits"])
	return b.String()
}

func mustParse(t testing.TB, text string) *Rig {
	t.Helper()
	r, err := Parse("test.toml", []byte(text))
	if err != nil {
		t.Fatalf("Parse: %v\nin\n%s", err, text)
	}
	return r
}

// near says whether got is want within a relative tolerance; a want of zero
// takes the tolerance of one unit.
func near(got, want, rel float64) bool {
	return math.Abs(got-want) <= rel*max(math.Abs(want), 1)
}
