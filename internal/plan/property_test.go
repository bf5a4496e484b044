package plan

import (
	"encoding/json"
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// drawRig is any rig that the program takes for valid.
func drawRig(t *rapid.T) *rig.Rig {
	f := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	top := si.Pressure(f("range, bar", 1, 2000) * si.Bar)
	share := f("share", 0.05, 0.95)
	r := &rig.Rig{
		Name: "drawn",
		Ram: rig.Ram{
			Area: si.Area(f("area, cm²", 1, 500) * si.SquareCM), Role: rapid.SampledFrom([]rig.Role{rig.SensorRam, rig.ActuatorRam}).Draw(t, "role"),
			Friction: f("friction", 0, 0.1), FrictionBand: f("band", 0, 0.05),
		},
		Sensor: rig.Sensor{Kind: rig.PressureOut, High: top, UnitFactor: 1e5, Accuracy: f("accuracy", 1e-4, 0.05)},
		Source: rig.Source{Baud: 115200, Separator: ",", Columns: []string{"raw"}},
		Path:   rig.Path{Kind: rig.Fixed, Share: share, ShareTol: f("share tol", 0, 0.1) * share},
		Alarm:  rig.Alarm{Caution: 0.75, Warning: f("warning", 0.8, 0.95), Stop: 1},
	}
	r.Ram.AreaTol = r.Ram.Area * si.Area(f("area tol", 0, 0.1))
	if rapid.Bool().Draw(t, "weight") {
		r.Path.Weight, r.Path.RamPushes = si.Force(f("weight, N", 1, 2000)), rapid.SampledFrom([]string{"up", "down"}).Draw(t, "pushes")
	}
	if rapid.Bool().Draw(t, "drive") {
		r.Drive = &rig.Drive{Kind: "hand-pump", PerStroke: si.Length(f("stroke, mm", 0.01, 5) * si.Millimetre), Stiffness: f("stiffness", 1e6, 1e9)}
	}
	places := []rig.Place{rig.AtRam, rig.AtSpecimen, rig.AtFar, rig.AtSides}
	for i := range rapid.IntRange(0, 4).Draw(t, "limits") {
		l := rig.Limit{
			Name: string(rune('a' + i)), Kind: rig.Rated, At: rapid.SampledFrom(places).Draw(t, "at"),
			Force: si.Force(f("limit, kN", 1, 5000) * si.Kilonewton), Factor: f("factor", 1, 5),
		}
		if rapid.Bool().Draw(t, "pressure limit") {
			l = rig.Limit{Name: l.Name, Kind: rig.PressureLimit, At: rig.AtGauge, Pressure: si.Pressure(f("limit, bar", 1, 2000) * si.Bar), Factor: l.Factor}
		}
		r.Limits = append(r.Limits, l)
	}
	return r
}

func drawStrength(t *rapid.T) Strength {
	low := si.Stress(rapid.Float64Range(1, 2500).Draw(t, "strength, MPa") * si.Megapascal)
	return OfRange(low, low*si.Stress(rapid.Float64Range(1, 1.8).Draw(t, "spread")), 0)
}

// The rigs drawn are rigs that a file could describe.
func TestDrawnRigsAreValid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		if err := drawRig(t).Validate(); err != nil {
			t.Fatal(err)
		}
	})
}

// Everything a plan holds is a finite number, and its words are there, whatever
// the rig and the strength.
func TestAllFinite(t *testing.T) {
	alloys := specimen.Alloys()
	rapid.Check(t, func(t *rapid.T) {
		r, st := drawRig(t), drawStrength(t)
		sys := rapid.SampledFrom([]si.System{si.US, si.Metric}).Draw(t, "units")
		p := For(Ask{Rig: r, Strength: st, Units: sys, Alloys: alloys, Diameters: []si.Length{si.Length(rapid.Float64Range(0.5e-3, 0.2).Draw(t, "d"))}})
		allFinite(t, reflect.ValueOf(*p))
		if _, err := json.Marshal(p); err != nil {
			t.Fatal(err)
		}
		if p.Advice.Text == "" {
			t.Fatal("no advice")
		}
		for _, l := range p.Lines() {
			if n := len([]rune(l)); n > lineWide {
				t.Fatalf("%d cells wide: %q", n, l)
			}
		}
	})
}

func allFinite(t *rapid.T, v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			t.Fatalf("%v in a plan", f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			allFinite(t, v.Field(i))
		}
	case reflect.Slice:
		for i := range v.Len() {
			allFinite(t, v.Index(i))
		}
	case reflect.Pointer:
		if !v.IsNil() {
			allFinite(t, v.Elem())
		}
	}
}

// A stronger metal and a larger bar never leave a larger margin, and never turn
// a bar that cannot be pulled into one that can.
func TestMarginOnlyShrinks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, st := drawRig(t), drawStrength(t)
		d := rapid.Float64Range(0.05, 2).Draw(t, "inch")
		more := rapid.Float64Range(1, 3).Draw(t, "times")
		stronger := st
		stronger.Low, stronger.High, stronger.Upper = st.Low*si.Stress(more), st.High*si.Stress(more), st.Upper*si.Stress(more)
		one, two, three := askedIn(r, st, d), askedIn(r, stronger, d), askedIn(r, st, d*more)
		for _, o := range []Size{two, three} {
			if o.Margin > one.Margin {
				t.Fatalf("margin %v, then %v", one.Margin, o.Margin)
			}
			if one.Part != o.Part {
				t.Fatalf("%q comes first, then %q", one.Part, o.Part)
			}
			if one.Part != "" && one.Margin <= 0 && o.Verdict != No {
				t.Fatalf("no at a margin of %v, %s at %v", one.Margin, o.Verdict, o.Margin)
			}
		}
		if two.Strongest != one.Strongest {
			t.Fatal("what a size stands hangs on the metal")
		}
	})
}

func askedIn(r *rig.Rig, st Strength, inch float64) Size {
	return For(Ask{Rig: r, Strength: st, Units: si.US, Diameters: []si.Length{si.Length(inch * si.Inch)}}).Asked[0]
}

// The own diameter raises no warning; one step more would, or is past the largest
// looked at.
func TestOwnIsTheLargest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, st := drawRig(t), drawStrength(t)
		sys, step, most := si.US, 0.005*si.Inch, ownMostIn*si.Inch
		if rapid.Bool().Draw(t, "metric") {
			sys, step, most = si.Metric, 0.1*si.Millimetre, ownMostMM*si.Millimetre
		}
		p := For(Ask{Rig: r, Strength: st, Units: sys})
		if p.Own == nil {
			return
		}
		if p.Own.Upper.Specimen > p.Part.WarningLeast {
			t.Fatalf("the own size raises a warning: %v over %v", p.Own.Upper.Specimen, p.Part.WarningLeast)
		}
		if n := float64(p.Own.Diameter) / step; math.Abs(n-math.Round(n)) > 1e-6 {
			t.Fatalf("%v is no whole step", p.Own.Diameter)
		}
		k := newReckoner(Ask{Rig: r, Strength: st, Units: sys})
		next := k.size(Size{Diameter: p.Own.Diameter + si.Length(step)})
		if float64(next.Diameter) < most && next.Upper.Specimen <= p.Part.WarningLeast*(1-1e-9) {
			t.Fatalf("%v would do as well as %v", next.Diameter, p.Own.Diameter)
		}
	})
}
