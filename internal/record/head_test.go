package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

const schemaPath = "../../docs/pull.schema.json"

// compile compiles the published schema; strict closes every object in it, so
// that a field the schema does not describe is refused.
func compile(t testing.TB, strict bool) *jsonschema.Schema {
	t.Helper()
	text, err := os.ReadFile(schemaPath)
	must(t, err)
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	must(t, err)
	if strict {
		closeObjects(doc)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	must(t, c.AddResource("pull.schema.json", doc))
	s, err := c.Compile("pull.schema.json")
	must(t, err)
	return s
}

func closeObjects(v any) {
	switch v := v.(type) {
	case map[string]any:
		if _, ok := v["properties"]; ok {
			v["additionalProperties"] = false
		}
		for _, k := range v {
			closeObjects(k)
		}
	case []any:
		for _, k := range v {
			closeObjects(k)
		}
	}
}

func validate(t testing.TB, s *jsonschema.Schema, text []byte) error {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	must(t, err)
	return s.Validate(v)
}

// fullState fills every field that reaches the closing. The numbers are made
// up and only tell the fields apart.
func fullState() pull.State {
	return pull.State{
		T: 12_345_678_901, LoadedAt: 3 * time.Second, Kind: pull.Tension, Phase: pull.Broken, Outcome: pull.Broken,
		Readings: 12000, Faults: 3, Gaps: 2, BadLines: 4, Slips: 1, PeakUnseen: 1, OverRange: true, Noise: 900,
		Zero:    pull.Zero{Set: true, Raw: 819.5, Pressure: 1200, SD: 800, Readings: 2000, T: 2 * time.Second, Quality: "quiet", Return: -300, HasReturn: true},
		Peak:    pull.Point{T: 11 * time.Second, Raw: 2900, Gauge: 44e6, Ram: 185e3, Specimen: 37e3, Stress: 301e6},
		PeakRaw: pull.Point{T: 11_001_000_000, Raw: 2903, Gauge: 44.1e6, Ram: 185.3e3, Specimen: 37.1e3},
		Break:   &pull.Break{T: 11_010_500_000, Specimen: 36.5e3, Fall: 18 * time.Millisecond, Provisional: true},
		Yield: &pull.YieldDrop{
			Upper: pull.Point{T: 6 * time.Second, Raw: 2200, Gauge: 26e6, Ram: 109e3, Specimen: 22e3, Stress: 179e6},
			Lower: pull.Point{T: 6_200_000_000, Raw: 2150, Gauge: 25e6, Ram: 107e3, Specimen: 21e3},
		},
		Hold:       &pull.Hold{From: 7 * time.Second, For: 1500 * time.Millisecond, Force: 20e3, Lowest: 19.5e3, Lost: 0.025, Met: true},
		Strokes:    pull.Strokes{Count: 14, Gain: 1500, Best: 2500, Giving: true},
		FirstYield: &pull.FirstYield{T: 6500 * time.Millisecond, Specimen: 23e3, Stress: 187e6, Method: pull.ByStroke},
		PeakBias:   45,
		Limits: []pull.Limit{
			{Name: "link bar", At: rig.AtFar, Allowable: 48e3, PeakRatio: 0.78},
			{Name: "transducer", At: rig.AtGauge, Allowable: 70e6, PeakRatio: nan()},
		},
		Alarms: []pull.Alarm{
			{Level: pull.Caution, Limit: "link bar", Text: "link bar at 0.75", Raised: 10 * time.Second, Load: 36e3, At: rig.AtFar, Acked: true},
			{Level: pull.Caution, Limit: "transducer", Text: "transducer at 0.75", Raised: 10 * time.Second, Load: 52e6, At: rig.AtGauge, Single: true},
			{Level: pull.Stop, Text: "cannot see the force: stop pumping", Raised: 12 * time.Second, Blind: true, Returned: true},
		},
	}
}

// calibrated is a rig with a calibration whose every field is set. The numbers are
// made up.
func calibrated(r *rig.Rig) *rig.Rig {
	out := *r
	out.Calibration = &rig.Calibration{
		ID: "2026-11-20-example-specimen-far", Made: time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC), Due: time.Date(2027, 11, 20, 9, 0, 0, 0, time.UTC),
		Rig: r.Name, Sensor: r.Sensor, Role: r.Ram.Role, Path: r.Path, Simulated: true, At: rig.AtSpecimen, Far: true,
		Reference: "a cell", Certificate: "C-17", ReferenceU: 0.001, Claims: []string{"compared with a cell"}, Remarks: []string{"one run only"},
		Line:    rig.CalibrationLine{Offset: 12, Slope: 0.0021, Low: 4e6, High: 2e7, Points: 10, SD: 15, Mean: 1.2e7, SumSquares: 3.2e14},
		Rubbing: &rig.MeasuredRubbing{Friction: 0.015, FrictionU: 0.001, DoF: 8},
	}
	return &out
}

