package pull

import (
	"strings"
	"testing"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// A bar computed from its dimensions alarms by its name and its number as any
// limit does, and before a stronger rated one. Round bar of 40 mm at the ram,
// arms of 100 mm, minimum yield 355 MPa: 355 · π/32 · 40³ / 50 = 44.611 kN,
// allowed with a factor of 1.25: 35.689 kN on the ram, 17.844 kN on the specimen
// (worked by hand).
func TestComputedBarAlarms(t *testing.T) {
	const text = `
[rig]
name = "simulated"
[ram]
area = "42.0 cm² ± 0 %"
role = "sensor"
friction = "0 ± 0"
rated_force = "250 kN"
[sensor]
kind = "pressure"
unit = "bar"
range = "0 bar .. 700 bar"
accuracy = "0.5 % of full scale"
[path]
kind = "fixed"
share = "0.5 ± 0"
[[limit]]
name = "pull rod"
kind = "rated"
at = "specimen"
force = "30 kN"
[[limit]]
name = "weak bar"
kind = "bar"
at = "ram"
section = "round"
diameter = "40 mm"
arm = "100 mm"
min_yield = "355 MPa"
strength_from = "mill certificate, minimum"
design_factor = 1.25
[units]
display = "si"
`
	r, err := rig.Parse("weak.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	s := newScript(r, 1000, 0)
	s.hold(3*time.Second, 0).ramp(30*time.Second, 0, 18)
	e, evs := run(t, Config{Kind: Tension, Rig: r}, s.out)
	var all []string
	for _, ev := range eventsOf(evs, EvAlarm) {
		all = append(all, ev.Text)
		if ev.Alarm.Limit != "weak bar" {
			t.Errorf("an alarm for %q: %s", ev.Alarm.Limit, ev.Text)
		}
	}
	told := strings.Join(all, "\n")
	for _, want := range []string{"caution: weak bar carries 26.", "warning: weak bar carries 32.", "STOP: weak bar carries 35.", " of 35.69 kN allowed: release the pressure"} {
		if !strings.Contains(told, want) {
			t.Errorf("no %q in\n%s", want, told)
		}
	}
	st := e.State()
	if l := st.Limits[st.Nearest]; l.Name != "weak bar" || l.Allowable < 35.68*si.Kilonewton || l.Allowable > 35.70*si.Kilonewton {
		t.Errorf("the nearest limit is %+v, want the weak bar at 35.689 kN", l)
	}
	if d := r.Derive(si.Metric).Limits[0]; d.Name != "weak bar" || float64(d.Allowable) != st.Limits[st.Nearest].Allowable {
		t.Errorf("the check names %s at %v, the engine %v", d.Name, d.Allowable, st.Limits[st.Nearest].Allowable)
	}
}
