package record

import (
	"encoding/json"
	"math"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// The reasons a pull is closed for.
const (
	ByBreak  = "break"
	ByLetOff = "let off" // a crush or a proof
	ByFading = "faded"
	ByRest   = "at rest" // let off, or nobody knows how it ended, and then no load for pull.RestFor
	ByEnd    = "end of source"
	BySignal = "signal"
	ByTime   = "time"
	ByPerson = "closed by the person"
	// ByRecovery is that of a record that was cut off; see Recover.
	ByRecovery = "cut off, closed later by what is intact"
)

// Seconds is a time since the record's start as it stands in JSON: seconds,
// to the microsecond of samples.csv.
type Seconds float64

// MarshalJSON writes a time that is not known, NaN, as null.
func (s Seconds) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(s)) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(s))
}

// UnmarshalJSON reads null as not known.
func (s *Seconds) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*s = Seconds(math.NaN())
		return nil
	}
	return json.Unmarshal(b, (*float64)(s))
}

// SecondsOf rounds to whole microseconds.
func SecondsOf(d time.Duration) Seconds {
	return Seconds(float64(d.Round(time.Microsecond).Microseconds()) / 1e6)
}

// Duration gives the time back, to the microsecond; 0 where it is not known.
func (s Seconds) Duration() time.Duration {
	if math.IsNaN(float64(s)) {
		return 0
	}
	return time.Duration(math.Round(float64(s)*1e6)) * time.Microsecond
}

// Closing is the state of the engine when the pull was closed: what a list or
// a first frame shows without a pass over the readings. It is a convenience:
// samples.csv and the rig say the same, and win where they differ.
type Closing struct {
	Reason  string     `json:"reason"`
	Ended   time.Time  `json:"ended"`
	Length  Seconds    `json:"length_s"` // time of the newest reading
	Phase   pull.Phase `json:"phase"`
	Outcome pull.Phase `json:"outcome,omitempty"`
	// NeverLoaded says that no load was seen: a peak is then of the noise alone.
	NeverLoaded bool `json:"never_loaded,omitempty"`
	// Loaded is when the first load began; missing: none was seen, or the record is of
	// an earlier program.
	Loaded Seconds `json:"loaded_s,omitempty"`

	Samples  int `json:"samples"` // readings, faulty ones included
	Faults   int `json:"faults"`
	Gaps     int `json:"gaps"`
	BadLines int `json:"bad_lines"`
	Slips    int `json:"slips"`
	// PeakUnseen counts the gaps that may have hidden the largest force; OverRange
	// says that the sensor was over its range under load.
	PeakUnseen int          `json:"peak_unseen,omitempty"`
	OverRange  bool         `json:"over_range,omitempty"`
	Zero       Zero         `json:"zero"`
	Noise      *si.Pressure `json:"noise_pa"`
	Peak       *Point       `json:"peak"`     // the drag hand; null: no reading moved it
	PeakRaw    *Point       `json:"peak_raw"` // largest single reading
	Break      *Break       `json:"break"`
	Yield      *YieldDrop   `json:"yield_drop"` // null: none was seen
	Hold       *Hold        `json:"hold"`       // null: nothing was held
	Strokes    Strokes      `json:"strokes"`
	FirstYield *FirstYield  `json:"first_yield,omitempty"` // of a crush; missing: none was seen
	PeakBias   *si.Force    `json:"peak_bias_n"`           // how far the drag hand is expected to lie over the force without the noise
	// Apart is what the drag hand may have missed between the readings before a break;
	// missing: nothing, or nothing broke.
	Apart  *Apart  `json:"peak_apart,omitempty"`
	Limits []Limit `json:"limits"`
	Alarms []Alarm `json:"alarms"` // those still kept at the end

	// Written by Close.
	SamplesBytes  int64  `json:"samples_bytes"`
	SamplesLines  int64  `json:"samples_lines"` // the header line not counted
	SamplesSHA256 string `json:"samples_sha256"`

	// Recovered is there where the record was cut off and closed later.
	Recovered *Recovered `json:"recovered,omitempty"`
}

// Recovered says what a closing is of that was written later: SamplesBytes are then
// those that were intact, and samples.csv may be longer.
type Recovered struct {
	At   time.Time `json:"at"`                   // UTC
	Torn int64     `json:"torn_bytes,omitempty"` // of a last line without its end, behind those
	// Damage is what is wrong right behind SamplesBytes, in words; empty: nothing is
	// there but the torn line. No reading is taken from behind it.
	Damage string `json:"damage,omitempty"`
}

