package rig

import (
	"fmt"

	"draghand/internal/si"
)

func (r *reader) source() Source {
	s := section{r, "source"}
	out := Source{Separator: defaultSeparator, Columns: []string{"raw"}}
	out.From, _ = s.text("from", wantFrom)
	out.Baud = s.whole("baud", 50, 20_000_000, defaultBaud, "baud = 115200")
	if t, ok := s.text("separator", wantSeparator); ok {
		out.Separator = t
	}
	if list, ok := s.list("columns", wantColumns); ok {
		out.Columns = list
	}
	if s.has("clock") {
		out.Clock = s.choice("clock", false, "us", "ms", "s")
	} else if s.has("clock_bits") {
		s.fault("clock_bits", "given without clock", `clock = "us", the unit of the time column`)
	}
	out.ClockBits = s.whole("clock_bits", 0, 64, 0, "32 where the board's counter wraps at 2^32, 0 where it never does")
	if s.has("checksum") && s.choice("checksum", false, "none", "xor") == "xor" {
		out.Checksum = "xor"
	}
	out.Rate, _ = take(s, "rate", wantRate, hertz)
	s.positive("rate", out.Rate, wantRate)
	return out
}

const (
	wantFrom      = `"serial:/dev/ttyACM0", "sim:", "tcp:HOST:PORT", "file:PATH" or "-"`
	wantSeparator = `one character, or "space" or "tab"`
	wantColumns   = `what each field of a line is, as in columns = ["time", "raw"]; "-" for one to pass over`
	wantRate      = `readings a second, as in rate = "100 Hz"`
	wantShare     = `the part of the ram force on the specimen, as in share = "0.5 ± 0.01"`
	wantFound     = `the share that draghand share gave, with its limit of error, as in share_found = "0.503 ± 0.004"`
	wantArm       = `the distance from the ram's centre line with its limit of error, as in "110 mm ± 0.5 mm"`
	wantWidth     = `the width of the flat contact along the bar, as in bearing_width = "20 mm"`
	wantWeight    = `the weight of the moving parts as a force, as in weight = "12 kgf"`
)

func (r *reader) path() Path {
	s := section{r, "path"}
	out := Path{Kind: PathKind(s.choiceIn("kind", string(Direct), string(TwoSided), string(Fixed)))}
	switch out.Kind {
	case Direct:
		s.only("a direct path, whose share is 1", "share", "share_found", "specimen_arm", "far_arm", "bearing", "bearing_width")
		out.Share = 1
	case Fixed:
		s.only("a fixed path", "share_found", "specimen_arm", "far_arm", "bearing", "bearing_width")
		s.required("share", wantShare)
		out.Share, out.ShareTol, _ = s.fractionTol("share", wantShare, 0, 0)
	case TwoSided:
		s.only("a two-sided path, whose share comes from its arms", "share")
		s.twoSided(&out)
	}
	out.Weight, _ = take(s, "weight", wantWeight, si.ParseForce)
	if s.has("ram_pushes") {
		out.RamPushes = s.choice("ram_pushes", false, "up", "down")
	} else if out.Weight > 0 {
		s.missing("ram_pushes", `"up" (the weight is taken off) or "down" (it is added)`)
	}
	return out
}

func (s section) twoSided(out *Path) {
	s.required("specimen_arm", wantArm)
	s.required("far_arm", wantArm)
	arm := func(t string) (si.Length, si.Length, error) { return toleranced(t, si.ParseLength) }
	sa, sTol, ok1 := pair(s, "specimen_arm", wantArm, arm)
	fa, fTol, ok2 := pair(s, "far_arm", wantArm, arm)
	out.SpecimenArm, out.FarArm, out.ArmTol = sa, fa, max(sTol, fTol)
	out.Bearing = s.choiceIn("bearing", "ball", "roller", "flat")
	if out.Bearing == "flat" {
		s.required("bearing_width", wantWidth)
	} else if s.has("bearing_width") && out.Bearing != "" {
		s.fault("bearing_width", "does not belong to a "+out.Bearing+", which bears on a line or a point", `bearing = "flat", or no width`)
	}
	out.BearingWide, _ = take(s, "bearing_width", wantWidth, si.ParseLength)
	s.positive("bearing_width", float64(out.BearingWide), wantWidth)
	if ok1 && ok2 && sa > 0 && fa > 0 {
		out.Share, out.ShareTol = shareOf(sa, sTol, fa, fTol, out.BearingWide)
	}
	if s.has("share_found") {
		if share, tol, ok := s.fractionTol("share_found", wantFound, 0, 0); ok {
			out.found(share, tol)
		}
	}
}

