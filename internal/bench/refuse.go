package bench

import (
	"fmt"
	"math"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// Thresholds of what is refused.
const (
	// loadShare of the nearest limit is where the engine begins to look at a
	// load (docs/engine.md): what lies over it before arming is load on the rig.
	loadShare = 0.01
	// loadNoise standard deviations of the noise are no load yet; as the engine
	// has it.
	loadNoise = 10
	// zeroNear of the sensor's range is how far a zero may lie from the last one
	// on the rig (docs/engine.md).
	zeroNear = 0.01
	// quietCounts and quietShare bound the noise of a quiet sensor, in counts of
	// the converter and of its range; as the engine has it for a zero.
	quietCounts = 2
	quietShare  = 0.001
)

// What refusals begin with whose figures wander with each reading.
const (
	loadThere = "there is load on the rig"
	notQuiet  = "the readings are not quiet"
)

// moment is all that arming hangs on, at one moment.
type moment struct {
	setup     Setup
	fields    []Field
	points    []Point
	rig       *rig.Rig
	rigErr    error
	loading   bool // the rig file is being read
	from      string
	source    SourceState
	sourceErr string
	look      *watch.Snapshot
	lastZero  *float64
	trust     *trusted // zero of this sitting; nil: none yet
	history   *history // what earlier records say of the rig; nil: not known
	stockKept bool     // the stock on the bench is from the bar before
	pulled    earlier  // the last pull of this bar; the zero value: none
	shelfErr  error
	running   bool
	closing   bool
	units     si.System
}

// refusals are the reasons against arming, the weightiest first.
func (m *moment) refusals() []Refusal {
	var out []Refusal
	final := func(what, next string) { out = append(out, Refusal{What: what, Next: next, Final: true}) }
	may := func(what, next string) { out = append(out, Refusal{What: what, Next: next}) }
	switch {
	case m.closing:
		final("the bench is being put away", "start the program again")
		return out
	case m.running:
		final("a pull is being recorded", "let it end, or end it, first")
		return out
	}
	m.refuseRig(final)
	switch {
	case m.rig == nil && (m.rigErr != nil || m.loading): // nothing else can be judged without it
	case m.source == NoSource && m.faulty(FieldKind): // waits for the kind
	case m.refuseSource(final):
		m.refuseReading(final, may)
	}
	if m.rig != nil && len(m.rig.Bounds()) == 0 {
		may("no part of this rig has a known limit: no alarm can come before something breaks", "state in the rig file what somebody stands for: the ram's rated force, the transducer's range")
	}
	for _, f := range m.fields {
		if f.Fault != "" && f.ID != FieldRig && f.ID != FieldSource { // those are told above
			out = append(out, Refusal{
				What: f.Label + ": " + f.Fault, Brief: f.Label + ": " + shortly(f.Fault), Next: "correct what is written there", Final: true,
			})
		}
	}
	if m.setup.Kind == pull.Tension && m.setup.Bar.Area() == 0 && !m.faulty(FieldDiameters) {
		may("no diameter: there will be a force, but no stress and no strength", "measure the bar where it is thinnest and write it under diameters")
	}
	m.refusePast(may)
	m.refusePulled(may)
	if what := m.pointsOpen(); what != "" {
		may(what, "go round the rig and confirm each")
	}
	if m.shelfErr != nil {
		final("the pull could not be saved: "+sentence(m.shelfErr), "free the disk or its rights, or choose another folder with --data")
	}
	return out
}

// shortly is a fault without what would be right, which stands beside the field.
func shortly(fault string) string {
	fault, _, _ = strings.Cut(fault, " (")
	if what, next, ok := strings.Cut(fault, ": "); ok && len(next) > shortWords {
		fault = what
	}
	return fault
}

// shortWords is how many bytes of an explanation still go with a fault.
const shortWords = 40

func (m *moment) faulty(id FieldID) bool {
	for _, f := range m.fields {
		if f.ID == id {
			return f.Fault != ""
		}
	}
	return false
}

// open are the points not seen to.
func (m *moment) open() (out []Point) {
	for _, p := range m.points {
		if !p.Done {
			out = append(out, p)
		}
	}
	return out
}

// pointsOpen says what points are not seen to; empty where all are.
func (m *moment) pointsOpen() string {
	open := m.open()
	verb := "are"
	switch len(open) {
	case 0:
		return ""
	case 1:
		verb = "is"
	}
	return fmt.Sprintf("%s of %d %s not seen to: %s", many(len(open), "point"), len(m.points), verb, names(open))
}

// names lists points by their ids, the first few of many.
func names(ps []Point) string {
	var ids []string
	for _, p := range ps {
		ids = append(ids, tidy(string(p.ID)))
	}
	if len(ids) > 4 {
		ids = append(ids[:3], "…")
	}
	return strings.Join(ids, ", ")
}

func (m *moment) refuseRig(final func(what, next string)) {
	switch {
	case m.rigErr != nil:
		next := nextOf(m.rigErr)
		if next == "" {
			next = "correct the rig file: it is read again by itself"
		}
		final("the rig file cannot be used: "+plainly(m.rigErr), next)
	case m.loading:
		final("the rig file is being read", "wait a moment")
	case m.rig == nil:
		final("no rig: without it a reading cannot be made a force", "name a rig file; draghand rig new prints one to fill in")
	}
}

// refuseSource says whether the source is there to be looked at.
func (m *moment) refuseSource(final func(what, next string)) bool {
	switch m.source {
	case SourceOpen:
		return true
	case OpeningSource:
		final("the source is being opened", "wait: opening restarts many boards, which takes up to 3 s")
	case SourceFailed:
		final("the source cannot be used: "+m.sourceErr, "see to it, or name another source; draghand ports lists what is there")
	default:
		if m.faulty(FieldSource) {
			for _, f := range m.fields {
				if f.ID == FieldSource {
					final("the source cannot be used: "+f.Fault, "name another source")
				}
			}
			return false
		}
		final("no source: nothing is read", "name a source, or write from = under [source] in the rig file; sim: is there to practise")
	}
	return false
}

// refuseReading judges what the look sees. One reason is enough: what lies under
// it can only be judged once it is gone.
func (m *moment) refuseReading(final, may func(what, next string)) {
	if m.look == nil || m.rig == nil {
		final("nothing has been read yet", "wait a moment")
		return
	}
	s, from := &m.look.State, m.look.Source
	switch {
	case from.Status == "lost":
		final("the source was lost", "look at the plug, the cable and the board: it is tried again until it is back")
		return
	case from.Status == "ended":
		final("the source has ended", "name it again, or another one")
		return
	case s.Readings == 0 || from.Status == "silent" || from.Status == "waiting":
		next := "look at the cable, the baud rate and the columns of the rig file"
		if s.BadLines > 0 {
			next += fmt.Sprintf("; %s came and could not be read", many(s.BadLines, "line"))
		}
		final("no reading comes from the source", next)
		return
	case !s.Signal.Valid():
		may(fmt.Sprintf("the force cannot be seen: the sensor's signal is %s", s.Signal), "look at the sensor, its supply and its cable")
		return
	case !s.Seen:
		may("the force cannot be seen: no fresh reading", "look at the sensor and its cable")
		return
	}
	m.refuseLoad(s, may)
}

// refuseLoad wants a rig without load, and a zero.
func (m *moment) refuseLoad(s *pull.State, may func(what, next string)) {
	const off = "take all load off the rig; if there is none, ask for a new zero"
	switch {
	case s.Phase != pull.Slack && s.Outcome == "":
		may(fmt.Sprintf(loadThere+": %s", s.Live.Specimen.Text(m.units)), off)
	case s.Phase != pull.Slack:
		may("there was load on the rig: its zero is not known any more", off)
	case s.Zero.Set && math.Abs(float64(s.Live.Specimen)) > m.threshold(s):
		may(fmt.Sprintf(loadThere+", or the zero has moved: %s", s.Live.Specimen.Text(m.units)), off)
	case !s.Zero.Set && !m.rig.Sensor.Zeroed:
		next := "wait until the readings have been quiet for 2 s"
		if s.Zero.Refused != "" {
			next = s.Zero.Refused
		}
		may("no zero yet", next)
	case float64(s.Noise) > m.quiet():
		may(fmt.Sprintf(notQuiet+": noise of %s", fine(s.Noise, m.units)), "look at the sensor's cable, its screen and its supply; take a new zero when they are")
	}
	m.refuseZero(s, may)
}

// threshold is the force on the specimen that counts as load.
func (m *moment) threshold(s *pull.State) float64 {
	chain := m.rig.Chain()
	zero := chain.Specimen(0)
	force := func(p float64) float64 { return float64(chain.Specimen(si.Pressure(p)) - zero) }
	least := force(loadShare * float64(chain.Range()))
	if s.Nearest >= 0 && s.Nearest < len(s.Limits) {
		if at := float64(s.Limits[s.Nearest].AtForce); at > 0 {
			least = loadShare * at
		}
	}
	return max(least, force(loadNoise*float64(s.Noise))) + math.Abs(float64(zero))
}

// quiet is the noise a sensor may have, Pa.
func (m *moment) quiet() float64 {
	chain := m.rig.Chain()
	return max(quietCounts*float64(chain.Step()), quietShare*float64(chain.Range()))
}

// zeroMoved is how far the zero lies from the last one on this rig, and whether
// that is too far.
func (m *moment) zeroMoved(s *pull.State) (si.Pressure, bool) {
	if m.lastZero == nil || !s.Zero.Set {
		return 0, false
	}
	chain := m.rig.Chain()
	last, sig := chain.Pressure(*m.lastZero)
	far := s.Zero.Pressure - last
	return far, sig.Valid() && math.Abs(float64(far)) > zeroNear*float64(chain.Range())
}

// fine shows a small pressure with one more decimal.
func fine(p si.Pressure, u si.System) string {
	s := p.In(u)
	s.Decimals++
	return s.String()
}