// torn is how many bytes of a torn line lie behind those that were closed.
func (c *Closing) torn() int64 {
	if c.Recovered == nil {
		return 0
	}
	return c.Recovered.Torn
}

// spoilt says that what lies behind those that were closed is damaged.
func (c *Closing) spoilt() bool { return c.Recovered != nil && c.Recovered.Damage != "" }

// Point is one moment. A quantity that is not known is null.
type Point struct {
	T        Seconds      `json:"t_s"` // null: read by eye, at no known time
	Raw      *float64     `json:"raw"`
	Gauge    *si.Pressure `json:"gauge_pa"`
	Ram      *si.Force    `json:"ram_n"`
	Specimen *si.Force    `json:"specimen_n"`
	Stress   *si.Stress   `json:"stress_pa"`
}

// Zero is the zero the forces were reckoned from.
type Zero struct {
	Set      bool         `json:"set"`
	Quality  string       `json:"quality"` // "quiet", "asked", "none"
	Raw      *float64     `json:"raw"`
	Pressure *si.Pressure `json:"pa"`
	SD       *si.Pressure `json:"sd_pa"`
	Readings int          `json:"readings,omitempty"` // it was taken from
	T        Seconds      `json:"t_s"`
	Return   *si.Pressure `json:"return_pa"` // zero after less zero before; null: not seen
}

// Break is the break, where there was one.
type Break struct {
	T           Seconds   `json:"t_s"`
	Specimen    *si.Force `json:"specimen_n"`
	Fall        Seconds   `json:"fall_s"`
	Provisional bool      `json:"provisional,omitempty"`
}

// YieldDrop is an upper yield point.
type YieldDrop struct {
	Upper *Point `json:"upper"`
	Lower *Point `json:"lower"`
}

// Hold is how a proof was held.
type Hold struct {
	From   Seconds   `json:"t_s"`      // when the force was reached
	Target *si.Force `json:"target_n"` // on the specimen; what was held, where no target was given
	Held   Seconds   `json:"held_s"`   // how long, less what lay more than 5 % under it
	Lowest *si.Force `json:"lowest_n"`
	Lost   *float64  `json:"lost,omitempty"` // most that went while it was held, of the highest until then; missing: an earlier record
	Met    bool      `json:"met"`            // it was held for as long as was asked
}

// FirstYield is where a block in a crush first gave.
type FirstYield struct {
	T        Seconds    `json:"t_s"`
	Specimen *si.Force  `json:"specimen_n"`
	Stress   *si.Stress `json:"stress_pa"` // null: the section is not known
	Method   string     `json:"method"`    // "slope", "gain per stroke"
}

// Strokes is what the strokes of a hand pump gave at the specimen. A gain that is
// not known is null.
type Strokes struct {
	Count int       `json:"count"`
	Gain  *si.Force `json:"gain_n"` // of the newest, by the median of three
	Best  *si.Force `json:"best_n"`
}

// Limit is how near one limit came.
type Limit struct {
	Name              string       `json:"name"`
	At                rig.Place    `json:"at"`
	AllowableForce    *si.Force    `json:"allowable_n,omitempty"`
	AllowablePressure *si.Pressure `json:"allowable_pa,omitempty"`
	PeakRatio         *float64     `json:"peak_ratio"` // largest load / allowable
}

// Alarm is one alarm that was not yet both acknowledged and returned.
type Alarm struct {
	Level        string       `json:"level"`
	Limit        string       `json:"limit,omitempty"`
	Text         string       `json:"text"`
	Raised       Seconds      `json:"t_s"`
	LoadForce    *si.Force    `json:"load_n,omitempty"`
	LoadPressure *si.Pressure `json:"load_pa,omitempty"`
	Single       bool         `json:"single_reading,omitempty"`
	Blind        bool         `json:"blind,omitempty"`
	Ahead        bool         `json:"look_ahead,omitempty"`
	Acked        bool         `json:"acknowledged"`
	Returned     bool         `json:"returned"`
}

// known gives a pointer to v, nil where v is NaN or infinite: JSON has neither.
func known[T ~float64](v T) *T {
	if f := float64(v); math.IsNaN(f) || math.IsInf(f, 0) {
		return nil
	}
	return &v
}

// Apart is pull.Apart.
type Apart struct {
	Lag  *si.Force `json:"lag_n"`
	Most *si.Force `json:"most_n"`
}

