package tui

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"draghand/internal/bench"
	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

// results are those of the simulated pull of the fixtures as it came out.
func results(kind pull.Kind, outcome pull.Phase) (strength.Results, []string, specimen.Specimen) {
	f := at(43, 38e3)
	s := &f.snap.State
	s.Kind, s.Phase, s.Outcome, s.LoadedAt = kind, outcome, outcome, 4500*time.Millisecond
	if outcome == pull.Broken {
		s.Break = broken().snap.State.Break
	}
	if kind == pull.Proof {
		h := *holding(64 * time.Second).snap.State.Hold
		s.Hold = &h
	}
	r := strength.From(strength.Pull{
		Record: "2026-11-25T140322Z-M1-3", State: *s, Bar: f.snap.Specimen,
		Config: pull.Config{Rig: exampleRig(), Kind: kind},
	})
	return r, r.Lines(si.US, f.snap.Specimen), f.snap.Specimen
}

// measuredDesk is a desk whose last bar was measured after its pull.
func measuredDesk(minimum si.Stress, where specimen.Where) *fakeDesk {
	d := endedDesk(pull.Tension, pull.Broken)
	f := at(43, 38e3)
	f.snap.State.Phase, f.snap.State.Outcome, f.snap.State.Break = pull.Broken, pull.Broken, broken().snap.State.Break
	f.snap.Specimen.GaugeLength = 50 * si.Millimetre
	d.ended.Results = strength.From(strength.Pull{
		Record: d.ended.Name, State: f.snap.State, Bar: f.snap.Specimen, Config: pull.Config{Rig: exampleRig(), Kind: pull.Tension},
		After: &specimen.After{
			Diameters: []si.Length{9.81 * si.Millimetre}, GaugeLength: 58.7 * si.Millimetre, Where: where,
			Looks: []specimen.Look{specimen.CupCone}, Minimum: minimum, MinimumFrom: "the drawing",
		},
	})
	d.ended.Results.Remarks = append(d.ended.Results.Remarks, "no known limit: pins", strings.Repeat("a long remark that takes room ", 6))
	d.ended.Lines = d.ended.Results.Lines(si.US, f.snap.Specimen)
	return d
}

// endedDesk is a desk whose last pull came out so.
func endedDesk(kind pull.Kind, outcome pull.Phase) *fakeDesk {
	d := readyDesk()
	r, lines, bar := results(kind, outcome)
	d.ended = &bench.Ended{
		Results: r, Lines: lines, Bar: bar, NextID: "M1-4",
		Record: "/home/somebody/draghand/pulls/2026-11-25T140322Z-M1-3", Name: "2026-11-25T140322Z-M1-3",
		Reason: "2 s after the break",
	}
	d.view.Bars = []bench.Bar{{Record: "2026-11-25T140322Z-M1-3", Specimen: "M1-3", Melt: "M1", Outcome: string(outcome), Strength: "45.1 ksi"}}
	if outcome == pull.Ended || outcome == pull.LetOff {
		d.view.Bars[0].Strength = "at least 45.1 ksi"
	}
	if kind != pull.Tension {
		d.view.Bars[0].Strength = ""
	}
	return d
}

