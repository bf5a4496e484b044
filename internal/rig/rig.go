// Package rig describes one standing apparatus and turns a sensor's raw number
// into the forces on it.
//
// A person writes a rig file (TOML, see docs/rig-file.md); Parse reads it,
// strictly, and gives a resolved Rig in SI. The Rig is plain data with JSON
// tags: a pull record carries it whole, so that no other file is ever needed
// to read a record again. Chain is the converter built from it:
//
//	raw -> volts or amperes -> gauge pressure -> ram force -> specimen force
//
// The package does no I/O but for reading a named rig file, keeps no state and
// knows nothing of time.
package rig

import (
	"draghand/internal/part"
	"draghand/internal/si"
)

// Rig is a rig as resolved from its file: every default filled in, everything
// in SI. It is never changed after Parse.
type Rig struct {
	Name   string    `json:"name"`
	Ram    Ram       `json:"ram"`
	Sensor Sensor    `json:"sensor"`
	Source Source    `json:"source"`
	Path   Path      `json:"path"`
	Drive  *Drive    `json:"drive,omitempty"`
	Limits []Limit   `json:"limits"`
	Alarm  Alarm     `json:"alarm"`
	Units  si.System `json:"units"` // display only; "us" or "si"
	// Calibration is what the forces are reckoned by in place of what the file says;
	// nil: none. It is never in the file: see Calibrated.
	Calibration *Calibration `json:"calibration,omitempty"`
}

// Role is how the ram serves.
type Role string

// The roles of a ram.
const (
	SensorRam   Role = "sensor"   // closed off, pushed in by the press: force = p·A·(1+f) while loading
	ActuatorRam Role = "actuator" // pumped itself: force = p·A·(1−f) while loading
)

// Ram is the hydraulic ram whose oil pressure is measured.
type Ram struct {
	Area          si.Area     `json:"area_m2"`
	AreaTol       si.Area     `json:"area_tol_m2"` // limit of error, ±
	RatedForce    si.Force    `json:"rated_n,omitempty"`
	RatedPressure si.Pressure `json:"rated_pa,omitempty"`
	Stroke        si.Length   `json:"stroke_m,omitempty"`
	Role          Role        `json:"role"`
	Friction      float64     `json:"friction"`      // seal friction as a fraction of the force
	FrictionBand  float64     `json:"friction_band"` // limit of error of Friction, ±
}

// Kind is what the sensor's number means.
type Kind string

// The kinds of sensor.
const (
	Ratiometric Kind = "ratiometric" // a voltage in proportion to the supply (0.1 to 0.9 of it)
	VoltageOut  Kind = "voltage"     // a voltage between two fixed ends
	CurrentLoop Kind = "current"     // 4 to 20 mA over a shunt, NAMUR NE 43 bands
	PressureOut Kind = "pressure"    // the number is a pressure in Unit
	ForceOut    Kind = "force"       // the number is the ram force in Unit
	Counts      Kind = "counts"      // two points of raw number and pressure
)

// Sensor is the transducer and its converter.
type Sensor struct {
	Kind   Kind          `json:"kind"`
	Low    si.Pressure   `json:"low_pa"`  // pressure at the low end of the signal
	High   si.Pressure   `json:"high_pa"` // pressure at the high end
	Proof  si.Pressure   `json:"proof_pa,omitempty"`
	SigLow float64       `json:"signal_low"`  // V, A or fraction of supply at Low; raw for counts
	SigHi  float64       `json:"signal_high"` // the same at High
	Supply si.Voltage    `json:"supply_v,omitempty"`
	Shunt  si.Resistance `json:"shunt_ohm,omitempty"`
	// UnitFactor is what one of the raw number is in SI where the board
	// already sends pressure or force; 0 elsewhere.
	UnitFactor float64 `json:"unit_factor,omitempty"`
	// Zeroed says that whoever sent the number has taken the zero off: the engine
	// takes none of its own. It stands in records of imported forces only.
	Zeroed bool `json:"zeroed,omitempty"`
	// Accuracy is a limit of error as a fraction of full scale or of the reading.
	Accuracy          float64    `json:"accuracy"`
	AccuracyOfReading bool       `json:"accuracy_of_reading,omitempty"`
	Bits              int        `json:"bits,omitempty"` // converter width; 0: the number is in Volts or mA already
	Reference         si.Voltage `json:"reference_v,omitempty"`
	Divisor           float64    `json:"divisor,omitempty"` // code of the reference: 2^N or 2^N−1
	// Divider is the fraction of the sensor's voltage that reaches the
	// converter (1 without a voltage divider).
	Divider float64 `json:"divider,omitempty"`
}

