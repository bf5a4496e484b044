package plan

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/exp/golden"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// The plan in words as a person gets it, looked at: a rig that does, one that does
// not, and one of which the pump is known, in the other units.
func TestLines(t *testing.T) {
	table := specimen.Alloys()
	bronze, _ := OfAlloy(table, "C90500")
	pumped := example(t, 0)
	pumped.Drive = &rig.Drive{Kind: "hand-pump", PerStroke: 0.25e-3, Stiffness: 40e6}
	for name, a := range map[string]Ask{
		"good":   {Rig: example(t, 0), Strength: OfRange(36*si.KSI, 48*si.KSI, 0), Units: si.US, Diameters: []si.Length{0.4 * si.Inch}},
		"no":     {Rig: example(t, 500), Strength: bronze, Units: si.US},
		"pumped": {Rig: pumped, Strength: OfRange(300e6, 300e6, 0), Units: si.Metric},
	} {
		t.Run(name, func(t *testing.T) {
			a.Alloys = table
			golden.RequireEqual(t, strings.Join(For(a).Lines(), "\n")+"\n")
		})
	}
}
