package budget_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"draghand/internal/budget"
	"draghand/internal/calib"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/sim"
	"draghand/internal/specimen"
)

// shop is a rig file and the bars that are pulled on it.
type shop struct {
	name   string
	rig    *rig.Rig         // as stated
	bar    float64          // mm, turned to ± 0.8 % of it
	mike   float64          // mm, ± of the micrometer, as stated
	rubs   [2]float64       // least and most true friction; both 0: what the file states
	around func(d *drawn)   // changes what was drawn
	told   func(r *rig.Rig) // changes what the budget is told, for a budget that must fail
	cell   bool             // calibrated with a cell in the specimen's place before each pull
}

// drawn are the errors of one simulated pull, each evenly likely within what the
// rig file states.
type drawn struct {
	area, friction  float64 // m², fraction
	near, far, walk float64 // m, m, share
	gauge           float64 // Pa at the peak
	mike            float64 // m
}

const pullRate = 100 // readings a second

// result is one pull against the truth.
type result struct {
	err           error
	truth, value  float64
	u, low, high  float64 // first order's u, Monte Carlo's ends
	expanded      float64
	agrees, apart bool // the two ways; the strength stated is not the chain's
}

// one pull: the true rig goes to the simulated rig, the stated one to the engine
// and the budget. A limit of error of the gauge holds wherever it is read, so the
// error at the peak is drawn, and made by a gain: the zero takes off what is there
// without a load.
func (s *shop) one(x *sim.Sim, alloy string, seed uint64, draws int) (out result) {
	random := rand.New(rand.NewPCG(seed, 4711))
	even := func(limit float64) float64 { return limit * (2*random.Float64() - 1) }
	stated := s.rig
	d := drawn{
		area: even(float64(stated.Ram.AreaTol)), friction: stated.Ram.Friction + even(stated.Ram.FrictionBand),
		near: even(float64(stated.Path.ArmTol)), far: even(float64(stated.Path.ArmTol)), walk: -stated.Path.Walk() * random.Float64(),
		gauge: even(1), mike: even(s.mike * si.Millimetre),
	}
	if s.rubs[1] > 0 {
		d.friction = s.rubs[0] + (s.rubs[1]-s.rubs[0])*random.Float64()
	}
	if s.around != nil {
		s.around(&d)
	}
	size := s.bar * si.Millimetre * (1 + even(0.008))

	real := *stated
	real.Ram.Area += si.Area(d.area)
	real.Ram.Friction = d.friction
	near, far := float64(real.Path.SpecimenArm)+d.near, float64(real.Path.FarArm)+d.far
	real.Path.Share = far/(near+far) + d.walk
	o := sim.Options{Rig: &real, Alloy: alloy, Seed: seed, Diameter: si.Length(size), Rate: pullRate}
	if out.err = x.Renew(o); out.err != nil {
		return out
	}
	peak := float64(x.Truth().PeakGauge)
	limit := stated.Sensor.Accuracy * float64(stated.Sensor.High-stated.Sensor.Low)
	if stated.Sensor.AccuracyOfReading {
		limit = stated.Sensor.Accuracy * peak
	}
	real.Sensor.High = stated.Sensor.High / si.Pressure(1+d.gauge*limit/peak)
	if out.err = x.Renew(o); out.err != nil {
		return out
	}
	out.truth = float64(x.Truth().Strength)
	if s.cell {
		if stated, out.err = held(stated, &real, random); out.err != nil {
			return out
		}
	}

	bar := specimen.Specimen{Simulated: true, Alloy: alloy, Diameters: []si.Length{si.Length(size + d.mike)}, SizeU: si.Length(s.mike * si.Millimetre)}
	e := pull.New(pull.Config{Kind: pull.Tension, Rig: stated, Area: bar.Area()})
	for end := x.Truth().EndAt + 3e9; ; {
		smp, ok := x.Next()
		if !ok || smp.T > end {
			break
		}
		e.Step(pull.Reading{T: smp.T, Raw: smp.Raw})
	}
	e.Step(pull.Reading{T: e.State().T, Mark: pull.End})
	st := e.State()
	if !st.Zero.Set || !(st.Peak.Gauge > 0) {
		out.err = fmt.Errorf("seed %d: no zero or no peak", seed)
		return out
	}
	c := stated.Chain()
	onePa := float64(c.Specimen(2*st.Peak.Gauge)-c.Specimen(st.Peak.Gauge)) / float64(st.Peak.Gauge)
	p := budget.Peak{
		Gauge: st.Peak.Gauge, Noise: st.Noise, Median: 3, Bias: si.Pressure(float64(st.PeakBias) / onePa),
		ApartLag: si.Pressure(float64(st.Apart.Lag) / onePa), ApartMost: si.Pressure(float64(st.Apart.Most) / onePa),
		ZeroU: budget.ZeroU(st.Zero.SD, c.Step(), 2*pullRate, st.Zero.Return),
	}
	tell := *stated
	if s.told != nil {
		s.told(&tell)
	}
	b := budget.For(&tell, bar, p, draws, seed)
	if b == nil || b.MonteCarlo == nil {
		out.err = fmt.Errorf("seed %d: no budget", seed)
		return out
	}
	out.value, out.u, out.expanded = b.ValuePa, b.UPa, b.ExpandedPa
	out.low, out.high, out.agrees = b.MonteCarlo.LowPa, b.MonteCarlo.HighPa, b.MonteCarlo.Agrees
	out.apart = math.Abs(b.ValuePa/float64(si.StressOn(st.Peak.Specimen, bar.Area()))-1) > 1e-9
	return out
}

