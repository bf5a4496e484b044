package rig

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"draghand/internal/si"
)

// What a rig somebody built at home can be. The ends are wide: they catch a
// slipped unit ("42.0 m²"), a damaged record and a number chosen to overflow,
// not an unusual rig.
const (
	minArea, maxArea           si.Area       = 0.1 * si.SquareCM, 2000 * si.SquareCM
	maxForce                   si.Force      = 20 * si.Meganewton
	minForce                   si.Force      = 1 * si.Newton
	minPressure, maxPressure   si.Pressure   = 0.01 * si.Bar, 10_000 * si.Bar
	vacuum                     si.Pressure   = -1.1 * si.Bar // no gauge reads lower
	minArm, maxArm             si.Length     = 1 * si.Millimetre, 5 * si.Metre
	maxStroke                  si.Length     = 5 * si.Metre
	minVoltage, maxVoltage     si.Voltage    = 10 * si.Millivolt, 100 * si.Volt
	minShunt, maxShunt         si.Resistance = 1 * si.Ohm, 10 * si.Kiloohm
	maxLoop                    si.Current    = 100 * si.Milliampere
	maxFriction, maxBand                     = 0.3, 0.2
	maxTolerance                             = 0.2 // of an area or an arm
	maxAccuracy                              = 0.2
	minBits, maxBits                         = 6, 32
	maxCount                                 = 1 << 53
	maxDesignFactor                          = 100
	maxLookAhead                             = 600.0 // s
	maxRate                                  = 1e6   // Hz
	maxLimits                                = 64
	maxColumns                               = 32
	maxName, maxNote, maxTitle               = 40, 200, 60
	maxFrom                                  = 256
	shareSlack                               = 1e-6 // a share and its arms in one record
	minSignal                                = 1e-6 // the narrowest span of a signal, of its own unit
	minUnitFactor, maxUnitFact               = 1e-3, 1e10
	minStiffness, maxStiffness               = 1e3, 1e12 // N/m
)

// Validate checks a Rig that came from elsewhere than Parse, out of a pull
// record above all: every number finite and possible, nothing contradictory, so
// that Chain and Bounds of it cannot divide by zero or overflow. The error is a
// *FileError without lines.
func (r *Rig) Validate() error {
	if faults := r.check(); len(faults) > 0 {
		return &FileError{Faults: faults}
	}
	return nil
}

// check is every rule that is about values rather than about what is written.
// Keys are those of the rig file.
func (r *Rig) check() []Fault {
	c := &checker{}
	c.label("rig.name", r.Name, maxTitle, wantName)
	c.ram(r.Ram)
	c.sensor(&r.Sensor)
	c.source(r.Source)
	c.path(r.Path)
	c.drive(r.Drive)
	c.limits(r)
	c.alarm(r.Alarm)
	c.trip(r.Alarm.Trip, r.Source.From)
	c.calibration(r)
	if r.Units != si.US && r.Units != si.Metric {
		c.fault("units.display", "not known", `"us" or "si"`)
	}
	if ch := r.Chain(); len(c.faults) == 0 && !(ch.slope > 0) {
		c.fault("sensor", "the line from the raw number to the pressure has no finite slope", "a range and a signal that span something")
	}
	return c.faults
}

type checker struct{ faults []Fault }

func (c *checker) fault(key, why, want string) {
	c.faults = append(c.faults, Fault{Key: key, Why: why, Want: want})
}

// within demands low ≤ v ≤ high; NaN is outside of everything.
func within[Q ~float64](c *checker, key string, v, low, high Q, show func(Q) string, want string) bool {
	if v >= low && v <= high {
		return true
	}
	c.fault(key, fmt.Sprintf("%s is not between %s and %s", show(v), show(low), show(high)), want)
	return false
}

// optional is within for a value that may be zero: not stated.
func optional[Q ~float64](c *checker, key string, v, low, high Q, show func(Q) string, want string) {
	if v != 0 {
		within(c, key, v, low, high, show, want)
	}
}

