package tui

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"draghand/internal/calib"
	livecal "draghand/internal/calib/live"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// fakeCalibrator is a calibration run that stands still, and keeps what was asked of
// it.
type fakeCalibrator struct {
	mu      sync.Mutex
	view    livecal.View
	asked   []string
	takeErr error
	zeroErr error
	saveErr error
	dropErr error
}

var _ Calibrator = (*fakeCalibrator)(nil)

func (c *fakeCalibrator) View() *livecal.View {
	c.mu.Lock()
	defer c.mu.Unlock()
	v := c.view
	v.Run.Points = slices.Clone(v.Run.Points)
	return &v
}

func (c *fakeCalibrator) ask(format string, a ...any) {
	c.asked = append(c.asked, fmt.Sprintf(format, a...))
}

func (c *fakeCalibrator) calls() []string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return slices.Clone(c.asked)
}

func (c *fakeCalibrator) Take(text string) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.ask("take %q", text)
	if c.takeErr != nil {
		return c.takeErr
	}
	f, err := si.ParseForce(text)
	if err != nil {
		return err
	}
	pt := *c.view.Steady
	pt.Reference, pt.Text = float64(f), text
	c.view.Run.Points = append(c.view.Run.Points, pt)
	c.view.Saved, c.view.Taken = "", true
	return nil
}

func (c *fakeCalibrator) Drop(i int) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.ask("drop %d", i)
	if c.dropErr == nil {
		c.view.Run.Points = slices.Delete(slices.Clone(c.view.Run.Points), i, i+1)
		c.view.Saved = ""
	}
	return c.dropErr
}

func (c *fakeCalibrator) Zero() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.ask("zero")
	return c.zeroErr
}

func (c *fakeCalibrator) Save() (string, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.ask("save")
	if c.saveErr != nil {
		return "", c.saveErr
	}
	c.view.Saved = "/home/somebody/draghand/pulls/calibrations/2026-11-25T140322Z-example-rig.json"
	return c.view.Saved, nil
}

func (c *fakeCalibrator) Acknowledge() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.ask("acknowledge")
	c.view.Alarms = slices.Clone(c.view.Alarms)
	for i := range c.view.Alarms {
		c.view.Alarms[i].Acked = true
	}
}

func (c *fakeCalibrator) Close() { c.mu.Lock(); defer c.mu.Unlock(); c.ask("close") }

// calibrating is a run on the example rig with a cell in the specimen's place, its
// zero taken, with so many points: rising in steps of 5 kN, then falling. The
// reference says 1.4 % more than the rig; the scatter is written down here.
func calibrating(rising, falling int) *fakeCalibrator {
	scatter := []float64{12, -20, 9, 26, -31, 5, 18, -22}
	r := exampleRig()
	chain := r.Chain()
	c := &fakeCalibrator{}
	c.view = livecal.View{
		Rig: r, Units: si.US, Source: "sim:?kind=steps", HaveZero: true, Zero: 0.4e5,
		Live: 0.05e5, Force: chain.Specimen(0.05e5), Going: calib.Rising,
		Run: calib.Run{
			Rig: r, At: rig.AtSpecimen, Zero: 825,
			Reference: calib.Reference{Text: "borrowed 50 kN cell", Certificate: "4711, 2026-03-02", U: 0.0012},
		},
	}
	for i := range rising {
		c.point(float64(i+1)*5000, 2.13e-3, scatter[i%len(scatter)], calib.Rising)
	}
	for i := range falling {
		c.point(float64(rising-1-i)*5000, 2.09e-3, scatter[(i+3)%len(scatter)], calib.Falling)
	}
	if rising >= 3 {
		c.reckon()
	}
	return c
}

// point adds a point at a value of the reference in N, as far off a slope in N/Pa as
// given in N.
func (c *fakeCalibrator) point(ref, slope, off float64, d calib.Direction) {
	c.view.Run.Points = append(c.view.Run.Points, calib.Point{
		Reference: ref, Gauge: si.Pressure((ref - off) / slope), SD: 0.03e5, Readings: 400, Direction: d, Run: 1,
	})
	last := c.view.Run.Points[len(c.view.Run.Points)-1]
	c.view.Live, c.view.Going = last.Gauge, d
	c.view.Force = c.view.Rig.Chain().Specimen(last.Gauge)
}