// Source is where readings come from and how a line is laid out.
type Source struct {
	From      string   `json:"from,omitempty"` // "serial:/dev/ttyACM0", may be overruled on the command line
	Baud      int      `json:"baud"`
	Separator string   `json:"separator"`            // one character, or "space" for runs of blanks
	Columns   []string `json:"columns"`              // "time", "raw", "-" (ignored), in order
	Clock     string   `json:"clock,omitempty"`      // unit of the time column: "us", "ms", "s"; empty: no board clock
	ClockBits int      `json:"clock_bits,omitempty"` // the clock wraps at 2^bits; 0: never
	Checksum  string   `json:"checksum,omitempty"`   // "", or "xor" (between $ and *, two hex digits, as in NMEA 0183)
	Rate      float64  `json:"rate_hz,omitempty"`    // expected readings a second, 0: unknown
}

// PathKind is how the ram's force reaches the specimen.
type PathKind string

// The kinds of load path.
const (
	Direct   PathKind = "direct"    // the specimen sees all of the ram's force
	Fixed    PathKind = "fixed"     // a stated share
	TwoSided PathKind = "two-sided" // a bar over the ram, specimen on one side, a link on the far side
)

// Path is the load path.
type Path struct {
	Kind     PathKind `json:"kind"`
	Share    float64  `json:"share"`     // fraction of the ram force on the specimen
	ShareTol float64  `json:"share_tol"` // limit of error, ±: arms, and the width of a flat bearing
	// ShareFound says that Share comes from bars pulled on both sides, and not
	// from the arms.
	ShareFound  bool      `json:"share_found,omitempty"`
	SpecimenArm si.Length `json:"specimen_arm_m,omitempty"`
	FarArm      si.Length `json:"far_arm_m,omitempty"`
	ArmTol      si.Length `json:"arm_tol_m,omitempty"` // larger of the two arms' limits of error
	Bearing     string    `json:"bearing,omitempty"`   // "ball", "roller", "flat"
	BearingWide si.Length `json:"bearing_width_m,omitempty"`
	Weight      si.Force  `json:"weight_n"`             // of the moving parts not yet resting on the ram at zero
	RamPushes   string    `json:"ram_pushes,omitempty"` // "up": the weight subtracts, "down": it adds
	// BarFar says that the bar stands in the place of the far side's link, see
	// BarOn. It belongs to a bar, not to the rig, and is never written: a record
	// has it with its specimen. Share and the arms stay those of the file.
	BarFar bool `json:"-"`
}

// Drive is what makes the force, as far as known.
type Drive struct {
	Kind      string    `json:"kind"` // "hand-pump" or "motor"
	PerStroke si.Length `json:"per_stroke_m,omitempty"`
	Stiffness float64   `json:"stiffness_n_per_m,omitempty"`
}

// Place is where a limit acts.
type Place string

// The places of a limit.
const (
	AtRam      Place = "ram"      // ram force
	AtSpecimen Place = "specimen" // force on the specimen's side
	AtFar      Place = "far"      // force on the far side
	AtSides    Place = "sides"    // the larger of the two sides' forces, for like parts on both
	AtGauge    Place = "gauge"    // gauge pressure
)

// LimitKind is how a limit is known.
type LimitKind string

// The kinds of limit.
const (
	Rated         LimitKind = "rated"    // a force somebody stands for
	PressureLimit LimitKind = "pressure" // a gauge pressure
	Unknown       LimitKind = "unknown"  // a part of which nothing is known
)

// Limit is what one part can take.
type Limit struct {
	Name     string      `json:"name"`
	Kind     LimitKind   `json:"kind"`
	At       Place       `json:"at,omitempty"`
	Force    si.Force    `json:"capacity_n,omitempty"`
	Pressure si.Pressure `json:"capacity_pa,omitempty"`
	Factor   float64     `json:"design_factor"` // allowable = capacity / Factor, ≥ 1
	Note     string      `json:"note,omitempty"`
	// Part holds the dimensions of a computed limit, Modes every way it was
	// looked at: Force is the capacity of the weakest.
	Part  *part.Part  `json:"part,omitempty"`
	Modes []part.Mode `json:"modes,omitempty"`
	Proof *Proof      `json:"proof,omitempty"` // of a Rated limit that a proof load gave
}

// Alarm is when the person is told.
type Alarm struct {
	Caution   float64 `json:"caution"` // fraction of an allowable, default 0.75
	Warning   float64 `json:"warning"` // default 0.90
	Stop      float64 `json:"stop"`    // default 1.00
	LookAhead float64 `json:"look_ahead_s"`
	Trip      *Trip   `json:"trip,omitempty"` // nil: no trip line
}

// Signal is the quality of one reading.
type Signal uint8

// The qualities of a reading. Only OK may move anything.
const (
	OK         Signal = iota
	Open              // open circuit, sensor failure low (NE 43: 3.6 mA and less)
	BelowBand         // below the valid band, no declared failure (NE 43: 3.6 to 3.8 mA)
	AboveBand         // above the valid band, sensor failure high or converter at full scale: an overload until proven otherwise
	NotANumber        // NaN or infinite
)

// Valid says whether the reading is one to trust.
func (s Signal) Valid() bool { return s == OK }

func (s Signal) String() string {
	words := [...]string{"ok", "open circuit", "below range", "above range", "not a number"}
	if int(s) >= len(words) {
		return "not known"
	}
	return words[s]
}