// fullHead has every field of pull.json set, but for the closing.
func fullHead() Head {
	h := simulatedHead()
	h.Rig = calibrated(h.Rig)
	h.Specimen.GaugeLength = 50 * si.Millimetre
	h.Specimen.Yield = 140 * si.Megapascal
	h.Proof = &Proof{Target: 20 * si.Kilonewton, Hold: 60}
	h.LastZero = ptr(818.25)
	h.Overrides = []string{"pins of unknown strength: accepted"}
	h.Remarks = []string{"simulated"}
	h.Specimen.ExpectLow, h.Specimen.ExpectHigh = 275*si.Megapascal, 345*si.Megapascal
	h.Specimen.Tags = []string{"1150 °C", "green sand"}
	h.Arming = &Arming{
		Confirmed:   []SetupPoint{{ID: "guard", Text: "guard up"}},
		Unconfirmed: []SetupPoint{{ID: "air", Text: "air bled"}},
		Overruled:   []string{"1 point is not seen to"}, Reason: "bled yesterday",
	}
	h.Said = []Said{{At: start(), Text: "pins looked bent"}}
	h.Rig.Ram.RatedPressure, h.Rig.Ram.Stroke, h.Rig.Ram.Friction = 700*si.Bar, 50*si.Millimetre, 0.01
	h.Rig.Sensor.Proof, h.Rig.Sensor.Supply, h.Rig.Sensor.UnitFactor, h.Rig.Sensor.AccuracyOfReading = 1400*si.Bar, 5, 1, true
	h.Rig.Source.From, h.Rig.Source.Checksum, h.Rig.Source.Rate = "serial:/dev/ttyACM0", "xor", 1000
	h.Rig.Path.BearingWide, h.Rig.Path.Weight, h.Rig.Path.RamPushes = 10*si.Millimetre, 120, "up"
	h.Rig.Drive = &rig.Drive{Kind: "hand-pump", PerStroke: 0.4 * si.Millimetre, Stiffness: 2e7}
	h.Rig.Limits[0].Note = "plate on the ram"
	return h
}

// pull.json as Create and Close leave it satisfies the published schema, and
// the schema describes every field in it.
func TestSchema(t *testing.T) {
	loose, strict := compile(t, false), compile(t, true)
	for name, h := range map[string]Head{"plain": simulatedHead(), "full": fullHead()} {
		w, err := Create(t.TempDir(), h)
		must(t, err)
		check := func(when string) {
			text, err := os.ReadFile(filepath.Join(w.Dir(), HeadFile))
			must(t, err)
			if err := validate(t, loose, text); err != nil {
				t.Errorf("%s, %s: %v", name, when, err)
			}
			if err := validate(t, strict, text); err != nil {
				t.Errorf("%s, %s, a field is not described: %v", name, when, err)
			}
		}
		check("created")
		w.Append(1, nil, []byte("1"), "")
		c := Closing{Reason: ByEnd, Ended: start(), Limits: []Limit{}, Alarms: []Alarm{}, Phase: pull.Slack, Zero: Zero{Quality: "none"}}
		if name == "full" {
			c = ClosingFrom(fullState(), ByBreak)
			c.Ended = start().Add(12 * time.Second)
		}
		must(t, w.Close(c))
		check("closed")
	}
	for name, text := range map[string]string{
		"tags as text":   strings.Replace(minimal(t), `"id": "3"`, `"id": "3", "tags": "sand"`, 1),
		"said by nobody": strings.Replace(minimal(t), `"format": 1,`, `"format": 1, "said": [{"text": "x"}],`, 1),
		"no point":       strings.Replace(minimal(t), `"format": 1,`, `"format": 1, "arming": {"confirmed": ["guard up"], "not_confirmed": [], "overruled": []},`, 1),
		"target as text": strings.Replace(minimal(t), `"format": 1,`, `"format": 1, "proof": {"target_n": "20 kN", "hold_s": 0},`, 1),
		"empty":          `{}`,
		"no rig":         `{"format":1,"program":"x","started":"2026-11-25T14:03:22Z","kind":"tension","specimen":{},"source":"sim:"}`,
		"other kind":     strings.Replace(minimal(t), `"tension"`, `"twist"`, 1),
		"format 3":       strings.Replace(minimal(t), `"format": 1`, `"format": 3`, 1),
		"no time":        strings.Replace(minimal(t), `2026-11-25T14:03:22.25Z`, `yesterday`, 1),
		"force as text":  strings.Replace(minimal(t), `"rated_n": 250000`, `"rated_n": "250 kN"`, 1),
	} {
		if validate(t, loose, []byte(text)) == nil {
			t.Errorf("the schema lets through: %s", name)
		}
	}
	if err := validate(t, loose, []byte(strings.Replace(minimal(t), `"format": 1,`, `"format": 1, "later": 7,`, 1))); err != nil {
		t.Errorf("the schema refuses a field of a later program: %v", err)
	}
}