func (c *checker) label(key, s string, most int, want string) {
	switch {
	case strings.TrimSpace(s) == "":
		c.fault(key, "empty", want)
	case utf8.RuneCountInString(s) > most:
		c.fault(key, fmt.Sprintf("longer than %d letters", most), want)
	case !printable(s):
		c.fault(key, fmt.Sprintf("%+q holds a character that cannot be shown", s), "plain text")
	}
}

// printable refuses control characters and the invisible ones that turn or
// hide text: a name goes to the terminal and into file names.
func printable(s string) bool {
	return utf8.ValidString(s) && strings.IndexFunc(s, func(r rune) bool { return !unicode.IsPrint(r) }) < 0
}

func (c *checker) ram(r Ram) {
	within(c, "ram.area", r.Area, minArea, maxArea, areaText, wantArea)
	if !(r.AreaTol >= 0 && r.AreaTol <= r.Area*maxTolerance) && r.Area > 0 {
		c.fault("ram.area", "the limit of error is negative or above a fifth of the area", wantArea)
	}
	if r.Role != SensorRam && r.Role != ActuatorRam {
		c.fault("ram.role", "not known", `"sensor" or "actuator"`)
	}
	optional(c, "ram.rated_force", r.RatedForce, minForce, maxForce, forceText, wantForce)
	optional(c, "ram.rated_pressure", r.RatedPressure, minPressure, maxPressure, pressureText, wantPressure)
	optional(c, "ram.stroke", r.Stroke, minArm, maxStroke, lengthText, `a length, as in "50 mm"`)
	within(c, "ram.friction", r.Friction, 0, maxFriction, plainText, wantFriction)
	if !(r.FrictionBand >= 0 && r.FrictionBand <= maxBand) {
		c.fault("ram.friction", fmt.Sprintf("the limit of error %v is not between 0 and %v", r.FrictionBand, maxBand), wantFriction)
	}
}

func (c *checker) sensor(s *Sensor) {
	switch s.Kind {
	case Ratiometric, VoltageOut, CurrentLoop, PressureOut, ForceOut, Counts:
	default:
		c.fault("sensor.kind", "not known", `"ratiometric", "voltage", "current", "pressure", "force" or "counts"`)
		return // what the rest means hangs on it
	}
	const key = "sensor.range"
	if within(c, key, s.High, minPressure, maxPressure, pressureText, wantRange) &&
		!(s.Low >= vacuum && s.High-s.Low >= minPressure) {
		c.fault(key, fmt.Sprintf("the low end %s is below a vacuum or not below the high end", pressureText(s.Low)), wantRange)
	}
	if s.Proof != 0 && !(s.Proof >= s.High && s.Proof <= 10*maxPressure) {
		c.fault("sensor.proof_pressure", fmt.Sprintf("%s is below the high end of the range, %s", pressureText(s.Proof), pressureText(s.High)), "a proof pressure above the range, or none where it is not known")
	}
	if !(s.Accuracy > 0 && s.Accuracy <= maxAccuracy) {
		c.fault("sensor.accuracy", fmt.Sprintf("%v %% is not above 0 and at most 20 %%", 100*s.Accuracy), wantAccuracy)
	}
	c.signal(s)
	c.converter(s)
	c.unused(s)
}

// none demands that what a kind does not use is not there: nothing hides in a
// record behind a kind that ignores it.
func none[Q ~float64](c *checker, key, owner string, v Q) {
	if v != 0 {
		c.fault(key, "does not belong to "+owner, "none")
	}
}

func (c *checker) unused(s *Sensor) {
	owner := "a " + string(s.Kind) + " sensor"
	if s.Kind != Ratiometric {
		none(c, "sensor.supply", owner, s.Supply)
	}
	if s.Kind != CurrentLoop || s.Bits == 0 {
		none(c, "sensor.shunt", owner+" whose number is no count", s.Shunt)
	}
	if s.Kind == PressureOut || s.Kind == ForceOut {
		none(c, "sensor.signal", owner, s.SigLow)
		none(c, "sensor.signal", owner, s.SigHi)
	} else {
		none(c, "sensor.unit", owner, s.UnitFactor)
	}
	if s.Bits == 0 || s.Kind == Counts {
		none(c, "sensor.converter.reference", owner+" whose number is no voltage in counts", s.Reference)
		none(c, "sensor.converter.divisor", owner+" whose number is no voltage in counts", s.Divisor)
		none(c, "sensor.converter.divider", owner+" whose number is no voltage in counts", s.Divider)
	}
}

