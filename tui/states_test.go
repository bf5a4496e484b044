package tui

import (
	"math"
	"strings"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// states are the moments of a pull that every size of screen is held against,
// by name. All are simulated.
var states = map[string]func() *fake{
	"no-snapshot": func() *fake { return &fake{} },
	"slack": func() *fake {
		f := at(1.5, 38e3)
		f.snap.State.Zero = pull.Zero{}
		f.snap.Source.Status = "waiting"
		return f
	},
	"zeroed": func() *fake { return at(3.5, 38e3) },
	"zero-refused": func() *fake {
		f := at(3.5, 38e3)
		f.snap.State.Zero = pull.Zero{Refused: refusal}
		return f
	},
	"loading": func() *fake { return at(22, 38e3) },
	"caution": func() *fake { return at(26, 46e3).raise(pull.Caution, nil) },
	"warning": func() *fake {
		return at(34, 46e3).raise(pull.Caution, func(a *pull.Alarm) { a.Acked = true }).raise(pull.Warning, nil)
	},
	"stop": func() *fake { return at(36, 50e3).raise(pull.Stop, nil) },
	"stop-acknowledged": func() *fake {
		return at(36, 50e3).raise(pull.Stop, func(a *pull.Alarm) { a.Acked = true })
	},
	"stop-single": func() *fake {
		return at(30, 46e3).raise(pull.Stop, func(a *pull.Alarm) {
			a.Single, a.Returned, a.Load = true, true, 48.6e3
		})
	},
	"blind": blind,
	"stop-after-blind": func() *fake { // the force was out of sight for a moment, and the part is past its limit
		f := at(36, 50e3).raise(pull.Stop, nil)
		return f.raise(pull.Stop, func(a *pull.Alarm) {
			a.Limit, a.Blind, a.Returned = "", true, true
			a.Text = "cannot see the force: stop pumping (no reading for 0.5 s)"
		})
	},
	// The source ended under load: the pull is over, the rig is not let off.
	"stop-closed": func() *fake {
		return at(36, 50e3).raise(pull.Stop, nil).close(pull.Ended)
	},
	"blind-closed": func() *fake { return blind().close(pull.Ended) },
	"stop-and-caution": func() *fake {
		f := at(36, 50e3).raise(pull.Stop, func(a *pull.Alarm) { a.Acked = true })
		ram := &f.snap.State.Limits[0]
		ram.Load, ram.Ratio, ram.Level = 0.76*ram.Allowable, 0.76, pull.Caution
		return f.raise(pull.Caution, func(a *pull.Alarm) {
			a.Limit, a.Load, a.Allow, a.At = ram.Name, ram.Load, ram.Allowable, ram.At
		})
	},
	"ahead": func() *fake {
		f := at(22, 38e3).raise(pull.Warning, func(a *pull.Alarm) { a.Ahead = true })
		f.snap.State.Lead = 2400 * time.Millisecond
		return f
	},
	"broken-provisional": func() *fake {
		f := broken()
		f.snap.Closed, f.snap.Record.Saved = false, false
		f.snap.State.Break.Provisional = true
		f.snap.State.Outcome = ""
		return f
	},
	"broken-saved": broken,
	"yielded":      yielded,
	"giving": func() *fake {
		f := at(22, 38e3)
		f.snap.Remark = givingRemark
		return f
	},
	// Everything that has a line of its own at once.
	"giving-yielded-caution": func() *fake {
		f := yielded().raise(pull.Caution, nil)
		f.snap.Remark = givingRemark
		return f
	},
	"proof-loading":   func() *fake { return proof(16) },
	"holding":         func() *fake { return holding(12 * time.Second) },
	"held":            func() *fake { return holding(61 * time.Second) },
	"proof-let-off":   func() *fake { return holding(64 * time.Second).close(pull.LetOff) },
	"proof-too-short": func() *fake { return holding(41 * time.Second).close(pull.LetOff) },
	"crush-let-off": func() *fake {
		f := at(36, 38e3)
		f.snap.State.Kind = pull.Crush
		return f.close(pull.LetOff)
	},
	"faded": func() *fake { return at(43, 38e3).close(pull.Faded) },
	"record-failed": func() *fake {
		f := at(22, 38e3)
		f.snap.Record.Failed = `save to "/home/somebody/draghand/pulls/2026-11-25T140322Z-M1-3": write samples.csv: no space left on device`
		return f
	},
	"source-lost": func() *fake {
		f := at(3.5, 38e3)
		f.snap.Source.Status, f.snap.Source.Age = "lost", 4200*time.Millisecond
		f.snap.State.Seen = false
		f.snap.Err = "the port /dev/ttyACM0 went away: plug the board in again"
		return f
	},
	"hostile-names": func() *fake {
		f := at(26, 46e3)
		s := f.snap
		s.Specimen.ID = "\x1b[2J\x1b]0;gone\a12\r\n\t34\x00"
		s.Specimen.Melt = "炉の三番目の溶湯👩‍🔧👍🏽é́́́\u202e\u200f" + strings.Repeat("long ", 40)
		s.RigName = string([]byte{0xff, 0xfe, 'r', 0x9b, '3', '1', 'm'})
		s.Unknown = []string{"ピン\n\n", strings.Repeat("쇠", 200), "\x1b[31mpins"}
		s.Source.Name = "serial:" + strings.Repeat("/very/long/path", 30) + "\x1b[?1049l"
		s.Record.Name = strings.Repeat("記録", 80)
		s.State.Zero.Refused = "\x1b[2J" + strings.Repeat("遠すぎる ", 90)
		s.Err = "\x1bP+q\x1b\\trouble " + strings.Repeat("x", 300)
		s.Remark = "\x1b[2J\x00" + strings.Repeat("見よ ", 90)
		s.State.Limits[2].Name = "連結棒の長い名前\x1b[7m🔩🔩🔩🔩"
		s.State.Limits[0].Name = ""
		return f.raise(pull.Warning, nil)
	},
	"expected": func() *fake { return pumped(22, 38e3, 275e6, 330e6) },
	"expected-past": func() *fake {
		f := pumped(33, 46e3, 375e6, 480e6)
		f.snap.State.Strokes.Count, f.snap.State.Strokes.Gain = 22, 700
		return f
	},
	"blind-back": func() *fake {
		f := blind()
		s := &f.snap.State
		s.Alarms[0].Returned, s.Alarms[0].Text = true, "cannot see the force: stop pumping (the reading is open circuit)"
		s.Seen, s.Signal = true, 0
		return f
	},
	"stop-holding": func() *fake {
		f := holding(12*time.Second).raise(pull.Stop, func(a *pull.Alarm) { a.Load = 48.4e3 })
		f.snap.Remark = givingRemark
		return f
	},
	"paused": func() *fake {
		f := at(22, 38e3)
		f.snap.State.Phase, f.snap.State.Pace, f.snap.State.StressPace = pull.PastPeak, 0, 0
		return f
	},
	"many-limits": func() *fake {
		f := at(22, 38e3)
		for i := range 12 {
			l := f.snap.State.Limits[0]
			l.Name = "plate " + string(rune('a'+i))
			f.snap.State.Limits = append(f.snap.State.Limits, l)
		}
		return f
	},
	"no-limits": func() *fake {
		f := at(22, 38e3)
		f.snap.State.Limits, f.snap.State.Nearest = nil, -1
		f.snap.Unknown = nil
		return f
	},
	"nonsense": func() *fake {
		f := at(22, 38e3)
		s := &f.snap.State
		nan, inf := math.NaN(), math.Inf(1)
		s.Live.Specimen, s.Peak.Specimen, s.Peak.Stress = si.Force(nan), si.Force(inf), si.Stress(inf)
		s.Kind, s.Hold = pull.Proof, &pull.Hold{For: -time.Hour, Force: si.Force(nan), Lowest: si.Force(inf)}
		s.Yield = &pull.YieldDrop{Upper: pull.Point{T: -time.Hour, Specimen: si.Force(nan), Stress: si.Stress(nan)}}
		f.snap.Remark = "\x00\x1b"
		s.Pace, s.T, s.Lead = si.ForceRate(nan), -time.Hour, math.MaxInt64
		s.Limits[0].Ratio, s.Limits[1].PeakRatio, s.Limits[2].Ratio = nan, inf, -inf
		s.Limits[2].AtForce, s.Limits[1].AtForce = si.Force(nan), si.Force(inf)
		s.Limits[1].Level, s.Phase, s.Worst = 99, "\x1b[2J", 99
		s.Nearest = 77
		f.snap.Levels = rig.Alarm{Caution: nan, Warning: inf}
		f.bin = -1
		return f
	},
}

// yielded is a low-carbon steel: its upper yield is behind it, and a joint slipped.
func yielded() *fake {
	f := at(26, 38e3)
	f.snap.State.Slips = 2
	f.snap.State.Yield = &pull.YieldDrop{
		Upper: pull.Point{T: seconds(12), Specimen: 24e3, Stress: 195.6e6},
		Lower: pull.Point{T: seconds(12.4), Specimen: 23.2e3, Stress: 189.1e6},
	}
	return f
}

// givingRemark is the engine's longest.
const givingRemark = "a stroke gains 20 % of the best, under the specimen's yield: something other than the specimen may be giving: look at the link bar"

// proof is a proof of a made-up link to 20 kN for a minute.
func proof(t float64) *fake {
	f := at(t, 26e3)
	f.snap.State.Kind = pull.Proof
	f.snap.Proof = watch.Proof{Target: 20 * si.Kilonewton, Hold: time.Minute}
	return f
}

// holding is that proof, held for so long.
func holding(d time.Duration) *fake {
	f := proof(30)
	s := &f.snap.State
	s.Phase, s.Pace, s.StressPace, s.Lead = pull.Holding, 0, 0, 0
	s.Hold = &pull.Hold{From: seconds(22), For: d, Force: 20e3, Lowest: 19.6e3, Met: d >= time.Minute}
	return f
}

// refusal is the longest reason the engine gives for not taking a zero.
const refusal = "the readings lie -14.7 bar from the sensor's own zero, 14.0 bar allowed: take all load off the rig; " +
	"if there is none, look at the sensor and at its numbers in the rig file"

// blind is a pull under load whose sensor has come off.
func blind() *fake {
	f := at(24, 42e3).raise(pull.Stop, func(a *pull.Alarm) {
		*a = pull.Alarm{Level: pull.Stop, Blind: true, Text: "cannot see the force: stop pumping", Raised: a.Raised}
	})
	f.snap.State.Seen, f.snap.State.Signal = false, rig.Open
	f.snap.State.Faults, f.snap.State.Gaps = 512, 1
	return f
}

// broken is a pull after the break, closed and saved.
func broken() *fake {
	f := at(43, 38e3)
	s := &f.snap.State
	s.Phase, s.Outcome, s.Pace, s.StressPace = pull.Broken, pull.Broken, 0, 0
	s.Break = &pull.Break{T: seconds(fixtureBreaks), Specimen: s.Peak.Specimen - 210, Fall: 12 * time.Millisecond}
	s.Zero.HasReturn, s.Zero.Return = true, 0.4e5
	f.snap.Closed, f.snap.Record.Saved = true, true
	return f
}

// pumped is a pull by hand pump of a bar whose break is expected between two
// stresses.
func pumped(t, peak float64, low, high si.Stress) *fake {
	f := at(t, peak)
	f.snap.Specimen.ExpectLow, f.snap.Specimen.ExpectHigh = low, high
	f.snap.State.Strokes = pull.Strokes{Count: 12, Gain: 1800, Best: 2000}
	return f
}

// warningStory is what is told of a pull up to its warning.
var warningStory = []watch.Told{
	{T: 2 * time.Second, Text: "zero taken: quiet, ± 0.02 bar"},
	{T: seconds(5.1), Text: "loading"},
	{T: seconds(21.7), Text: "a slip: the force fell by 4 % and came back"},
	{T: seconds(26), Level: pull.Caution, Text: "caution: link bar carries 36.1 kN of 48.0 kN allowed: be ready to stop pumping"},
	{T: seconds(27.4), Text: "acknowledged: caution: link bar carries 36.1 kN of 48.0 kN allowed: be ready to stop pumping"},
	{T: seconds(33.2), Level: pull.Warning, Text: "warning: link bar carries 43.3 kN of 48.0 kN allowed: be ready to stop pumping"},
}