func minimal(t testing.TB) string {
	h := simulatedHead()
	h.Format = formatOf(h)
	text, err := encodeHead(h)
	must(t, err)
	return string(text)
}

// The closing carries the state in SI, names its units, and has null for what
// is not known.
func TestClosingFrom(t *testing.T) {
	got := ClosingFrom(fullState(), ByBreak)
	text, err := json.Marshal(got)
	must(t, err)
	// By hand from fullState; times to the microsecond.
	want := `{"reason":"break","ended":"0001-01-01T00:00:00Z","length_s":12.345679,"phase":"broken","outcome":"broken","loaded_s":3,
		"samples":12000,"faults":3,"gaps":2,"bad_lines":4,"slips":1,"peak_unseen":1,"over_range":true,
		"zero":{"set":true,"quality":"quiet","raw":819.5,"pa":1200,"sd_pa":800,"readings":2000,"t_s":2,"return_pa":-300},"noise_pa":900,
		"peak":{"t_s":11,"raw":2900,"gauge_pa":44000000,"ram_n":185000,"specimen_n":37000,"stress_pa":301000000},
		"peak_raw":{"t_s":11.001,"raw":2903,"gauge_pa":44100000,"ram_n":185300,"specimen_n":37100,"stress_pa":null},
		"break":{"t_s":11.0105,"specimen_n":36500,"fall_s":0.018,"provisional":true},
		"yield_drop":{"upper":{"t_s":6,"raw":2200,"gauge_pa":26000000,"ram_n":109000,"specimen_n":22000,"stress_pa":179000000},
			"lower":{"t_s":6.2,"raw":2150,"gauge_pa":25000000,"ram_n":107000,"specimen_n":21000,"stress_pa":null}},
		"hold":{"t_s":7,"target_n":20000,"held_s":1.5,"lowest_n":19500,"lost":0.025,"met":true},
		"strokes":{"count":14,"gain_n":1500,"best_n":2500},"first_yield":{"t_s":6.5,"specimen_n":23000,"stress_pa":187000000,"method":"gain per stroke"},"peak_bias_n":45,
		"limits":[{"name":"link bar","at":"far","allowable_n":48000,"peak_ratio":0.78},{"name":"transducer","at":"gauge","allowable_pa":70000000,"peak_ratio":null}],
		"alarms":[{"level":"caution","limit":"link bar","text":"link bar at 0.75","t_s":10,"load_n":36000,"acknowledged":true,"returned":false},
			{"level":"caution","limit":"transducer","text":"transducer at 0.75","t_s":10,"load_pa":52000000,"single_reading":true,"acknowledged":false,"returned":false},
			{"level":"stop","text":"cannot see the force: stop pumping","t_s":12,"blind":true,"acknowledged":false,"returned":true}],
		"samples_bytes":0,"samples_lines":0,"samples_sha256":""}`
	var flat bytes.Buffer
	must(t, json.Compact(&flat, []byte(want)))
	if d := cmp.Diff(flat.String(), string(text)); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	var back Closing
	must(t, json.Unmarshal(text, &back))
	if d := cmp.Diff(got, back); d != "" {
		t.Errorf("read back (-want +got):\n%s", d)
	}

	empty := ClosingFrom(pull.State{Phase: pull.Slack, Nearest: -1}, ByPerson)
	if empty.Peak != nil || empty.Yield != nil || empty.Hold != nil || empty.Strokes.Gain != nil || empty.Break != nil || empty.Zero.Raw != nil || empty.Zero.Quality != "none" || empty.Limits == nil || empty.Alarms == nil {
		t.Errorf("the closing of nothing = %+v", empty)
	}
	s := pull.State{Phase: pull.Slack, Peak: pull.Point{T: 1, Raw: nan(), Gauge: si.Pressure(nan())}, Noise: si.Pressure(nan())}
	if _, err := json.Marshal(ClosingFrom(s, ByPerson)); err != nil {
		t.Errorf("NaN in the state: %v", err)
	}
}