// signal checks the two ends of the signal and what turns it into a voltage.
func (c *checker) signal(s *Sensor) {
	ends := func(low, high, span float64, want string) {
		if !(s.SigLow >= low && s.SigHi <= high && s.SigHi-s.SigLow >= span) {
			c.fault("sensor.signal", fmt.Sprintf("%v .. %v is not within %v .. %v, or spans nothing", s.SigLow, s.SigHi, low, high), want)
		}
	}
	switch s.Kind {
	case Ratiometric:
		ends(0, 1, 0.01, `fractions of the supply, as in signal = "0.1 .. 0.9"`)
		within(c, "sensor.supply", s.Supply, minVoltage, maxVoltage, voltageText, `supply = "5 V"`)
	case VoltageOut:
		ends(-float64(maxVoltage), float64(maxVoltage), minSignal, `"0.5 V .. 4.5 V"`)
	case CurrentLoop:
		ends(0, float64(maxLoop), minSignal, `"4 mA .. 20 mA"`)
		if s.Bits > 0 {
			within(c, "sensor.shunt", s.Shunt, minShunt, maxShunt, ohmText, `shunt = "250 ohm"`)
		}
	case PressureOut, ForceOut:
		within(c, "sensor.unit", s.UnitFactor, minUnitFactor, maxUnitFact, plainText, `a unit, as in unit = "bar"`)
	case Counts:
		if !(math.Abs(s.SigLow) <= maxCount && math.Abs(s.SigHi) <= maxCount && s.SigHi-s.SigLow >= 1) {
			c.fault("sensor.points", "the two numbers are less than one count apart or beyond any converter", wantPoints)
		}
	}
}

func (c *checker) converter(s *Sensor) {
	if s.Bits == 0 {
		return
	}
	if s.Bits < minBits || s.Bits > maxBits {
		c.fault("sensor.converter.bits", fmt.Sprintf("%d is not between %d and %d", s.Bits, minBits, maxBits), "bits = 12")
		return
	}
	full := math.Ldexp(1, s.Bits)
	switch s.Kind {
	case Ratiometric, VoltageOut, CurrentLoop:
		within(c, "sensor.converter.reference", s.Reference, minVoltage, maxVoltage, voltageText, wantReference)
		if s.Divisor != full && s.Divisor != full-1 {
			c.fault("sensor.converter.divisor", "not the converter's", `"2^n" or "2^n-1"`)
		}
		within(c, "sensor.converter.divider", s.Divider, 0.001, 1, plainText, "divider = 0.66")
	case Counts:
		if s.SigLow > full-1 || s.SigHi > full*4 {
			c.fault("sensor.points", fmt.Sprintf("lie above the converter's last code, %v", full-1), wantPoints)
		}
	default:
		c.fault("sensor.converter", "does not belong to a "+string(s.Kind)+" sensor", "no [sensor.converter]")
	}
}

func (c *checker) path(p Path) {
	switch p.Kind {
	case Direct:
		if p.Share != 1 || p.ShareTol != 0 {
			c.fault("path.share", "a direct path has the share 1", "no share")
		}
	case Fixed:
		if !(p.Share > 0 && p.Share <= 1 && p.ShareTol >= 0 && p.ShareTol < p.Share) {
			c.fault("path.share", fmt.Sprintf("%v ± %v is not above 0 and at most 1", p.Share, p.ShareTol), wantShare)
		}
	case TwoSided:
		c.arms(p)
	default:
		c.fault("path.kind", "not known", `"direct", "two-sided" or "fixed"`)
	}
	if p.Kind != TwoSided {
		owner := "a " + string(p.Kind) + " path"
		none(c, "path.specimen_arm", owner, p.SpecimenArm)
		none(c, "path.specimen_arm", owner, p.ArmTol)
		none(c, "path.far_arm", owner, p.FarArm)
		none(c, "path.bearing_width", owner, p.BearingWide)
		if p.Bearing != "" {
			c.fault("path.bearing", "does not belong to "+owner, "none")
		}
		if p.ShareFound {
			c.fault("path.share_found", "does not belong to "+owner, "none")
		}
	}
	if p.Weight < 0 || !(p.Weight <= maxForce) {
		c.fault("path.weight", forceText(p.Weight)+" is no weight", wantWeight)
	}
	if p.RamPushes != "" && p.RamPushes != "up" && p.RamPushes != "down" || p.RamPushes == "" && p.Weight > 0 {
		c.fault("path.ram_pushes", "not stated", `"up" or "down"`)
	}
}