// afterStates are the moments after a pull that every size of screen is held
// against: a desk, and the keys that lead there. All are simulated.
var afterStates = map[string]func(t *testing.T) (*fakeDesk, []string){
	"closing": func(*testing.T) (*fakeDesk, []string) {
		d := endedDesk(pull.Tension, pull.Broken)
		d.ended = nil
		return d, nil
	},
	"broken": func(*testing.T) (*fakeDesk, []string) { return endedDesk(pull.Tension, pull.Broken), nil },
	"let-off": func(*testing.T) (*fakeDesk, []string) {
		d := endedDesk(pull.Tension, pull.LetOff)
		d.ended.Override = "the pins held twice this load last week"
		return d, nil
	},
	"ended-loaded": func(*testing.T) (*fakeDesk, []string) {
		d := endedDesk(pull.Tension, pull.Ended)
		d.ended.Source = "the port /dev/ttyACM0 went away: plug the board in again"
		d.ended.Reason = "the source was lost for good"
		return d, nil
	},
	"stop-after": func(*testing.T) (*fakeDesk, []string) {
		d := endedDesk(pull.Tension, pull.Ended)
		d.view.Look = states["stop"]().snap
		return d, nil
	},
	"failed-save": func(*testing.T) (*fakeDesk, []string) {
		d := endedDesk(pull.Tension, pull.Broken)
		d.ended.Saved = `NOT SAVED: no space left on device (write samples.csv); nor elsewhere: mkdir /var/draghand: permission denied: note the peak by hand`
		d.ended.Record, d.ended.Name = "", ""
		return d, nil
	},
	"saved-elsewhere": func(*testing.T) (*fakeDesk, []string) {
		d := endedDesk(pull.Tension, pull.Broken)
		d.ended.Saved = "saved in /home/somebody/2026-11-25T140322Z-M1-3 instead: no space left on device (write samples.csv)"
		d.ended.Record = "/home/somebody/2026-11-25T140322Z-M1-3"
		return d, nil
	},
	"nowhere": func(*testing.T) (*fakeDesk, []string) {
		d := endedDesk(pull.Tension, pull.Broken)
		d.ended.Record, d.ended.Name = "", ""
		return d, nil
	},
	"many-remarks": func(*testing.T) (*fakeDesk, []string) {
		d := endedDesk(pull.Tension, pull.Broken)
		for i := range 12 {
			d.ended.Results.Remarks = append(d.ended.Results.Remarks, fmt.Sprintf("a stroke gained %d %% of the best: something other than the specimen may have given", 20+i))
		}
		d.ended.Results.Said = []string{"broke at the fillet, not in the gauge length", "a pore of about 1 mm in the face of the break"}
		d.ended.Remarks, d.ended.Lines = d.ended.Results.Said, d.ended.Results.Lines(si.US, d.ended.Bar)
		return d, nil
	},
	"remark-typed": func(*testing.T) (*fakeDesk, []string) {
		return endedDesk(pull.Tension, pull.Broken), []string{"m", "b", "r", "o", "k", "e", " ", "a", "t", " ", "t", "h", "e", " ", "f", "i", "l", "l", "e", "t"}
	},
	"remark-not-kept": func(*testing.T) (*fakeDesk, []string) {
		d := endedDesk(pull.Tension, pull.Broken)
		d.keepErr = errors.New(`write "/home/somebody/draghand/pulls/2026-11-25T140322Z-M1-3/pull.json": permission denied`)
		return d, []string{"m", "p", "o", "r", "e", "enter"}
	},
	"bars": func(*testing.T) (*fakeDesk, []string) {
		d := endedDesk(pull.Tension, pull.Broken)
		d.view.Bars = append([]bench.Bar{
			{Record: "a", Specimen: "M1-1", Melt: "M1", Outcome: "broken", Strength: "43.8 ksi"},
			{Record: "b", Specimen: "M2-1", Melt: "M2", Outcome: "broken", Strength: "41.0 ksi"},
			{Record: "c", Specimen: "M1-2", Melt: "M1", Outcome: "let-off", Strength: "at least 38.1 ksi"},
			{Record: "d", Specimen: "M1-2b", Melt: "M1", Outcome: "ended"},
		}, d.view.Bars...)
		return d, nil
	},
	"measured":       func(*testing.T) (*fakeDesk, []string) { return measuredDesk(35e3*si.PSI, specimen.MidGauge), nil },
	"measured-fails": func(*testing.T) (*fakeDesk, []string) { return measuredDesk(60e3*si.PSI, specimen.OffMiddle), nil },
	"measured-no-end": func(*testing.T) (*fakeDesk, []string) {
		return measuredDesk(45e3*si.PSI, specimen.InGrip), []string{"pgdown", "pgdown", "pgdown"}
	},
	"proof": func(*testing.T) (*fakeDesk, []string) { return endedDesk(pull.Proof, pull.LetOff), nil },
	"crush": func(*testing.T) (*fakeDesk, []string) { return endedDesk(pull.Crush, pull.LetOff), nil },
	"hostile": func(*testing.T) (*fakeDesk, []string) {
		d := endedDesk(pull.Tension, pull.Broken)
		bad := "\x1b[2J\x1b]0;gone\a炉の三番目の溶湯👩‍🔧👍🏽é\u202e\u200f" + strings.Repeat("long ", 60) + "\r\n\t\x00"
		e := d.ended
		e.Name, e.Record, e.Reason, e.NextID, e.Override, e.Source, e.Saved = bad, bad, bad, bad, bad, bad, bad
		e.Bar.ID, e.Bar.Melt, e.Bar.Alloy = bad, bad, bad
		e.Remarks, e.Results.Remarks = []string{bad, ""}, []string{bad}
		e.Lines = append(e.Lines, bad, "", "outcome")
		d.view.Bars = []bench.Bar{{Specimen: bad, Melt: bad, Outcome: bad, Strength: bad}, {Melt: bad}}
		return d, nil
	},
	"help": func(*testing.T) (*fakeDesk, []string) { return endedDesk(pull.Tension, pull.Broken), []string{"?"} },
}