// Times survive JSON to the microsecond, over a day.
func TestSeconds(t *testing.T) {
	for _, d := range []time.Duration{0, 1000, 999_999_000, 12_345_678_000, 86_399_999_999_000} {
		text, err := json.Marshal(SecondsOf(d))
		must(t, err)
		var s Seconds
		must(t, json.Unmarshal(text, &s))
		if s.Duration() != d {
			t.Errorf("%v through %s = %v", d, text, s.Duration())
		}
	}
}

func TestNewerError(t *testing.T) {
	_, err := decodeHead("p", []byte(`{"format": 3, "rig": "in another way"}`))
	newer, ok := errors.AsType[*NewerError](err)
	if !ok || newer.Format != 3 || !errors.Is(err, ErrNewer) || !strings.HasSuffix(err.Error(), "made by a newer draghand (format 3), this one reads up to 2: update") {
		t.Errorf("err = %v", err)
	}
}

// A record whose forces are reckoned by a calibration is of format 2: a program
// that knows none would tell other forces. All others stay of format 1, which
// earlier programs read. Both are read, one of format 1 with a calibration too.
func TestFormatOfCalibrated(t *testing.T) {
	bare, with := fullHead(), fullHead()
	r := *bare.Rig
	r.Calibration = nil
	bare.Rig = &r
	if with.Rig.Calibration == nil {
		t.Fatal("the full head has no calibration")
	}
	for _, c := range []struct {
		name string
		head Head
		want int
	}{{"without", bare, 1}, {"with", with, 2}, {"simulated", simulatedHead(), 1}} {
		c.head.Format = 0
		w, err := Create(t.TempDir(), c.head)
		must(t, err)
		must(t, w.Close(ClosingFrom(fullState(), ByBreak)))
		text, err := os.ReadFile(filepath.Join(w.Dir(), HeadFile))
		must(t, err)
		if !strings.Contains(string(text), `"format": `+strconv.Itoa(c.want)+",") {
			t.Errorf("%s a calibration: no format %d in %.40s", c.name, c.want, text)
		}
		got, err := HeadOf(w.Dir())
		must(t, err)
		if got.Format != c.want || (got.Rig.Calibration == nil) != (c.head.Rig.Calibration == nil) {
			t.Errorf("%s a calibration: read as format %d, %v", c.name, got.Format, got.Rig.Calibration)
		}
		var s Skimmer
		if _, err := s.Brief(w.Dir()); err != nil {
			t.Errorf("%s a calibration: %v", c.name, err)
		}
		if r := Check(w.Dir()); r.Status != Whole {
			t.Errorf("%s a calibration: %+v", c.name, r)
		}
		early := strings.Replace(string(text), `"format": 2`, `"format": 1`, 1)
		if h, err := decodeHead("x", []byte(early)); err != nil || (h.Rig.Calibration == nil) != (c.head.Rig.Calibration == nil) {
			t.Errorf("%s a calibration, as format 1: %v", c.name, err)
		}
	}
}

// Names from people, and what becomes of them. Windows' device names are from
// Microsoft's "Naming Files, Paths, and Namespaces" (from memory).
func TestSafeName(t *testing.T) {
	for in, want := range map[string]string{
		"M12": "M12", "bar 3": "bar-3", "a/b\\c": "a-b-c", "../../etc": "etc", "..": "", "": "", " ": "", "…": "",
		"Schmelze Ä1": "Schmelze-1", "плавка": "", "a\x00\n\x1b[2Jb": "a-2Jb", "x.": "x", "-x-": "x", ".hidden": "hidden",
		"con": "_con", "CON.txt": "_CON.txt", "Lpt9": "_Lpt9", "com0": "_com0", "com10": "com10", "console": "console",
		"a<b>c:d\"e|f?g*h": "a-b-c-d-e-f-g-h", "v1.2_b": "v1.2_b", "\xff\xfe": "",
		strings.Repeat("x", 300):          strings.Repeat("x", 40),
		strings.Repeat("x", 39) + ".more": strings.Repeat("x", 39),
		strings.Repeat("y", 39) + " more": strings.Repeat("y", 39),
	} {
		if got := SafeName(in); got != want {
			t.Errorf("SafeName(%q) = %q, want %q", in, got, want)
		}
	}
	for _, c := range []struct{ melt, id, want string }{
		{"M12", "3", "2026-11-25T140322Z-M12-3"},
		{"M12", "", "2026-11-25T140322Z-M12"},
		{"", "3", "2026-11-25T140322Z-3"},
		{"", "", "2026-11-25T140322Z-tension"},
		{"../..", "/", "2026-11-25T140322Z-tension"},
		{"nul", "con", "2026-11-25T140322Z-_nul-_con"},
	} {
		h := simulatedHead()
		h.Specimen.Melt, h.Specimen.ID = c.melt, c.id
		h.Started = h.Started.In(time.FixedZone("", 3600))
		if got := folderName(h); got != c.want {
			t.Errorf("folderName(%q, %q) = %q, want %q", c.melt, c.id, got, c.want)
		}
	}
}

