package tui

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"draghand/internal/bench"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// benchStates are the moments of the bench that every size of screen is held
// against: a desk, and the keys that lead there. All are simulated.
var benchStates = map[string]func(t *testing.T) (*fakeDesk, []string){
	"checked": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk()
		d.view.Check = "last check bar 9 days ago, +1.8 %, in control (drawn bar A)"
		d.view.ZeroDrift = "+4 psi from the last pull, +13 psi over 12 pulls in 30 days"
		return d, []string{"tab", "tab"}
	},
	"check-out": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk()
		d.view.Check = "last check bar 9 days ago, +4.6 %, OUT OF CONTROL: beyond the limits, above (drawn bar A)"
		d.view.ZeroDrift = "+4 psi from the last pull, +113 psi over 12 pulls in 30 days"
		d.view.Cautions = []string{
			"check bar of drawn bar A: OUT OF CONTROL: beyond the limits, above: find out why before you trust a strength of this rig",
			"the zero has moved by +113 psi over 12 pulls in 30 days, more than 1 % of the sensor's range: a sensor that ages reads the load wrong too: hold it against a reference",
		}
		return d, nil
	},
	"overdue": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk()
		d.view.Calibration = "calibration of 2025-11-20 at the specimen, 2,248 lbf to 10,116 lbf, overdue by 5 days"
		d.view.ZeroDrift = "+4 psi from the last pull, +13 psi over 12 pulls in 30 days"
		d.view.Cautions = []string{"calibration overdue by 5 days: hold the rig against a reference again"}
		d.view.Fields = append(d.view.Fields, bench.Field{ID: bench.FieldStock, Label: "check bar of", Text: "drawn bar A"})
		d.view.Check = "last check bar today, +0.2 %, in control (drawn bar A)"
		return d, nil
	},
	"empty": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk().refuse(noRig, noReading, noDiameter, unseen)
		for i := range d.view.Fields {
			f := &d.view.Fields[i]
			if f.Text = ""; f.ID != bench.FieldKind {
				f.Read = ""
			}
		}
		d.view.Rig, d.view.Look, d.view.Source, d.view.Unknown, d.view.Points = nil, nil, bench.NoSource, nil, points(0)
		return d, nil
	},
	"opening": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk().refuse(noReading, noZero)
		d.view.Source, d.view.Look = bench.OpeningSource, nil
		return d, nil
	},
	"failed": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk().refuse(noReading)
		d.with(bench.FieldSource, func(f *bench.Field) { f.Text, f.Read = "serial:/dev/ttyACM0", "" })
		d.view.Source, d.view.Look = bench.SourceFailed, nil
		d.view.SourceErr = "cannot open /dev/ttyACM0: no such device. Plug the board in, then press p and choose its port"
		return d, nil
	},
	"points-missing": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk().refuse(unseen, unknownPin)
		d.view.Points = points(3)
		return d, []string{"tab"}
	},
	"no-zero-yet": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk().refuse(noZero)
		d.view.Look.State.Zero, d.view.Look.State.T = pull.Zero{}, 1400*time.Millisecond
		return d, nil
	},
	"zero-refused": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk().refuse(noZero)
		d.view.Look.State.Zero = pull.Zero{Refused: refusal}
		return d, nil
	},
	"ready": func(*testing.T) (*fakeDesk, []string) { return readyDesk(), nil },
	"ready-rig": func(*testing.T) (*fakeDesk, []string) {
		return readyDesk(), []string{"tab", "tab"}
	},
	"fault": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk().refuse(noDiameter)
		d.with(bench.FieldDiameters, func(f *bench.Field) {
			f.Text, f.Read, f.Fault = "12,5", "", `"12,5" has no unit: write a length such as "12.5 mm"`
		})
		return d, []string{"down", "down", "down", "down", "down", "down", "down", "enter"}
	},
	"overrule": func(*testing.T) (*fakeDesk, []string) {
		return readyDesk().refuse(unknownPin, unseen), []string{"o", "o", "l", "d", " ", "p", "i", "n", "s"}
	},
	"overrule-short": func(*testing.T) (*fakeDesk, []string) {
		return readyDesk().refuse(unknownPin), []string{"o", "o", "k", "enter"}
	},
	"not-armed": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk()
		d.armErr = errors.New(`make the record in "/home/somebody/pulls": mkdir 2026-11-25T140322Z-M1-3: no space left on device`)
		return d, []string{"a"}
	},
	"loaded": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk().refuse(bench.Refusal{What: "there is load on the rig", Next: "release the pressure", Final: true})
		d.view.Look = at(12, 38e3).snap
		return d, nil
	},
	"loaded-stop": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk().refuse(bench.Refusal{What: "there is load on the rig", Next: "release the pressure", Final: true})
		d.view.Look = at(36, 50e3).raise(pull.Stop, nil).snap
		return d, nil
	},
	"past-a-stop": func(*testing.T) (*fakeDesk, []string) {
		return readyDesk().refuse(bench.Refusal{
			What: "link bar comes to its stop first, at 6,551 lbf on the specimen: it may carry 6,744 lbf on each side, the break is expected at 7,609–9,511 lbf",
			Next: "turn it thinner (see the plan), or let it off before",
		}), nil
	},
	"table-caution": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk()
		d.view.Cautions = []string{"by the table of alloys link bar may come to its stop first, at 10,481 lbf on the specimen: it may carry 10,791 lbf on each side, the break is expected at 7,609–11,414 lbf"}
		return d, nil
	},
	"cannot-see": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk().refuse(noReading)
		d.view.Look.State.Seen, d.view.Look.State.Signal = false, rig.Open
		d.view.Look.State.Faults, d.view.Look.State.BadLines = 512, 3
		return d, nil
	},
	"hostile": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk()
		bad := "\x1b[2J\x1b]0;gone\a炉の三番目の溶湯👩‍🔧👍🏽é\u202e\u200f" + strings.Repeat("long ", 60) + "\r\n\t\x00"
		for i := range d.view.Fields {
			f := &d.view.Fields[i]
			f.Label, f.Text, f.Read, f.Hint = bad, bad, bad, bad
			if i%3 == 0 {
				f.Fault, f.Read = bad, ""
			}
			if i%4 == 0 {
				f.Text = ""
			}
		}
		for i := range d.view.Points {
			d.view.Points[i].Text, d.view.Points[i].Why = bad, bad
		}
		r := exampleRig()
		r.Name = bad
		for i := range r.Limits {
			r.Limits[i].Name = bad
		}
		nan := math.NaN()
		d.view.Look.State.Live.Gauge, d.view.Look.State.Live.Specimen = si.Pressure(nan), si.Force(math.Inf(1))
		d.view.Look.State.Zero.SD, d.view.Look.State.Noise = si.Pressure(nan), si.Pressure(math.Inf(-1))
		d.view.Look.Source.Name, d.view.Look.State.Zero.Refused = bad, bad
		d.view.Rig, d.view.Unknown = r, []string{bad, "\x1b", ""}
		return d.refuse(bench.Refusal{What: bad, Next: bad}, bench.Refusal{}, bench.Refusal{What: bad, Final: true}, noZero, unseen), nil
	},
	"many-limits": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk()
		r := exampleRig()
		for i := range 14 {
			l := r.Limits[len(r.Limits)-1]
			for _, o := range r.Limits {
				if o.Name == "link bar" {
					l = o
				}
			}
			l.Name, l.Force = fmt.Sprintf("plate %d", i+1), l.Force+si.Force(1e3*(i+1))
			r.Limits = append(r.Limits, l)
		}
		d.view.Rig, d.view.Unknown = r, []string{"pins", "press frame", "lower plate"}
		return d, []string{"tab", "tab"}
	},
	"crush": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk()
		d.with(bench.FieldKind, func(f *bench.Field) { f.Text, f.Read = "crush", "" })
		return d, []string{"down", "down"}
	},
	"proof": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk()
		d.with(bench.FieldKind, func(f *bench.Field) { f.Text, f.Read = "proof", "" })
		d.view.Fields = slices.Insert(
			d.view.Fields, 3,
			bench.Field{ID: bench.FieldTarget, Label: "force to hold", Text: "20 kN", Read: "4,496 lbf", Hint: "20 kN"},
			bench.Field{ID: bench.FieldHold, Label: "for how long", Hint: "60 s"},
		)
		return d, []string{"down", "down", "down", "down"}
	},
	"ports": func(*testing.T) (*fakeDesk, []string) {
		d := readyDesk()
		d.ports = []string{"serial:/dev/ttyACM0", "serial:/dev/ttyUSB0", "sim:"}
		return d, []string{"p", "down"}
	},
	"help": func(*testing.T) (*fakeDesk, []string) { return readyDesk(), []string{"?"} },
}