// reckon fits the rising points by plain least squares, for the screen to have
// something to draw: what a run says is another package's and is held there.
func (c *fakeCalibrator) reckon() {
	var n, sx, sy, sxx, sxy, syy float64
	low, high := math.Inf(1), 0.0
	for _, p := range c.view.Run.Points {
		if p.Direction == calib.Falling {
			continue
		}
		x, y := float64(p.Gauge), p.Reference
		n, sx, sy, sxx, sxy, syy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y, syy+y*y
		low, high = min(low, x), max(high, x)
	}
	slope := (n*sxy - sx*sy) / (n*sxx - sx*sx)
	offset := (sy - slope*sx) / n
	zero := sxy / sxx
	sd0 := math.Sqrt((syy - zero*sxy) / (n - 1))
	sd1 := math.Sqrt(max(0, syy-offset*sy-slope*sxy) / (n - 2))
	within := sxx - sx*sx/n
	a := &calib.Answer{
		Line: calib.Line{
			Offset: offset, Slope: slope, OffsetU: sd1 * math.Sqrt(sxx/n/within), SlopeU: sd1 / math.Sqrt(within), SD: sd1, DoF: int(n) - 2,
		},
		Zero:  calib.Line{Slope: zero, SlopeU: sd0 / math.Sqrt(sxx), SD: sd0, DoF: int(n) - 1, ThroughZero: true},
		Taken: "through-zero", TakenWhy: "the free line's offset is +1 lbf ± 10 lbf (95 %), which may be nothing: no pressure is no force",
		Suspect: -1,
		Claims:  []string{"compared with borrowed 50 kN cell at 8 levels from 1,124 lbf to 8,992 lbf: as found off by up to -1.41 %"},
	}
	a.Calibration.Line = rig.CalibrationLine{
		Slope: zero, ThroughZero: true, Low: si.Pressure(low), High: si.Pressure(high), Points: int(n), SD: sd0, Mean: si.Pressure(sx / n), SumSquares: sxx,
	}
	down := false
	for _, p := range c.view.Run.Points {
		a.Residuals = append(a.Residuals, calib.Residual{Residual: p.Reference - zero*float64(p.Gauge)})
		down = down || p.Direction == calib.Falling
	}
	if down {
		a.Rubbing = &rig.MeasuredRubbing{Friction: 0.0093, FrictionU: 0.0006, DoF: 6}
	} else {
		a.Remarks = []string{"0 points falling: the friction is not known from this run", "one run only: how well it comes back is not known"}
	}
	c.view.Answer = a
}

// standing is the run with a reading that has stood still for a share of the time;
// 1: it is steady.
func (c *fakeCalibrator) standing(force si.Force, share float64) *fakeCalibrator {
	at := c.view.Rig.Chain().PressureForSpecimen(force)
	c.view.Live, c.view.Force, c.view.Progress = at, force, share
	if share >= 1 {
		c.view.Moving = ""
		c.view.Steady = &calib.Point{Gauge: at, SD: 0.03e5, Readings: 400, Direction: c.view.Going, Run: 1}
	}
	return c
}

func (c *fakeCalibrator) edit(f func(v *livecal.View)) *fakeCalibrator {
	f(&c.view)
	return c
}

// badPoint is a run whose fourth point was read wrong, by 400 N.
func badPoint() *fakeCalibrator {
	c := calibrating(8, 0)
	c.view.Run.Points[3].Reference += 400
	c.reckon()
	c.view.Answer.Suspect = 3
	c.view.Answer.SuspectWhy = "point 4 says 4,586 lbf where the others would have 4,490 lbf, +96 lbf off: it was read before the reading had settled"
	return c
}