// Whatever a person types, the name is safe and making it safe again changes
// nothing.
func FuzzSafeName(f *testing.F) {
	f.Add("M12/../x")
	f.Add("con.con")
	f.Fuzz(func(t *testing.T, s string) {
		n := SafeName(s)
		if len(n) > maxPart+1 || n != filepath.Base("x" + n)[1:] || strings.HasSuffix(n, ".") || strings.HasPrefix(n, ".") {
			t.Fatalf("SafeName(%q) = %q", s, n)
		}
		for _, c := range []byte(n) {
			if !strings.ContainsRune("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.", rune(c)) {
				t.Fatalf("SafeName(%q) = %q", s, n)
			}
		}
		if len(n) <= maxPart && SafeName(n) != n {
			t.Fatalf("SafeName(%q) = %q, again %q", s, n, SafeName(n))
		}
	})
}

// What the engine is given is all in the head, and a proof's figures count in a
// proof only.
func TestConfig(t *testing.T) {
	h := fullHead()
	h.Kind = pull.Proof
	text, err := encodeHead(Head{Format: Format, Kind: h.Kind, Specimen: h.Specimen, Rig: h.Rig, LastZero: h.LastZero, Proof: h.Proof})
	must(t, err)
	back, err := decodeHead("", text)
	must(t, err)
	// By hand: the smallest of the three diameters is 12.5 mm.
	want := pull.Config{
		Kind: pull.Proof, Rig: h.Rig, Area: si.Area(math.Pi / 4 * 0.0125 * 0.0125), LastZero: ptr(818.25),
		Yield: 140e6, Target: 20e3, Hold: time.Minute,
	}
	if d := cmp.Diff(want, back.Config()); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	for _, c := range []struct {
		name   string
		change func(*Head)
	}{
		{"a tension with a proof's figures", func(h *Head) { h.Kind = pull.Tension }},
		{"a proof without any", func(h *Head) { h.Proof = nil }},
	} {
		one := back
		c.change(&one)
		if got := one.Config(); got.Target != 0 || got.Hold != 0 || got.Kind != one.Kind {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}

// A calibration inside pull.json is held to what its own file is.
func TestHeadCalibration(t *testing.T) {
	h := fullHead()
	h.Format = Format
	text, err := encodeHead(h)
	must(t, err)
	if _, err := decodeHead("x", text); err != nil {
		t.Fatalf("as it was written: %v", err)
	}
	for name, c := range map[string]struct{ from, to, want string }{
		"falling":    {`"slope": 0.0021`, `"slope": -1`, "calibration.line.slope"},
		"no force":   {`"slope": 0.0021`, `"slope": 1e300`, "calibration.line.slope"},
		"no certain": {`"reference_u": 0.001`, `"reference_u": 7`, "calibration.reference_u"},
		"no place": {`"at": "specimen",
      "far": true`, `"at": "moon"`, "calibration.at"},
		"one point":   {`"points": 10`, `"points": 1`, "calibration.line.points"},
		"no scatter":  {`"residual_sd": 15`, `"residual_sd": 1e300`, "calibration.line.residual_sd"},
		"no pressure": {`"sum_squares_pa2": 320000000000000`, `"sum_squares_pa2": 1e-300`, "calibration.line.sum_squares_pa2"},
	} {
		forged := strings.Replace(string(text), c.from, c.to, 1)
		if forged == string(text) {
			t.Errorf("%s: no %s in %s", name, c.from, text)
			continue
		}
		if _, err := decodeHead("x", []byte(forged)); err == nil || !strings.Contains(err.Error(), "holds a calibration that cannot be") || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
