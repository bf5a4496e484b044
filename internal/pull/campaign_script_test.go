package pull_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/sim"
)

// newScript draws what the simulator is told to do, by an index and a rate.
func newScript(index int, rate float64, rigs map[int]*campaignRig, strength map[string]float64) (scenario, sim.Options) {
	r := rand.New(rand.NewPCG(uint64(index), 1e6+uint64(rate)))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	logBetween := func(a, b float64) float64 { return a * math.Pow(b/a, r.Float64()) }
	chance := func(p float64) bool { return r.Float64() < p }
	alloys := sim.Alloys()
	s := scenario{
		index: index, rate: rate, seed: r.Uint64(), bits: []int{10, 12, 12, 16}[r.IntN(4)],
		alloy: alloys[r.IntN(len(alloys))], share: between(0.2, 1.25), noise: logBetween(campaignNoiseLow, campaignNoiseHigh),
		end: endBreak, endAt: 1,
	}
	o := sim.Options{
		Rig: rigs[s.bits].rig, Alloy: s.alloy, Seed: s.seed, Rate: rate, Noise: s.noise,
		Diameter: si.Length(math.Sqrt(s.share * rigs[s.bits].force / strength[s.alloy] * 4 / math.Pi)),
	}
	do := func(a sim.Act) { o.Script = append(o.Script, a) }
	if chance(0.15) {
		do(sim.Act{Kind: sim.Preload})
	}
	if chance(0.25) {
		do(sim.Act{Kind: sim.Slip, Share: between(0.1, 0.9)})
	}
	if chance(0.15) {
		do(sim.Act{Kind: sim.Pause, Share: between(0.2, 0.9)})
	}
	if chance(0.2) {
		do(sim.Act{Kind: sim.Spike})
	}
	if chance(0.05) {
		do(sim.Act{Kind: sim.Giving, Share: between(0.4, 0.9)})
		s.giveAt = 0.5
	}
	switch p := r.Float64(); {
	case p < 0.25:
		a := sim.Act{Kind: sim.LetOff, Share: between(0.3, 0.98), For: seconds([]float64{0.2, 1, 5}[r.IntN(3)])}
		if chance(0.3) {
			a.Again = seconds(between(1, 4))
		} else {
			s.end = endLetOff
		}
		do(a)
	case p < 0.32:
		do(sim.Act{Kind: sim.Fade})
	case p < 0.42:
		do(sim.Act{Kind: sim.Flaw, Share: between(0.3, 0.95)})
	case p < 0.55:
		do(sim.Act{Kind: sim.Tear, For: seconds(logBetween(0.003, 0.05))})
	case p < 0.62:
		o.Kind = sim.Proof
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s", "do")
	for _, a := range o.Script {
		fmt.Fprintf(&b, " %s(share %.2f size %.2f for %v again %v)", a.Kind, a.Share, a.Size, a.For, a.Again)
	}
	if o.Kind != "" {
		fmt.Fprintf(&b, " %s", o.Kind)
	}
	s.script = b.String()
	return s, o
}

// fadedTo of its peak is all that a bar carries which has faded, whether what is
// left of it snaps or not. Bars of the open traces that snap do so from 73 % and
// more.
const fadedTo = 0.3

// playScript makes the readings of a script.
func (tr *track) playScript(index int, rate float64, rigs map[int]*campaignRig, strength map[string]float64) error {
	s, o := newScript(index, rate, rigs, strength)
	var sm *sim.Sim
	var err error
	for range 8 { // a press whose strokes do not come out in time says so
		if sm, err = sim.New(o); err == nil {
			break
		}
		o.Seed++
	}
	if err != nil {
		return fmt.Errorf("%s: %w", s, err)
	}
	truth := sm.Truth()
	s.offset = float64(truth.ZeroOffset)
	*tr = track{
		rig: rigs[s.bits], kind: pull.Tension, course: tr.course[:0],
		p: tr.p[:0], out: tr.out[:0], spike: tr.spike[:0], letOff: tr.letOff[:0], slips: tr.slips[:0],
		sd: float64(truth.NoiseSD), area: truth.Area, yield: 0.9 * truth.Yield,
	}
	if o.Kind == sim.Proof {
		tr.kind = pull.Proof
	}
	switch {
	case truth.Outcome == sim.OutcomeBroken && float64(truth.BreakForce) < fadedTo*float64(truth.PeakSpecimen):
		s.end = endFade // so little was left that what snapped at last was a thread
	case truth.Outcome == sim.OutcomeBroken:
		s.end, tr.breakAt = endBreak, truth.BreakAt
	case truth.Outcome == sim.OutcomeFaded:
		s.end = endFade
	default:
		s.end = endLetOff
	}
	tr.s = s
	tr.course = append(tr.course, 0, 0) // there is none to ask for
	for _, ev := range truth.Events {
		w := window{ev.At, max(ev.At, ev.Until)}
		switch ev.Kind {
		case sim.EventKind(sim.LetOff), sim.EventKind(sim.Preload):
			tr.letOff = append(tr.letOff, w)
		case sim.EventKind(sim.Slip):
			tr.slips = append(tr.slips, w)
		}
	}
	far := max(8*tr.sd, 0.03*float64(tr.rig.chain.Range())) // farther off the truth than noise gets: a spike
	for end := truth.EndAt + 4*time.Second; ; {
		smp, ok := sm.Next()
		if !ok || smp.T > end {
			break
		}
		p := float64(smp.TruePressure)
		tr.peak = max(tr.peak, p)
		sent, _ := tr.rig.chain.Pressure(smp.Raw)
		tr.p, tr.spike = append(tr.p, p), append(tr.spike, math.Abs(float64(sent)-p-s.offset) > far)
		tr.out = append(tr.out, pull.Reading{T: smp.T, Raw: smp.Raw})
	}
	return nil
}
