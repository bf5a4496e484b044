package rig

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"draghand/internal/si"
)

// What the file may leave out.
const (
	defaultFriction     = 0.0
	defaultFrictionBand = 0.02 // a greased seal drags some 1 to 3 % (common practice, no source)
	defaultBaud         = 115200
	defaultSeparator    = ","
	defaultCaution      = 0.75
	defaultWarning      = 0.90
	defaultStop         = 1.00
	defaultLookAhead    = 3.0 // s: time for a person to hear a warning and stop pumping; much longer and every elastic rise warns
)

// Parse reads a rig file's text; name is for messages only. It refuses unknown
// keys, missing units, contradictions and impossible values, all at once: the
// error is then a *FileError with every fault and its line. A rig without any
// known limit is accepted; Describe says so loudly.
func Parse(name string, text []byte) (*Rig, error) {
	if len(text) > MaxFile {
		return nil, &FileError{name, []Fault{{1, "", fmt.Sprintf("larger than %d bytes", MaxFile), "a rig file, which has a few thousand"}}}
	}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")) // some editors put a mark before the first line
	doc, ok := flatten(text)
	if !ok {
		return nil, &FileError{name, doc.faults}
	}
	p := &reader{doc: doc, faults: doc.faults, bad: map[string]bool{}}
	p.unknownKeys()
	rig := p.rig()
	for _, f := range rig.check() {
		if !p.underBad(f.Key) {
			p.fault(f.Key, f.Why, f.Want)
		}
	}
	if len(p.faults) > 0 {
		sortFaults(p.faults)
		return nil, &FileError{name, p.faults}
	}
	return rig, nil
}

// keys are the keys of each table, those of a [[limit]] under "limit".
var keys = map[string][]string{
	"rig":              {"name"},
	"ram":              {"area", "bore", "role", "rated_force", "rated_pressure", "stroke", "friction"},
	"sensor":           {"kind", "range", "proof_pressure", "accuracy", "signal", "shunt", "supply", "unit", "points"},
	"sensor.converter": {"bits", "reference", "divisor", "divider"},
	"source":           {"from", "baud", "separator", "columns", "clock", "clock_bits", "checksum", "rate"},
	"path":             {"kind", "share", "share_found", "specimen_arm", "far_arm", "bearing", "bearing_width", "weight", "ram_pushes"},
	"drive":            {"kind", "per_stroke", "stiffness"},
	"limit": {
		"name", "kind", "at", "force", "pressure", "design_factor", "note", "proof",
		"strength_from", "min_yield", "min_ultimate", "min_shear_yield", "nut_min_yield", "modulus",
		"shear", "section", "grip", "end", "diameter", "outer", "inner", "gap", "wall", "height", "width", "thickness",
		"hole", "pin", "end_distance", "arm", "other_arm", "support_width", "edges_carry", "leg", "length", "thread", "engagement",
	},
	"limit.proof": {"force", "date", "fraction", "straight_before", "straight_after", "record"},
	"alarm":       {"caution", "warning", "stop", "look_ahead"},
	"alarm.trip":  {"line", "port", "dtr_on_data_port"},
	"units":       {"display"},
}

// unknownKeys tells every key and table that means nothing, with the nearest
// one that does.
func (r *reader) unknownKeys() {
	for _, k := range r.doc.order {
		table, key := "", k
		if i := strings.LastIndexByte(k, '.'); i >= 0 {
			table, key = k[:i], k[i+1:]
		}
		if _, isTable := r.doc.tables[k]; isTable {
			if known := keys[plainTable(k)]; known == nil || loose(k) {
				r.unknownTable(k)
			}
			continue
		}
		if table == "" && keys[k] != nil {
			r.fault(k, "is a value, not a table", "["+k+"] with its keys below")
			continue
		}
		if table == "" {
			r.fault(k, "stands under no table", "it under one of "+tableNames())
			continue
		}
		known, ok := keys[plainTable(table)]
		if !ok || loose(table) || slices.Contains(known, key) {
			continue // an unknown table is told once, not with each of its keys
		}
		r.fault(k, "unknown key", nearest(key, known))
	}
}

// loose says whether a table is a limit, or of one, without being in the list.
func loose(table string) bool { return table == "limit" || strings.HasPrefix(table, "limit.") }

func (r *reader) unknownTable(k string) {
	switch {
	case loose(k):
		r.fault(k, "a limit is one of a list", "[[limit]], in double brackets")
	case keys[strings.ToLower(k)] != nil:
		r.fault(k, "unknown table", "["+strings.ToLower(k)+"]")
	default:
		r.fault(k, "unknown table", "one of "+tableNames())
	}
}

// plainTable is a table's name without a limit's number.
func plainTable(t string) string {
	if rest, ok := strings.CutPrefix(t, "limit["); ok {
		_, tail, _ := strings.Cut(rest, "]")
		return "limit" + tail
	}
	return t
}

func tableNames() string {
	return "[rig], [ram], [sensor], [sensor.converter], [source], [path], [drive], [[limit]], [alarm], [alarm.trip], [units]"
}

// nearest offers the key that was probably meant, else all there are.
func nearest(key string, known []string) string {
	low := strings.ToLower(strings.ReplaceAll(key, "-", "_"))
	for _, k := range known {
		if low == k || distance(low, k) <= 2 {
			return k
		}
	}
	return "one of " + strings.Join(known, ", ")
}