// calibrateStates are the moments of a calibration that every size of screen is held
// against: a run, and the keys that lead there. All are simulated.
var calibrateStates = map[string]func() (*fakeCalibrator, []string){
	"no-zero": func() (*fakeCalibrator, []string) {
		return calibrating(0, 0).edit(func(v *livecal.View) { v.HaveZero, v.Zero, v.ZeroNote = false, 0, "wait 2 s with no load on the rig" }), nil
	},
	"zero-refused": func() (*fakeCalibrator, []string) {
		c := calibrating(0, 0).edit(func(v *livecal.View) {
			v.HaveZero, v.Live, v.Force = false, 14.3e5, 3003
			v.ZeroNote = "the reading lies 14.3 bar from the last zero of this rig, 7.0 bar allowed: take all load off; if there is none, ask for the zero"
		})
		c.zeroErr = errors.New("no zero taken: the reading lies 14.3 bar from the sensor's own zero, 14.0 bar allowed: take all load off; if there is none, look at the sensor and at its numbers in the rig file")
		return c, []string{"z"}
	},
	"first": func() (*fakeCalibrator, []string) { return calibrating(0, 0), nil },
	"moving": func() (*fakeCalibrator, []string) {
		return calibrating(2, 0).edit(func(v *livecal.View) {
			v.Live, v.Force, v.Moving = 61e5, 12810, "it rises by 41 psi a second"
		}), nil
	},
	"settling": func() (*fakeCalibrator, []string) { return calibrating(2, 0).standing(14800, 0.61), nil },
	"steady":   func() (*fakeCalibrator, []string) { return calibrating(2, 0).standing(14800, 1), nil },
	"typing": func() (*fakeCalibrator, []string) {
		return calibrating(2, 0).standing(14800, 1), []string{"1", "5", " ", "k", "N"}
	},
	"typing-bare": func() (*fakeCalibrator, []string) {
		return calibrating(2, 0).standing(14800, 1), []string{"1", "5", " ", "k", "N", "enter", "2", "0"}
	},
	"refused": func() (*fakeCalibrator, []string) {
		c := calibrating(2, 0).standing(14800, 1)
		c.takeErr = errors.New("no point taken: the reading does not stand still: it falls by 4 psi a second. Hold the load, and read the reference again then")
		return c, []string{"1", "5", " ", "k", "N", "enter"}
	},
	"three": func() (*fakeCalibrator, []string) { return calibrating(3, 0).standing(14800, 1), nil },
	"up-and-down": func() (*fakeCalibrator, []string) {
		return calibrating(8, 7), []string{"up", "up"}
	},
	"up-and-down-scale": func() (*fakeCalibrator, []string) { return calibrating(8, 7), []string{"f"} },
	"bad-point":         func() (*fakeCalibrator, []string) { return badPoint(), []string{"up", "up", "up", "up"} },
	"drop": func() (*fakeCalibrator, []string) {
		return badPoint(), []string{"up", "up", "up", "up", "d"}
	},
	"saved": func() (*fakeCalibrator, []string) {
		return calibrating(8, 7).edit(func(v *livecal.View) {
			after := 827.0
			v.Live, v.Force, v.Run.ZeroAfter = 0.05e5, 10, &after
		}), []string{"s", "up"}
	},
	"saved-then-more": func() (*fakeCalibrator, []string) {
		return calibrating(8, 6).standing(4900, 1), []string{"s", "5", "k", "N", "enter"}
	},
	"not-saved": func() (*fakeCalibrator, []string) {
		c := calibrating(8, 7)
		c.saveErr = errors.New(`write "/home/somebody/draghand/pulls/calibrations/2026-11-25.json": no space left on device`)
		return c, []string{"s"}
	},
	"lost": func() (*fakeCalibrator, []string) {
		return calibrating(4, 0).edit(func(v *livecal.View) { v.Fault = "no reading for 2.1 s: look at the cable, or plug the board in again" }), nil
	},
	"opening": func() (*fakeCalibrator, []string) {
		return calibrating(0, 0).edit(func(v *livecal.View) {
			v.HaveZero, v.Fault = false, "no reading has come yet"
		}), nil
	},
	"over-range": func() (*fakeCalibrator, []string) {
		return calibrating(8, 0).edit(func(v *livecal.View) { v.Signal = rig.AboveBand }), nil
	},
	"open-circuit": func() (*fakeCalibrator, []string) {
		return calibrating(2, 0).edit(func(v *livecal.View) { v.Signal = rig.Open }), nil
	},
	"caution": func() (*fakeCalibrator, []string) { return calibrating(7, 0).standing(36.8e3, 0.2), nil },
	"warning": func() (*fakeCalibrator, []string) { return calibrating(8, 0).standing(44e3, 0), nil },
	"stop":    func() (*fakeCalibrator, []string) { return calibrating(8, 0).standing(47.9e3, 0), nil },
	"stop-acknowledged": func() (*fakeCalibrator, []string) {
		c := calibrating(8, 0).standing(47.9e3, 0)
		c.view.Alarms = []pull.Alarm{{Level: pull.Stop, Limit: "link bar", Text: "link bar at its limit", Load: 48.2e3, Allow: 48e3, At: rig.AtSides}}
		return c, []string{"a"}
	},
	"second-run": func() (*fakeCalibrator, []string) {
		c := calibrating(8, 0)
		for i := range 3 {
			c.point(float64(i+1)*5000, 2.13e-3, []float64{-9, 14, 21}[i], calib.Rising)
			c.view.Run.Points[len(c.view.Run.Points)-1].Run = 2
		}
		c.reckon()
		return c, nil
	},
	"leaving": func() (*fakeCalibrator, []string) { return calibrating(4, 0), []string{"q"} },
	"at-gauge": func() (*fakeCalibrator, []string) {
		c := calibrating(5, 0)
		c.view.Units = si.Metric
		c.view.Run.At, c.view.Run.Reference = rig.AtGauge, calib.Reference{Text: "reference gauge of 0.25 %"}
		for i := range c.view.Run.Points {
			p := &c.view.Run.Points[i]
			p.Reference, p.Gauge = float64(i+1)*30e5, si.Pressure(float64(i+1)*30.2e5+[]float64{0.1e5, -0.08e5, 0.06e5, 0.1e5, -0.12e5}[i])
		}
		c.view.Live = c.view.Run.Points[4].Gauge
		c.reckon()
		c.view.Answer.Claims = []string{"compared with reference gauge of 0.25 % at 5 levels from 30.0 bar to 150.0 bar: as found off by up to +1.03 %"}
		return c, nil
	},
	"no-limits": func() (*fakeCalibrator, []string) {
		c := calibrating(3, 0)
		for i := range c.view.Rig.Limits {
			c.view.Rig.Limits[i] = rig.Limit{Name: c.view.Rig.Limits[i].Name, Kind: rig.Unknown, Factor: 1}
		}
		return c, nil
	},
	"hostile": func() (*fakeCalibrator, []string) {
		bad := "\x1b[2J\x1b]0;gone\a炉の三番目👍🏽é\u202e" + strings.Repeat("long ", 40) + "\r\n\t\x00"
		c := badPoint()
		c.view.Rig.Name, c.view.Source, c.view.Run.Reference.Text, c.view.Saved = bad, bad, bad, bad
		a := c.view.Answer
		a.TakenWhy, a.SuspectWhy, a.Claims, a.Remarks = bad, bad, []string{bad, ""}, []string{bad}
		c.view.Run.Points[2].Direction = calib.Direction(bad)
		for i := range c.view.Rig.Limits {
			c.view.Rig.Limits[i].Name = bad
		}
		return c, nil
	},
	"help": func() (*fakeCalibrator, []string) { return calibrating(3, 0).standing(44e3, 0), []string{"?"} },
}

// calibrateOpen is the app of a calibration alone.
func calibrateOpen(c Calibrator, w, h int, profile termenv.Profile) App {
	a := calibrateApp(c, Options{Out: os.Stdout})
	r := lipgloss.NewRenderer(os.Stdout)
	r.SetHasDarkBackground(true)
	r.SetColorProfile(profile)
	a.theme = themeOf(r)
	a.front = newCalibrateScreen(c, a.theme, nil)
	return tell(a, tea.WindowSizeMsg{Width: w, Height: h})
}

// calibrateFrame is a state at a size.
func calibrateFrame(t *testing.T, name string, w, h int, p termenv.Profile) App {
	c, keys := calibrateStates[name]()
	a, _ := drive(t, calibrateOpen(c, w, h, p), keys...)
	return a
}