// What a simulated cell is off by, ours: a gain with this standard uncertainty,
// and the scatter of its readings.
const (
	cellU       = 0.002
	cellScatter = 50.0 // N
)

// held is the stated rig with a calibration taken on the true one: ten points from
// 5 to 45 kN on the way up.
func held(stated, real *rig.Rig, random *rand.Rand) (*rig.Rig, error) {
	run := calib.Run{
		Rig: stated, At: rig.AtSpecimen, Made: time.Date(2026, 11, 2, 9, 0, 0, 0, time.UTC),
		Reference: calib.Reference{Text: "a cell", Certificate: "simulated", U: cellU},
	}
	gain := 1 + cellU*random.NormFloat64()
	c := real.Chain()
	for i := range 10 {
		f := (5 + 40*float64(i)/9) * si.Kilonewton
		told := c.PressureForSpecimen(si.Force(f)) * stated.Sensor.High / real.Sensor.High
		run.Points = append(run.Points, calib.Point{Reference: f*gain + cellScatter*random.NormFloat64(), Gauge: told, Direction: calib.Rising, Run: 1})
	}
	a, err := calib.Reckon(run, calib.Options{Simulated: true})
	if err != nil {
		return nil, err
	}
	return stated.Calibrated(&a.Calibration)
}

// covered is in how many pulls of the seeds 1 to pulls the true strength lies
// within each of the two intervals, and the rms of the error over u.
func (s *shop) covered(t *testing.T, pulls, draws int) (first, trial int, rms float64) {
	t.Helper()
	alloys := sim.Alloys()
	out := make([]result, pulls)
	var wg sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		wg.Go(func() {
			x := new(sim.Sim)
			for i := w; i < pulls; i += workers {
				out[i] = s.one(x, alloys[i%len(alloys)], uint64(i+1), draws)
			}
		})
	}
	wg.Wait()
	var off, wide, drawnWide float64
	agree := 0
	for i, o := range out {
		if o.err != nil {
			t.Fatalf("%s: pull %d: %v", s.name, i+1, o.err)
		}
		if o.apart {
			t.Fatalf("%s: pull %d: the budget's strength is not the chain's", s.name, i+1)
		}
		d := o.value - o.truth
		if math.Abs(d) <= o.expanded {
			first++
		}
		if o.truth >= o.low && o.truth <= o.high {
			trial++
		}
		if o.agrees {
			agree++
		}
		n := float64(pulls)
		rms += d * d / (o.u * o.u) / n
		off += d / o.truth / n
		wide += o.expanded / o.truth / n
		drawnWide += (o.high - o.low) / 2 / o.truth / n
	}
	rms = math.Sqrt(rms)
	per := func(in int) float64 { return 100 * float64(in) / float64(pulls) }
	t.Logf("%s: %d pulls: first order %.1f %% covered (± %.2f %% of the strength), Monte Carlo %.1f %% (± %.2f %%); one SD of such a count %.1f %%; rms error %.3f u, mean error %+.2f %%, %d agree",
		s.name, pulls, per(first), 100*wide, per(trial), 100*drawnWide, 100*math.Sqrt(0.05*0.95/float64(pulls)), rms, 100*off, agree)
	return first, trial, rms
}