// distance is the number of letters to change, add or drop between two words.
func distance(a, b string) int {
	if len(a) > 40 {
		return len(a)
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		prev := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			prev, row[j+1] = row[j+1], min(prev+cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

// rig reads all tables. What is wrong is told along the way; a field that could
// not be read stays zero.
func (r *reader) rig() *Rig {
	for _, t := range []string{"rig", "ram", "sensor", "path"} {
		if _, ok := r.doc.tables[t]; !ok {
			r.fault(t, "the table is missing", "["+t+"]")
		}
	}
	rig := &Rig{}
	s := section{r, "rig"}
	rig.Name, _ = s.text("name", wantName)
	s.required("name", wantName)
	rig.Ram = r.ram()
	rig.Sensor = r.sensor(rig.Ram.Area)
	rig.Source = r.source()
	rig.Path = r.path()
	rig.Drive = r.drive()
	rig.Limits = append(r.stated(rig.Path), rig.Ram.limits(r)...)
	rig.Alarm = r.alarm()
	if u, ok := (section{r, "units"}).text("display", `"us" or "si"`); ok {
		if err := rig.Units.UnmarshalText([]byte(u)); err != nil {
			r.fault("units.display", fmt.Sprintf("%q is not known", u), `"us" or "si"`)
		}
	}
	return rig
}

// required tells a missing key unless its whole table is missing, which is told
// once.
func (s section) required(k, want string) {
	if s.bad[s.name] {
		s.bad[s.key(k)] = true
		return
	}
	s.missing(k, want)
}

const (
	wantName     = `a name, as in name = "pull rig"`
	wantArea     = `an area with its limit of error, as in area = "42.0 cm² ± 0.5 %", or bore = "73.1 mm ± 0.1 mm"`
	wantFriction = `a fraction with its limit of error, as in friction = "0 ± 0.02"`
)

func (r *reader) ram() Ram {
	s := section{r, "ram"}
	ram := Ram{Friction: defaultFriction, FrictionBand: defaultFrictionBand}
	switch {
	case s.has("area") && s.has("bore"):
		s.fault("bore", "given beside area, which says the same", "one of the two")
	case s.has("bore"):
		d, tol, ok := pair(s, "bore", wantArea, func(t string) (si.Length, si.Length, error) { return toleranced(t, si.ParseLength) })
		ram.Area, ram.AreaTol = circle(d, tol)
		if ok && ram.Area <= 0 {
			s.fault("bore", "not above zero", wantArea)
		}
		s.bad[s.key("area")] = s.bad[s.key("bore")]
	case s.has("area"):
	default:
		s.required("area", wantArea)
	}
	if s.has("area") {
		ram.Area, ram.AreaTol, _ = pair(s, "area", wantArea, func(t string) (si.Area, si.Area, error) { return toleranced(t, si.ParseArea) })
	}
	ram.Role = Role(s.choiceIn("role", string(SensorRam), string(ActuatorRam)))
	ram.RatedForce, _ = take(s, "rated_force", wantForce, si.ParseForce)
	ram.RatedPressure, _ = take(s, "rated_pressure", wantPressure, si.ParsePressure)
	ram.Stroke, _ = take(s, "stroke", `a length, as in "50 mm"`, si.ParseLength)
	ram.Friction, ram.FrictionBand, _ = s.fractionTol("friction", wantFriction, ram.Friction, ram.FrictionBand)
	s.positive("rated_force", float64(ram.RatedForce), wantForce)
	s.positive("rated_pressure", float64(ram.RatedPressure), wantPressure)
	s.positive("stroke", float64(ram.Stroke), `a length, as in "50 mm"`)
	return ram
}

// positive refuses a stated zero: in the resolved rig it would read as "not
// stated".
func (s section) positive(k string, v float64, want string) {
	if s.has(k) && v <= 0 {
		s.fault(k, "not above zero", want)
	}
}

// choiceIn is a required choice of a table that may itself be missing.
func (s section) choiceIn(k string, words ...string) string {
	s.required(k, oneOf(words))
	return s.choice(k, false, words...)
}

// circle is the area of a bore and its limit of error, 2·Δd/d of it.
func circle(d, tol si.Length) (si.Area, si.Area) {
	a := si.Area(float64(d) * float64(d) * quarterPi)
	if d <= 0 {
		return 0, 0
	}
	return a, si.Area(2 * float64(tol) / float64(d) * float64(a))
}

const quarterPi = 0.78539816339744830961566084581987572

// The names of the limits that a ram's own ratings become.
const (
	ramLimit      = "ram"
	ramOilLimit   = "ram oil pressure"
	unknownRamWhy = "no rated force or pressure is stated in [ram]"
)

// limits are those the ram itself brings: its rated force and pressure, unless
// a limit of that name is stated. A ram of which nothing is stated is a part
// without a known limit, as any other.
func (ram Ram) limits(r *reader) []Limit {
	stated := map[string]bool{}
	known := false
	for i := range r.doc.limits {
		s := section{r, limitKey(i)}
		stated[strings.ToLower(strings.TrimSpace(r.doc.values[s.key("name")].text))] = true
		known = known || r.doc.values[s.key("at")].text == string(AtRam) && r.doc.values[s.key("kind")].text == string(Rated)
	}
	var out []Limit
	if ram.RatedForce > 0 && !stated[ramLimit] {
		out = append(out, Limit{Name: ramLimit, Kind: Rated, At: AtRam, Force: ram.RatedForce, Factor: 1})
	}
	if ram.RatedPressure > 0 && !stated[ramOilLimit] {
		out = append(out, Limit{Name: ramOilLimit, Kind: PressureLimit, At: AtGauge, Pressure: ram.RatedPressure, Factor: 1})
	}
	if len(out) == 0 && !known && !stated[ramLimit] && !stated[ramOilLimit] {
		out = append(out, Limit{Name: ramLimit, Kind: Unknown, At: AtRam, Factor: 1, Note: unknownRamWhy})
	}
	return out
}

func limitKey(i int) string { return fmt.Sprintf("limit[%d]", i+1) }