func (r *reader) drive() *Drive {
	if _, ok := r.doc.tables["drive"]; !ok {
		return nil
	}
	s := section{r, "drive"}
	out := &Drive{Kind: s.choice("kind", true, "hand-pump", "motor")}
	const wantStroke = `the ram's advance at each stroke of the pump, as in per_stroke = "0.25 mm"`
	const wantStiffness = `force per length, as in stiffness = "40 kN/mm"`
	out.PerStroke, _ = take(s, "per_stroke", wantStroke, si.ParseLength)
	s.positive("per_stroke", float64(out.PerStroke), wantStroke)
	out.Stiffness, _ = take(s, "stiffness", wantStiffness, stiffness)
	s.positive("stiffness", out.Stiffness, wantStiffness)
	return out
}

const (
	wantLimitName   = `the part's name, as in name = "link bar"`
	wantLimitForce  = `what the part stands, as in force = "48 kN"`
	wantLimitFactor = `a number of 1 or more, as in design_factor = 2`
	wantAt          = `"ram", "specimen", "far" or "sides" (like parts on both), where the force acts`
)

// stated reads the [[limit]] tables, one Limit for each, good or not, so that
// their numbers are those of the file.
func (r *reader) stated(path Path) []Limit {
	out := make([]Limit, 0, r.doc.limits+2)
	for i := range r.doc.limits {
		out = append(out, section{r, limitKey(i)}.limit(path))
	}
	return out
}

func (s section) limit(path Path) Limit {
	l := Limit{Factor: 1}
	s.missing("name", wantLimitName)
	l.Name, _ = s.text("name", wantLimitName)
	l.Note, _ = s.text("note", "a remark")
	l.Kind = LimitKind(s.choice("kind", true, kindsOfLimit()...))
	if s.has("design_factor") {
		l.Factor = s.fraction("design_factor", 1, wantLimitFactor)
	}
	switch l.Kind {
	case Rated:
		s.only("a rated force", foreign(Rated)...)
		if l.Proof = s.proof(); l.Proof != nil {
			s.only("a limit that its proof load gives", "force")
			l.Force = l.Proof.Rated()
			s.bad[s.key("force")] = s.bad[s.key("force")] || l.Proof.Force == 0 || l.Proof.Fraction == 0 // told with the proof
		} else {
			s.bad[s.key("force")] = s.bad[s.key("proof")] // a proof that is none would have given it
			s.missing("force", wantLimitForce)
			l.Force, _ = take(s, "force", wantLimitForce, si.ParseForce)
		}
		l.At = Place(s.choice("at", true, string(AtRam), string(AtSpecimen), string(AtFar), string(AtSides)))
	case PressureLimit:
		s.only("a pressure limit", foreign(PressureLimit)...)
		s.missing("pressure", wantPressure)
		l.Pressure, _ = take(s, "pressure", wantPressure, si.ParsePressure)
		if l.At = AtGauge; s.has("at") {
			s.choice("at", false, string(AtGauge))
		}
	case Unknown:
		s.only("a part of which nothing is known", foreign(Unknown)...)
		if s.has("at") {
			l.At = Place(s.choice("at", false, string(AtRam), string(AtSpecimen), string(AtFar), string(AtSides), string(AtGauge)))
		}
	default:
		if l.Kind.Computed() {
			s.computed(&l, path)
		}
	}
	return l
}

func (r *reader) alarm() Alarm {
	s := section{r, "alarm"}
	level := func(k string, otherwise float64) float64 {
		return s.fraction(k, otherwise, fmt.Sprintf("a fraction of the allowable, as in %s = %.2f", k, otherwise))
	}
	out := Alarm{
		Caution:   level("caution", defaultCaution),
		Warning:   level("warning", defaultWarning),
		Stop:      level("stop", defaultStop),
		LookAhead: defaultLookAhead,
	}
	if v, ok := take(s, "look_ahead", wantAhead, seconds); ok {
		out.LookAhead = v
	}
	out.Trip = r.trip()
	return out
}

const wantAhead = `how far ahead a limit is told of, as in look_ahead = "5 s"; "0 s" for never`