func parsed(t *testing.T, change ...string) *rig.Rig {
	t.Helper()
	r, err := rig.Parse("the example rig", []byte(strings.NewReplacer(change...).Replace(rig.Example())))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// measured is the example rig with a friction that somebody has measured: one
// stated as 0 ± 0.02 can only lie on one side.
func measured(t *testing.T) *shop {
	return &shop{name: "example rig, friction 0.03 ± 0.02", rig: parsed(t, `friction = "0 ± 0.02"`, `friction = "0.03 ± 0.02"`), bar: 12.5, mike: 0.01}
}

// A short run of what TestLongCoverage does. A count of 60 that is covered with 95 %
// lies under 53 once in 150 times; these seeds are fixed.
func TestCoverage(t *testing.T) {
	s := measured(t)
	first, trial, rms := s.covered(t, 60, 5000)
	if first < 53 || trial < 53 {
		t.Errorf("the true strength lies within the interval in %d and %d of 60", first, trial)
	}
	// Of 60 normal errors the rms lies within 0.73 and 1.27 with 99.7 %.
	if rms < 0.73 || rms > 1.27 {
		t.Errorf("the errors come to %.2f u", rms)
	}
	// The same pulls with a budget that knows nothing of the friction and the gauge.
	s.name = "friction and gauge left out"
	s.told = func(r *rig.Rig) { r.Ram.FrictionBand, r.Sensor.Accuracy = 0, 0 }
	if first, trial, rms = s.covered(t, 60, 5000); first >= 53 || trial >= 53 || rms < 1.27 {
		t.Errorf("such a budget passes: %d and %d of 60, %.2f u", first, trial, rms)
	}
}

// The goal of the issue, on the rig that states what it says it does: 930 to 970 of
// 1,000. The others show what it hangs on.
func TestLongCoverage(t *testing.T) {
	if os.Getenv("DRAGHAND_LONG") == "" {
		t.Skip("works out some thousands of simulated pulls: set DRAGHAND_LONG")
	}
	s := measured(t)
	first, trial, _ := s.covered(t, 1000, 100_000)
	if first < 930 || first > 970 || trial < 930 || trial > 970 {
		t.Errorf("the true strength lies within the first order's interval in %d, the Monte Carlo's in %d of 1000", first, trial)
	}
	as := measured(t)
	as.name, as.rig, as.rubs = "as it stands, friction 0 ± 0.02, true 0 to 0.02", parsed(t), [2]float64{0, 0.02}
	gain := measured(t)
	gain.name = "gauge 2 % of full scale rules all"
	gain.rig = parsed(t, `friction = "0 ± 0.02"`, `friction = "0.03 ± 0.005"`, `accuracy = "0.5 % of full scale"`, `accuracy = "2 % of full scale"`)
	thin := measured(t)
	thin.name, thin.bar, thin.mike = "6 mm bars, micrometer ± 0.05 mm", 6, 0.05
	flat := measured(t)
	flat.name = "flat face of 20 mm"
	flat.rig = parsed(t, `friction = "0 ± 0.02"`, `friction = "0.03 ± 0.02"`, `bearing = "roller"`, "bearing = \"flat\"\nbearing_width = \"20 mm\"\n#")
	pump := measured(t)
	pump.name = "actuator, gauge 1 % of the reading, weight on the ram"
	pump.rig = parsed(t, `role = "sensor"`, `role = "actuator"`, `friction = "0 ± 0.02"`, `friction = "0.03 ± 0.02"`, `accuracy = "0.5 % of full scale"`, `accuracy = "1 % of reading"`,
		`# weight = "12 kgf"`, `weight = "12 kgf"`, `# ram_pushes = "up"`, `ram_pushes = "up"`)
	centre := measured(t)
	centre.name = "both arms off by the same centre line"
	centre.around = func(d *drawn) { d.far = -d.near }
	cell := measured(t)
	cell.name, cell.cell = "calibrated with a cell of 0.2 % (u) in the specimen's place", true
	for _, s := range []*shop{as, gain, thin, flat, pump, centre, cell} {
		s.covered(t, 1000, 20_000)
	}
	many := measured(t)
	many.name += ", seeds 1 to 10000"
	many.covered(t, 10_000, 20_000)
}