// ClosingFrom is the closing state of a pull for the reason given, one of the
// reasons above. The caller sets Ended; Close fills in what samples.csv came
// to.
func ClosingFrom(s pull.State, reason string) Closing {
	c := Closing{
		Reason: reason, Length: SecondsOf(s.T),
		Phase: s.Phase, Outcome: s.Outcome,
		Samples: s.Readings, Faults: s.Faults, Gaps: s.Gaps, BadLines: s.BadLines, Slips: s.Slips,
		Noise:      known(s.Noise),
		Peak:       PointFrom(s.Peak),
		PeakRaw:    PointFrom(s.PeakRaw),
		PeakBias:   known(s.PeakBias),
		PeakUnseen: s.PeakUnseen, OverRange: s.OverRange,

		NeverLoaded: s.LoadedAt == 0 && s.Eye == nil, Loaded: SecondsOf(s.LoadedAt),
		Zero: Zero{
			Set: s.Zero.Set, Quality: s.Zero.Quality, T: SecondsOf(s.Zero.T),
		},
		Limits: make([]Limit, 0, len(s.Limits)),
		Alarms: make([]Alarm, 0, len(s.Alarms)),
	}
	if s.Eye != nil { // nothing was measured over time
		c.Noise, c.PeakBias = nil, nil
		if c.Peak != nil {
			c.Peak.T, c.Peak.Raw = Seconds(math.NaN()), nil
		}
	}
	if s.Zero.Set {
		c.Zero.Raw, c.Zero.Pressure, c.Zero.SD = known(s.Zero.Raw), known(s.Zero.Pressure), known(s.Zero.SD)
		c.Zero.Readings = s.Zero.Readings
	}
	if c.Zero.Quality == "" {
		c.Zero.Quality = "none"
	}
	if s.Zero.HasReturn {
		c.Zero.Return = known(s.Zero.Return)
	}
	if b := s.Break; b != nil {
		c.Break = &Break{T: SecondsOf(b.T), Specimen: known(b.Specimen), Fall: SecondsOf(b.Fall), Provisional: b.Provisional}
	}
	if a := s.Apart; a.Most > 0 {
		c.Apart = &Apart{Lag: known(a.Lag), Most: known(a.Most)}
	}
	if y := s.Yield; y != nil {
		c.Yield = &YieldDrop{Upper: PointFrom(y.Upper), Lower: PointFrom(y.Lower)}
	}
	if h := s.Hold; h != nil {
		c.Hold = &Hold{From: SecondsOf(h.From), Target: known(h.Force), Held: SecondsOf(h.For), Lowest: known(h.Lowest), Lost: known(h.Lost), Met: h.Met}
	}
	if y := s.FirstYield; y != nil {
		c.FirstYield = &FirstYield{T: SecondsOf(y.T), Specimen: known(y.Specimen), Method: y.Method}
		if y.Stress != 0 {
			c.FirstYield.Stress = known(y.Stress)
		}
	}
	c.Strokes.Count = s.Strokes.Count
	if s.Strokes.Gain > 0 {
		c.Strokes.Gain = known(s.Strokes.Gain)
	}
	if s.Strokes.Best > 0 {
		c.Strokes.Best = known(s.Strokes.Best)
	}
	for _, l := range s.Limits {
		out := Limit{Name: l.Name, At: l.At, PeakRatio: known(l.PeakRatio)}
		out.AllowableForce, out.AllowablePressure = load(l.At, l.Allowable)
		c.Limits = append(c.Limits, out)
	}
	for _, a := range s.Alarms {
		out := Alarm{
			Level: a.Level.String(), Limit: a.Limit, Text: a.Text, Raised: SecondsOf(a.Raised),
			Single: a.Single, Blind: a.Blind, Ahead: a.Ahead, Acked: a.Acked, Returned: a.Returned,
		}
		if !a.Blind {
			out.LoadForce, out.LoadPressure = load(a.At, a.Load)
		}
		c.Alarms = append(c.Alarms, out)
	}
	return c
}

// load tells a force from a pressure by where the limit acts.
func load(at rig.Place, v float64) (*si.Force, *si.Pressure) {
	if at == rig.AtGauge {
		return nil, known(si.Pressure(v))
	}
	return known(si.Force(v)), nil
}

// PointFrom is nil for the zero Point: the drag hand never moved.
func PointFrom(p pull.Point) *Point {
	if p == (pull.Point{}) {
		return nil
	}
	out := &Point{
		T: SecondsOf(p.T), Raw: known(p.Raw), Gauge: known(p.Gauge),
		Ram: known(p.Ram), Specimen: known(p.Specimen),
	}
	if p.Stress != 0 { // 0: the area is unknown
		out.Stress = known(p.Stress)
	}
	return out
}