func (c *checker) arms(p Path) {
	ok1 := within(c, "path.specimen_arm", p.SpecimenArm, minArm, maxArm, lengthText, wantArm)
	ok2 := within(c, "path.far_arm", p.FarArm, minArm, maxArm, lengthText, wantArm)
	if !ok1 || !ok2 {
		return
	}
	short := min(p.SpecimenArm, p.FarArm)
	if !(p.ArmTol >= 0 && p.ArmTol <= short*maxTolerance) {
		c.fault("path.specimen_arm", "the limit of error of an arm is negative or above a fifth of the shorter arm", wantArm)
		return
	}
	switch p.Bearing {
	case "ball", "roller":
		if p.BearingWide != 0 {
			c.fault("path.bearing_width", "does not belong to a "+p.Bearing, "no width")
		}
	case "flat":
		within(c, "path.bearing_width", p.BearingWide, 0.1*si.Millimetre, short, lengthText, wantWidth)
	default:
		c.fault("path.bearing", "not known", `"ball", "roller" or "flat"`)
	}
	if p.ShareFound {
		c.checkFound(p)
		return
	}
	share := float64(p.FarArm) / float64(p.SpecimenArm+p.FarArm)
	if !(math.Abs(share-p.Share) <= shareSlack && p.ShareTol >= 0 && p.ShareTol < p.Share) {
		c.fault("path.share", fmt.Sprintf("%v ± %v does not come from the arms, which make %v", p.Share, p.ShareTol, share), "both arms and the bearing, each with its limit of error")
	}
}

func (c *checker) drive(d *Drive) {
	if d == nil {
		return
	}
	if d.Kind != "hand-pump" && d.Kind != "motor" {
		c.fault("drive.kind", "not known", `"hand-pump" or "motor"`)
	}
	optional(c, "drive.per_stroke", d.PerStroke, si.Micrometre, maxStroke, lengthText, `per_stroke = "0.25 mm"`)
	optional(c, "drive.stiffness", d.Stiffness, minStiffness, maxStiffness, plainText, `stiffness = "40 kN/mm"`)
}

func (c *checker) alarm(a Alarm) {
	if !(a.Stop > 0 && a.Stop <= 1) {
		c.fault("alarm.stop", fmt.Sprintf("%v is not above 0 and at most 1", a.Stop), "stop = 1.00, the allowable itself, or less")
	}
	if !(a.Warning > 0 && a.Warning < a.Stop) {
		c.fault("alarm.warning", fmt.Sprintf("%v is not above 0 and below stop, %v", a.Warning, a.Stop), "warning = 0.90")
	}
	if !(a.Caution > 0 && a.Caution < a.Warning) {
		c.fault("alarm.caution", fmt.Sprintf("%v is not above 0 and below warning, %v", a.Caution, a.Warning), "caution = 0.75")
	}
	if !(a.LookAhead >= 0 && a.LookAhead <= maxLookAhead) {
		c.fault("alarm.look_ahead", fmt.Sprintf("%v s is not between 0 s and %v s", a.LookAhead, maxLookAhead), wantAhead)
	}
}

func forceText(f si.Force) string       { return f.In(si.Metric).String() }
func pressureText(p si.Pressure) string { return p.In(si.Metric).String() }
func areaText(a si.Area) string         { return si.Number(float64(a)/si.SquareCM, 2) + " cm²" }
func lengthText(l si.Length) string     { return l.In(si.Metric).String() }
func voltageText(v si.Voltage) string   { return v.String() }
func ohmText(r si.Resistance) string    { return r.String() }
func plainText(v float64) string        { return fmt.Sprintf("%v", v) }
