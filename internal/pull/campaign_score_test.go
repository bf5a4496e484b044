package pull_test

import (
	"fmt"
	"math"
	"strings"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// score is what the engine made of one pull, held against the truth.
//
//   - missed break: the bar truly broke, and in the end the engine does not say
//     broken, or says so of another fall: one that lies over nearBreak away, or that
//     it told of before the true one. One that is found but over 50 ms off is
//     counted apart.
//   - false break: a break told where none was, and neither withdrawn nor taken
//     back as a slip until the end. Where it was taken back it is provisional.
//   - let-off called break: a false break within a true let-off, of the whole
//     load or of a preload, or at most nearBreak after it.
//   - missed stop by reading: a valid reading at or over a limit, with the zero
//     the engine uses, while no stop stands for it.
//   - missed stop by truth: the true load of two readings in a row is over a
//     limit by more than 3 SD of the noise, one count, the drift that the engine
//     allows a zero (0.05 % of the range) and, where it found none, the offset of
//     the transducer; and no stop stands.
//   - nuisance stop: a stop raised on a reading that is no lone spike while the
//     true load is under 95 % of every limit.
//   - tripped by a spike: the trip line, up until then, drops on a lone spike
//     under 95 % of every limit. Where the stop of an earlier spike has not returned
//     yet, that is the rule ("over it again 5 ms later") and counted apart.
type score struct {
	broke, letOff, over bool // what truly happened
	unzeroed            bool // the engine found no zero
	outcome             pull.Phase
	missedBreak         bool
	falseBreaks         int
	provisional         int // false ones taken back
	slipsTaken          int // of these: within a true slip, as designed
	letOffCalled        int
	letOffs             int // true ones, preloads counted
	quick, quickCalled  int // of these: those at most quickLetOff long
	missedByReading     int
	missedByTruth       int
	nuisance            int
	spikeTrips          int
	spikeStops          int  // marked as single: as designed
	spikePairs          int  // while the stop of an earlier one stands: as designed
	plain               bool // nothing interrupted the way up, so the strokes are those of one pump
	gave                bool // something else gave, under the yield of the bar
	givingTold          bool // something other than the specimen, it said
	warned              bool
	warnedFor           time.Duration // from the first warning to the limit

	timed    bool          // the break was found
	breakOff time.Duration // told less true
	peakOff  float64       // drag hand less true peak, SDs of noise and count together
	peakRel  float64       // drag hand less true peak over the true peak
	fairOff  float64       // drag hand less its expected bias less true peak, the same
	rawOff   float64       // largest single reading less true peak, the same
	readings int
}

// nearBreak is how far from the true break the time of a told one may lie to be
// taken for it: the engine's own time in which a fall that comes back was none.
const nearBreak = 200 * time.Millisecond

// quickLetOff parts the let-offs of about 0.2 s from 90 to 10 % (0.25 to 0.55 s in
// all, by their shape) from the slower ones.
const quickLetOff = 600 * time.Millisecond

// zeroMayDrift is how far, as a fraction of the range, the halves of a window may
// lie apart that is still quiet (docs/engine.md, "no drift").
const zeroMayDrift = 0.0005

// told is a break that the engine told.
type told struct {
	t         time.Duration // of the break
	at        time.Duration // when it was told
	withdrawn bool
}

// teller hears what the engine says to somebody; nil for nobody.
type teller func(format string, args ...any)

// judge runs an engine over a track and holds what it says against the truth.
func (tr *track) judge(tell teller) score {
	sc := score{broke: tr.breakAt > 0, letOffs: len(tr.letOff), letOff: tr.s.end == endLetOff}
	c := tr.rig
	cfg := pull.Config{Kind: tr.kind, Rig: c.rig, Area: tr.area, Yield: tr.yield}
	if tr.s.last {
		zero := c.raw(tr.s.offset)
		cfg.LastZero = &zero
	}
	e := pull.New(cfg)
	var (
		breaks []told
		zero   = 0.0
		margin = tr.margin(true)
		stops  = make([]bool, len(c.bounds)) // a stop stands
		stop   = c.rig.Alarm.Stop
		over   = 0
		limit  time.Duration // when the true load reached a limit
		first  time.Duration // when the first warning was raised
		tripOK = true        // before this reading
	)
	for n, r := range tr.out {
		trueRatio := c.ratio(tr.p[n], tr.p[n]+tr.s.offset)
		evs := e.Step(r)
		for _, ev := range evs {
			if tell != nil && ev.Kind != pull.EvPeak {
				tell("%9.3f s  %-9s %-9s %s (truly %.1f %% of the limit)", ev.T.Seconds(), ev.Kind, ev.Phase, ev.Text, 100*trueRatio)
			}
			switch ev.Kind {
			case pull.EvBreak:
				breaks = append(breaks, told{t: ev.T, at: r.T})
			case pull.EvWithdrawn, pull.EvSlip:
				if k := len(breaks) - 1; k >= 0 {
					breaks[k].withdrawn = true
				}
			case pull.EvRemark:
				sc.givingTold = sc.givingTold || strings.Contains(ev.Text, "other than the specimen")
			case pull.EvZero:
				st := e.State()
				zero, margin = float64(st.Zero.Pressure), tr.margin(!st.Zero.Set)
			case pull.EvAlarm:
				a := ev.Alarm
				if a.Returned || a.Acked {
					if a.Returned && a.Level == pull.Stop && !a.Blind {
						stops[tr.bound(a.Limit)] = false
					}
					continue
				}
				if a.Level >= pull.Warning && !a.Blind && first == 0 {
					first = r.T
				}
				if a.Level != pull.Stop || a.Blind {
					continue
				}
				i := tr.bound(a.Limit)
				stood := stops[i]
				stops[i] = true
				switch {
				case trueRatio >= 0.95*stop:
				case tr.spike[n] && (a.Single || !tripOK):
					sc.spikeStops++
				case tr.spiked(n, n-1) && !tripOK:
				case tr.spiked(n, n-1) && stood && tr.spiked(n-2, 0):
					sc.spikePairs++
				case tr.spiked(n, n-1):
					sc.spikeTrips++
				default:
					sc.nuisance++
				}
			}
		}
		if len(evs) > 0 {
			tripOK = e.State().TripOK
		}
		if abs, sig := c.chain.Pressure(r.Raw); sig == rig.OK {
			for i := range c.bounds {
				if c.bounds[i].Ratio(abs-si.Pressure(zero), abs) >= stop+1e-12 && !stops[i] {
					sc.missedByReading++
				}
			}
		}
		if trueRatio >= stop && limit == 0 {
			limit, sc.over = r.T, true
			sc.warned = first > 0 && first < limit
			sc.warnedFor = limit - first
		}
		over = tr.overByTruth(n, over, trueRatio, stop, margin, stops, &sc)
	}
	if tell != nil {
		tell("%d readings, true peak %.2f bar, SD %.3g bar, break truly at %v, let-offs %v, slips %v", len(tr.out), tr.peak/si.Bar, tr.sd/si.Bar, tr.breakAt, tr.letOff, tr.slips)
	}
	e.Step(pull.Reading{T: tr.out[len(tr.out)-1].T, Mark: pull.End})
	tr.judgeBreaks(&sc, e.State(), breaks)
	return sc
}

// spiked says whether there is a spike among the readings from one down to
// another.
func (tr *track) spiked(from, to int) bool {
	for n := from; n >= max(to, 0); n-- {
		if tr.spike[n] {
			return true
		}
	}
	return false
}

// overByTruth counts stops missed by the truth.
func (tr *track) overByTruth(n, over int, ratio, stop, margin float64, stops []bool, sc *score) int {
	if ratio < stop+margin {
		return 0
	}
	over++
	stands := false
	for _, s := range stops {
		stands = stands || s
	}
	if over >= 2 && !stands {
		sc.missedByTruth++
	}
	return over
}

// margin is 3 SD, a count and the drift of a zero, as a load ratio.
func (tr *track) margin(noZero bool) float64 {
	m := 3*tr.sd + float64(tr.rig.chain.Step()) + zeroMayDrift*float64(tr.rig.chain.Range())
	if noZero {
		m += math.Abs(tr.s.offset)
	}
	return tr.rig.ratio(m, m)
}

func (tr *track) bound(name string) int {
	for i := range tr.rig.bounds {
		if tr.rig.bounds[i].Limit.Name == name {
			return i
		}
	}
	return 0
}

// judgeBreaks holds the breaks told and the outcome against the truth.
func (tr *track) judgeBreaks(sc *score, st pull.State, breaks []told) {
	const near = nearBreak
	found := false
	for _, w := range tr.letOff {
		if w.to-w.from < quickLetOff {
			sc.quick++
		}
	}
	sc.outcome, sc.unzeroed, sc.readings = st.Outcome, !st.Zero.Set, len(tr.out)
	for _, b := range breaks {
		if sc.broke && b.t >= tr.breakAt-near && b.t <= tr.breakAt+near && b.at >= tr.breakAt {
			found = !b.withdrawn
			continue
		}
		if b.withdrawn {
			sc.provisional++
			for _, w := range tr.slips {
				if w.holds(b.t, near) {
					sc.slipsTaken++
					break
				}
			}
			continue
		}
		sc.falseBreaks++
		for _, w := range tr.letOff {
			if w.holds(b.t, near) {
				sc.letOffCalled++
				if w.to-w.from < quickLetOff {
					sc.quickCalled++
				}
				break
			}
		}
	}
	if sc.broke {
		sc.missedBreak = st.Outcome != pull.Broken || st.Break == nil || !found
		if sc.timed = !sc.missedBreak; sc.timed {
			sc.breakOff = st.Break.T - tr.breakAt
		}
	}
	sc.plain = len(tr.s.cycles) == 0 && len(tr.s.stops) == 0
	yield := float64(tr.rig.chain.PressureForSpecimen(si.Force(float64(tr.yield) * float64(tr.area))))
	sc.gave = tr.s.giveAt > 0 && tr.s.giveAt+0.1 < tr.s.endAt && tr.at(tr.s.giveAt) < 0.9*yield
	sd := math.Hypot(tr.sd, float64(tr.rig.chain.Step())/math.Sqrt(12))
	zero := float64(st.Zero.Pressure) - tr.s.offset
	sc.peakOff = (float64(st.Peak.Gauge) + zero - tr.peak) / sd
	sc.peakRel = sc.peakOff * sd / tr.peak
	perN := float64(tr.rig.chain.PressureForSpecimen(1e4)-tr.rig.chain.PressureForSpecimen(0)) / 1e4
	sc.fairOff = sc.peakOff - float64(st.PeakBias)*perN/sd
	sc.rawOff = (float64(st.PeakRaw.Gauge) + zero - tr.peak) / sd
}

// faults are the goals of the campaign that this pull misses, in words.
func (sc *score) faults() []string {
	var out []string
	if sc.missedBreak {
		out = append(out, fmt.Sprintf("missed break (outcome %q)", sc.outcome))
	}
	if sc.letOffCalled > 0 {
		out = append(out, fmt.Sprintf("let-off called break ×%d", sc.letOffCalled))
	}
	if n := sc.falseBreaks - sc.letOffCalled; n > 0 {
		out = append(out, fmt.Sprintf("false break ×%d", n))
	}
	if sc.missedByReading > 0 {
		out = append(out, fmt.Sprintf("stop missed at %d readings over a limit", sc.missedByReading))
	}
	if sc.missedByTruth > 0 {
		out = append(out, fmt.Sprintf("stop missed at %d readings by truth", sc.missedByTruth))
	}
	if sc.spikeTrips > 0 {
		out = append(out, fmt.Sprintf("lone spike taken for more ×%d", sc.spikeTrips))
	}
	return out
}
