package rig

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/charmbracelet/x/exp/golden"

	"draghand/internal/si"
)

// TestExample holds the example to the figures of design 4.
func TestExample(t *testing.T) {
	r := mustParse(t, Example())
	near := func(what string, got, want float64) {
		t.Helper()
		if !near(got, want, worked) {
			t.Errorf("%s = %v, want %v", what, got, want)
		}
	}
	near("area", float64(r.Ram.Area), 42e-4)
	near("rated force", float64(r.Ram.RatedForce), 250e3)
	near("high", float64(r.Sensor.High), 700e5)
	near("shunt", float64(r.Sensor.Shunt), 250)
	near("reference", float64(r.Sensor.Reference), 5)
	near("specimen arm", float64(r.Path.SpecimenArm), 0.110)
	near("far arm", float64(r.Path.FarArm), 0.110)
	near("arm tolerance", float64(r.Path.ArmTol), 0.0005)
	near("share", r.Path.Share, 0.5)
	if r.Ram.Role != SensorRam || r.Sensor.Kind != CurrentLoop || r.Sensor.Bits != 12 || r.Path.Bearing != "roller" || r.Units != si.US {
		t.Errorf("example = %+v", r)
	}
	if s := r.Source; strings.Join(s.Columns, " ") != "time raw" || s.Clock != "us" || s.ClockBits != 32 || s.Separator != "," || s.Baud != 115200 {
		t.Errorf("source = %+v", s)
	}
	if a := r.Alarm; a.Caution != 0.75 || a.Warning != 0.90 || a.Stop != 1 {
		t.Errorf("alarm = %+v", a)
	}
	want := map[string]float64{"ram": 250e3, "transducer": 700e5, "link bar": 48e3}
	for _, b := range r.Bounds() {
		near(b.Limit.Name, b.Allowable, want[b.Limit.Name])
		delete(want, b.Limit.Name)
	}
	if len(want) > 0 || strings.Join(r.UnknownParts(), ",") != "pins" {
		t.Errorf("missing limits %v; unknown %v, want pins", want, r.UnknownParts())
	}
}

// TestFiveFaults: all at once, each with the line a person counts in the file.
func TestFiveFaults(t *testing.T) {
	text, err := os.ReadFile("../../testdata/rigs/five-faults.toml")
	if err != nil {
		t.Fatal(err)
	}
	_, err = Parse("five-faults.toml", text)
	fe, ok := errors.AsType[*FileError](err)
	if !ok || len(fe.Faults) != 5 {
		t.Fatalf("Parse = %v, want five faults", err)
	}
	lines := strings.Split(string(text), "\n")
	for i, want := range []struct{ key, on string }{
		{"ram.area", "area = 42.0"},
		{"sensor.proof_pressure", "proof_pressure ="},
		{"sensor.Shunt", "Shunt ="},
		{"path.bearing_width", "[path]"}, // missing: the line of its table
		{"limit[2].force", "[[limit]]"},
	} {
		f := fe.Faults[i]
		if f.Key != want.key || !strings.HasPrefix(lines[f.Line-1], want.on) {
			t.Errorf("fault %d = %+v on %q, want %s on %q", i, f, lines[f.Line-1], want.key, want.on)
		}
	}
	golden.RequireEqual(t, []byte(err.Error()+"\n"))
}

// TestShared: every rig of testdata/rigs parses but for those named by faults.
func TestShared(t *testing.T) {
	files, err := filepath.Glob("../../testdata/rigs/*.toml")
	if err != nil || len(files) < 6 {
		t.Fatalf("found %d rig files, %v", len(files), err)
	}
	for _, f := range files {
		r, err := Load(f)
		if bad := strings.Contains(f, "faults"); bad != (err != nil) {
			t.Errorf("Load(%s) = %v", f, err)
		} else if !bad {
			if err := r.Validate(); err != nil {
				t.Errorf("%s does not validate: %v", f, err)
			}
		}
	}
}

// TestFaults: a file with one thing wrong each: what is replaced or added, and the key
// and words that must come back.
func TestFaults(t *testing.T) {
	path2 := "kind = \"two-sided\"\nspecimen_arm = \"110 mm ± 0.5 mm\"\nfar_arm = \"110 mm ± 0.5 mm\"\n"
	ram := "area = \"10 cm² ± 1 %\"\nrole = \"sensor\"\n"
	rng := "range = \"0 bar .. 700 bar\"\naccuracy = \"1 % of reading\"\n"
	lim := func(s string) tables { return tables{"limits": "[[limit]]\n" + s + "\n"} }
	bar := "name = \"bar\"\nkind = \"rated\"\nat = \"specimen\"\nforce = \"48 kN\"\n"
	tests := []struct {
		name string
		over tables
		key  string
		why  string
	}{
		{"unknown key", tables{"rig": "name = \"a\"\ncolour = \"red\""}, "rig.colour", "unknown key"},
		{"misspelt key", tables{"ram": ram + "frictoin = \"0 ± 0.02\""}, "ram.frictoin", "want friction"},
		{"wrong case", tables{"ram": ram + "Stroke = \"50 mm\""}, "ram.Stroke", "want stroke"},
		{"hyphen for underscore", tables{"ram": ram + "rated-force = \"50 kN\""}, "ram.rated-force", "want rated_force"},
		{"unknown table", tables{"limits": "[[limit]]\n" + bar + "[screen]\nx = 1\n"}, "screen", "unknown table"},
		{"table in capitals", tables{"limits": "[Drive]\nkind = \"motor\"\n"}, "Drive", "want [drive]"},
		{"single limit table", tables{"limits": "[limit]\n" + bar}, "limit", "[[limit]]"},
		{"list of rams", tables{"limits": "[[drive]]\nkind = \"motor\"\n"}, "drive", "double brackets"},
		{"value for a table", tables{"rig": "name = \"a\"", "limits": "[units.display]\n"}, "units.display", "unknown table"},
		{"true for an area", tables{"ram": "area = true\nrole = \"sensor\""}, "ram.area", "is true"},
		{"list for a name", tables{"rig": "name = [\"a\"]"}, "rig.name", "is a list"},
		{"date for a share", tables{"path": "kind = \"fixed\"\nshare = 2026-11-25"}, "path.share", "is a date or time"},
		{"a book for a name", tables{"rig": "name = \"a\"\n" + strings.Repeat("x", 5000) + " = 1"}, "rig." + strings.Repeat("x", 196) + "…", "unknown key"},
		{"too many limits", tables{"limits": strings.Repeat("[[limit]]\nname = \"a\"\nkind = \"unknown\"\n", 65)}, "limit", "more than 64"},
		{"key twice", tables{"ram": ram + "role = \"sensor\""}, "ram.role", "given twice, first on line 5"},
		{"table twice", tables{"limits": "[rig]\n"}, "rig", "given twice"},
		{"empty name", tables{"rig": `name = " "`}, "rig.name", "empty"},
		{"name with escape", tables{"rig": `name = "a\u001b[31mb"`}, "rig.name", "cannot be shown"},
		{"name that turns text round", tables{"rig": `name = "a\u202eb"`}, "rig.name", "cannot be shown"},

		{"no ram area", tables{"ram": `role = "sensor"`}, "ram.area", "missing"},
		{"bare number", tables{"ram": "area = 42\nrole = \"sensor\""}, "ram.area", "42 has no unit"},
		{"no unit in the text", tables{"ram": "area = \"42 ± 1\"\nrole = \"sensor\""}, "ram.area", "no unit"},
		{"wrong unit", tables{"ram": "area = \"42 cm ± 1 %\"\nrole = \"sensor\""}, "ram.area", "is no unit of area"},
		{"no limit of error", tables{"ram": "area = \"42 cm²\"\nrole = \"sensor\""}, "ram.area", "no limit of error"},
		{"negative limit of error", tables{"ram": "area = \"42 cm² ± -1 cm²\"\nrole = \"sensor\""}, "ram.area", "negative"},
		{"square metres for centimetres", tables{"ram": "area = \"42.0 m² ± 1 %\"\nrole = \"sensor\""}, "ram.area", "is not between"},
		{"negative area", tables{"ram": "area = \"-42.0 cm² ± 1 %\"\nrole = \"sensor\""}, "ram.area", "is not between"},
		{"bore and area", tables{"ram": ram + "bore = \"50 mm ± 0.1 mm\""}, "ram.bore", "beside area"},
		{"bore of nothing", tables{"ram": "bore = \"0 mm ± 0 mm\"\nrole = \"sensor\""}, "ram.bore", "not above zero"},
		{"no role", tables{"ram": `area = "10 cm² ± 1 %"`}, "ram.role", "missing"},
		{"role not known", tables{"ram": "area = \"10 cm² ± 1 %\"\nrole = \"pump\""}, "ram.role", `want "sensor" or "actuator"`},
		{"negative friction", tables{"ram": ram + `friction = "-0.01 ± 0.02"`}, "ram.friction", "is not between"},
		{"friction of everything", tables{"ram": ram + `friction = "1 ± 0.02"`}, "ram.friction", "is not between"},
		{"friction without sense", tables{"ram": ram + `friction = "some"`}, "ram.friction", "is no number"},
		{"rated force of zero", tables{"ram": ram + `rated_force = "0 kN"`}, "ram.rated_force", "not above zero"},
		{"not finite", tables{"ram": ram + `rated_force = "1e999 N"`}, "ram.rated_force", "not a finite number"},
		{"ton", tables{"ram": ram + `rated_force = "20 ton"`}, "ram.rated_force", "ambiguous"},

		{"sensor kind not known", tables{"sensor": "kind = \"strain\"\n" + rng}, "sensor.kind", "not known"},
		{"no accuracy", tables{"sensor": "kind = \"current\"\nrange = \"0 bar .. 700 bar\""}, "sensor.accuracy", "missing"},
		{"accuracy of what", tables{"sensor": "kind = \"current\"\nrange = \"0 bar .. 700 bar\"\naccuracy = \"0.5 %\""}, "sensor.accuracy", "of what"},
		{"accuracy of nothing", tables{"sensor": "kind = \"current\"\nrange = \"0 bar .. 700 bar\"\naccuracy = \"0 % of reading\""}, "sensor.accuracy", "not above 0"},
		{"no range", tables{"sensor": "kind = \"current\"\naccuracy = \"1 % of reading\""}, "sensor.range", "missing"},
		{"range backwards", tables{"sensor": "kind = \"current\"\nrange = \"700 bar .. 0 bar\"\naccuracy = \"1 % of reading\""}, "sensor.range", "not below the high end"},
		{"range below vacuum", tables{"sensor": "kind = \"current\"\nrange = \"-5 bar .. 700 bar\"\naccuracy = \"1 % of reading\""}, "sensor.range", "vacuum"},
		{"no range at all", tables{"sensor": "kind = \"current\"\nrange = \"700 bar\"\naccuracy = \"1 % of reading\""}, "sensor.range", "is no range"},
		{"proof below range", tables{"sensor": "kind = \"current\"\nproof_pressure = \"600 bar\"\n" + rng}, "sensor.proof_pressure", "below the high end"},
		{"shunt of a ratiometric", tables{"sensor": "kind = \"ratiometric\"\nsupply = \"5 V\"\nshunt = \"250 ohm\"\n" + rng}, "sensor.shunt", "does not belong"},
		{"no supply", tables{"sensor": "kind = \"ratiometric\"\n" + rng}, "sensor.supply", "missing"},
		{"ratiometric beyond the supply", tables{"sensor": "kind = \"ratiometric\"\nsupply = \"5 V\"\nsignal = \"0.1 .. 4.5\"\n" + rng}, "sensor.signal", "not within"},
		{"no signal", tables{"sensor": "kind = \"voltage\"\n" + rng}, "sensor.signal", "missing"},
		{"shunt without converter", tables{"sensor": "kind = \"current\"\nshunt = \"250 ohm\"\n" + rng}, "sensor.shunt", "without a [sensor.converter]"},
		{"converter without shunt", tables{"sensor": "kind = \"current\"\n" + rng, "sensor.converter": "bits = 12\nreference = \"5 V\""}, "sensor.shunt", "missing"},
		{"current in volts", tables{"sensor": "kind = \"current\"\nsignal = \"1 V .. 5 V\"\n" + rng}, "sensor.signal", "no unit of current"},
		{"no unit", tables{"sensor": "kind = \"pressure\"\n" + rng}, "sensor.unit", "missing"},
		{"force unit on pressure", tables{"sensor": "kind = \"pressure\"\nunit = \"kN\"\n" + rng}, "sensor.unit", "no unit of pressure"},
		{"proof of a force", tables{"sensor": "kind = \"force\"\nunit = \"kN\"\nrange = \"0 kN .. 70 kN\"\nproof_pressure = \"70 bar\"\naccuracy = \"1 % of reading\""}, "sensor.proof_pressure", "does not belong"},
		{"force range in bar", tables{"sensor": "kind = \"force\"\nunit = \"kN\"\n" + rng}, "sensor.range", "no unit of force"},
		{"converter on pressure", tables{"sensor.converter": "bits = 12"}, "sensor.converter", "does not belong"},
		{"one point", tables{"sensor": "kind = \"counts\"\naccuracy = \"1 % of reading\"\npoints = [\"820 = 0 bar\"]"}, "sensor.points", "holds 1 pairs"},
		{"points as numbers", tables{"sensor": "kind = \"counts\"\naccuracy = \"1 % of reading\"\npoints = [820, 4095]"}, "sensor.points", "bare number"},
		{"points that fall", tables{"sensor": "kind = \"counts\"\naccuracy = \"1 % of reading\"\npoints = [\"820 = 700 bar\", \"4095 = 0 bar\"]"}, "sensor.points", "does not rise"},
		{"points at one pressure", tables{"sensor": "kind = \"counts\"\naccuracy = \"1 % of reading\"\npoints = [\"820 = 7 bar\", \"4095 = 7 bar\"]"}, "sensor.points", "does not rise"},
		{"counts with reference", tables{"sensor": "kind = \"counts\"\naccuracy = \"1 % of reading\"\npoints = [\"820 = 0 bar\", \"4000 = 7 bar\"]", "sensor.converter": "bits = 12\nreference = \"5 V\""}, "sensor.converter.reference", "does not belong"},
		{"no bits", tables{"sensor": "kind = \"ratiometric\"\n" + rng, "sensor.converter": "reference = \"5 V\""}, "sensor.converter.bits", "missing"},
		{"bits as text", tables{"sensor": "kind = \"ratiometric\"\n" + rng, "sensor.converter": "bits = \"12\"\nreference = \"5 V\""}, "sensor.converter.bits", "not a whole number"},
		{"bits beyond", tables{"sensor": "kind = \"ratiometric\"\n" + rng, "sensor.converter": "bits = 64\nreference = \"5 V\""}, "sensor.converter.bits", "from 6 to 32"},
		{"no reference", tables{"sensor": "kind = \"ratiometric\"\n" + rng, "sensor.converter": "bits = 12"}, "sensor.converter.reference", "missing"},
		{"divisor", tables{"sensor": "kind = \"ratiometric\"\n" + rng, "sensor.converter": "bits = 12\nreference = \"5 V\"\ndivisor = \"4096\""}, "sensor.converter.divisor", `"2^n" or "2^n-1"`},
		{"divider above one", tables{"sensor": "kind = \"ratiometric\"\n" + rng, "sensor.converter": "bits = 12\nreference = \"5 V\"\ndivider = 1.5"}, "sensor.converter.divider", "is not between"},

		{"no raw column", tables{"source": `columns = ["time", "-"]` + "\nclock = \"us\""}, "source.columns", `"raw" stands there 0 times`},
		{"two raw columns", tables{"source": `columns = ["raw", "raw"]`}, "source.columns", "2 times"},
		{"column not known", tables{"source": `columns = ["raw", "temperature"]`}, "source.columns", "not known"},
		{"columns as text", tables{"source": `columns = "time,raw"`}, "source.columns", "not a list"},
		{"time without clock", tables{"source": `columns = ["time", "raw"]`}, "source.columns", "time column"},
		{"clock without time", tables{"source": `clock = "us"`}, "source.clock", "without a time column"},
		{"clock bits without clock", tables{"source": `clock_bits = 32`}, "source.clock_bits", "without clock"},
		{"clock bits of 3", tables{"source": "columns = [\"time\", \"raw\"]\nclock = \"us\"\nclock_bits = 3"}, "source.clock_bits", "width"},
		{"separator of two", tables{"source": `separator = ", "`}, "source.separator", "cannot part"},
		{"separator that is a digit", tables{"source": `separator = "."`}, "source.separator", "cannot part"},
		{"checksum", tables{"source": `checksum = "crc"`}, "source.checksum", "not known"},
		{"rate without unit", tables{"source": `rate = "100"`}, "source.rate", "no unit"},
		{"baud of nothing", tables{"source": `baud = 0`}, "source.baud", "whole number"},
		{"from elsewhere", tables{"source": `from = "usb:1"`}, "source.from", "is no source"},

		{"path kind", tables{"path": `kind = "lever"`}, "path.kind", "not known"},
		{"share of a direct path", tables{"path": "kind = \"direct\"\nshare = 0.5"}, "path.share", "does not belong"},
		{"no share", tables{"path": `kind = "fixed"`}, "path.share", "missing"},
		{"share above one", tables{"path": "kind = \"fixed\"\nshare = 1.5"}, "path.share", "not above 0 and at most 1"},
		{"two-sided without arms", tables{"path": "kind = \"two-sided\"\nbearing = \"roller\"\nfar_arm = \"110 mm ± 1 mm\""}, "path.specimen_arm", "missing"},
		{"arm of nothing", tables{"path": "kind = \"two-sided\"\nbearing = \"roller\"\nspecimen_arm = \"0 mm ± 0 mm\"\nfar_arm = \"110 mm ± 1 mm\""}, "path.specimen_arm", "is not between"},
		{"arm without limit of error", tables{"path": "kind = \"two-sided\"\nbearing = \"roller\"\nspecimen_arm = \"110 mm\"\nfar_arm = \"110 mm ± 1 mm\""}, "path.specimen_arm", "no limit of error"},
		{"arm known to nothing", tables{"path": "kind = \"two-sided\"\nbearing = \"roller\"\nspecimen_arm = \"110 mm ± 60 mm\"\nfar_arm = \"110 mm ± 1 mm\""}, "path.specimen_arm", "a fifth"},
		{"arms and share", tables{"path": path2 + "bearing = \"roller\"\nshare = 0.5"}, "path.share", "does not belong"},
		{"no bearing", tables{"path": path2}, "path.bearing", "missing"},
		{"flat without width", tables{"path": path2 + `bearing = "flat"`}, "path.bearing_width", "missing"},
		{"roller with width", tables{"path": path2 + "bearing = \"roller\"\nbearing_width = \"20 mm\""}, "path.bearing_width", "does not belong"},
		{"flat wider than an arm", tables{"path": path2 + "bearing = \"flat\"\nbearing_width = \"200 mm\""}, "path.bearing_width", "is not between"},
		{"weight without sense", tables{"path": "kind = \"direct\"\nweight = \"12 kgf\""}, "path.ram_pushes", "missing"},
		{"weight in kg", tables{"path": "kind = \"direct\"\nram_pushes = \"up\"\nweight = \"12 kg\""}, "path.weight", "no unit of force"},
		{"negative weight", tables{"path": "kind = \"direct\"\nram_pushes = \"up\"\nweight = \"-12 N\""}, "path.weight", "is no weight"},

		{"limit without name", lim("kind = \"unknown\""), "limit[1].name", "missing"},
		{"limit without kind", lim("name = \"bar\""), "limit[1].kind", "missing"},
		{"rated without force", lim("name = \"bar\"\nkind = \"rated\"\nat = \"ram\""), "limit[1].force", "missing"},
		{"rated without place", lim("name = \"bar\"\nkind = \"rated\"\nforce = \"48 kN\""), "limit[1].at", "missing"},
		{"rated with pressure", lim(bar + "pressure = \"70 bar\""), "limit[1].pressure", "does not belong"},
		{"pressure without pressure", lim("name = \"hose\"\nkind = \"pressure\""), "limit[1].pressure", "missing"},
		{"pressure at the ram", lim("name = \"hose\"\nkind = \"pressure\"\npressure = \"70 bar\"\nat = \"ram\""), "limit[1].at", "not known"},
		{"unknown with force", lim("name = \"pins\"\nkind = \"unknown\"\nforce = \"48 kN\""), "limit[1].force", "does not belong"},
		{"design factor below one", lim(bar + "design_factor = 0.5"), "limit[1].design_factor", "is not between"},
		{"negative force", lim("name = \"bar\"\nkind = \"rated\"\nat = \"ram\"\nforce = \"-48 kN\""), "limit[1].force", "is not between"},
		{"same name twice", lim(bar + "[[limit]]\n" + strings.Replace(bar, "\"bar\"", "\"Bar\"", 1)), "limit[2].name", "is the name of limit[1] too"},
		{"name too long", lim(strings.Replace(bar, "\"bar\"", "\""+strings.Repeat("ä", 41)+"\"", 1)), "limit[1].name", "longer than 40"},
		{"name with a control character", lim(strings.Replace(bar, "\"bar\"", `"b\u0007ar"`, 1)), "limit[1].name", "cannot be shown"},
		{"far side of a direct path", tables{"path": `kind = "direct"`, "limits": "[[limit]]\n" + strings.Replace(bar, "specimen", "far", 1)}, "limit[1].at", "no far side"},
		{"ram hidden behind unknown", tables{"ram": ram + "rated_force = \"50 kN\"", "limits": "[[limit]]\nname = \"ram\"\nkind = \"unknown\"\n"}, "limit[1].name", "takes the place"},
		{"ram above its rating", tables{"ram": ram + "rated_force = \"50 kN\"", "limits": "[[limit]]\nname = \"ram\"\nkind = \"rated\"\nat = \"ram\"\nforce = \"60 kN\"\n"}, "limit[1].name", "takes the place"},

		{"caution at warning", tables{"alarm": "caution = 0.9"}, "alarm.caution", "below warning"},
		{"warning at stop", tables{"alarm": "warning = 1.0"}, "alarm.warning", "below stop"},
		{"stop above the allowable", tables{"alarm": "stop = 1.2"}, "alarm.stop", "at most 1"},
		{"look ahead without unit", tables{"alarm": "look_ahead = 5"}, "alarm.look_ahead", "5 has no unit"},
		{"drive", tables{"drive": `kind = "crank"`}, "drive.kind", "not known"},
		{"stiffness", tables{"drive": "kind = \"motor\"\nstiffness = \"40 kN\""}, "drive.stiffness", "no force per length"},
		{"units", tables{"units": `display = "metric"`}, "units.display", `"us" or "si"`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			text := file(tt.over)
			_, err := Parse("r.toml", []byte(text))
			fe, ok := errors.AsType[*FileError](err)
			if !ok {
				t.Fatalf("Parse = %v, want a fault of %s in\n%s", err, tt.key, text)
			}
			if len(fe.Faults) != 1 || fe.Faults[0].Key != tt.key || !strings.Contains(err.Error(), tt.why) {
				t.Errorf("Parse =\n%v\nwant one fault, %s: … %s …, in\n%s", err, tt.key, tt.why, text)
			}
			for _, f := range fe.Faults {
				if f.Line < 1 || f.Line > strings.Count(text, "\n")+1 || f.Want == "" || f.Why == "" {
					t.Errorf("fault %+v lacks a line or words", f)
				}
			}
		})
	}
}

func TestNotTOML(t *testing.T) {
	tests := []struct {
		name, text string
		line       int
	}{
		{"no value", "[rig]\nname =\n", 2},
		{"no quotes", "[rig]\nname = a\n", 2},
		{"open table", "[rig]\nname = \"a\"\n\n[ram\n", 4},
		{"bytes that are no text", "[rig]\n# fine\nname = \"\xff\"\n", 3},
		{"a number too large", "[sensor.converter]\nbits = 99999999999999999999999\n", 2},
		{"value and table", "rig = 1\n[rig]\nname = \"a\"\n", 2},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Parse("r.toml", []byte(tt.text))
			fe, ok := errors.AsType[*FileError](err)
			if !ok || len(fe.Faults) != 1 || fe.Faults[0].Line != tt.line || !strings.Contains(err.Error(), "not TOML") {
				t.Errorf("Parse = %v, want line %d", err, tt.line)
			}
		})
	}
}

// TestTopLevel: values where only tables may stand.
func TestTopLevel(t *testing.T) {
	_, err := Parse("r.toml", []byte("units = 3\ncolour = \"red\"\n"+file(nil)))
	want := "r.toml:1: units: is a value, not a table; want [units] with its keys below\n" +
		"r.toml:2: colour: stands under no table; want it under one of " + tableNames()
	if err == nil || err.Error() != want {
		t.Errorf("Parse = %v\nwant %s", err, want)
	}
}

// TestEmpty: an empty file lacks four tables and nothing more is said.
func TestEmpty(t *testing.T) {
	_, err := Parse("r.toml", nil)
	fe, ok := errors.AsType[*FileError](err)
	if !ok || len(fe.Faults) != 4 {
		t.Errorf("Parse of nothing = %v, want four missing tables", err)
	}
}

// TestOtherSpellings: what TOML allows besides is understood the same.
func TestOtherSpellings(t *testing.T) {
	want := mustParse(t, file(nil))
	text := "\xef\xbb\xbfrig = { name = \"test rig\" }\r\n" +
		"ram.area = \"10 cm2 +/- 0 cm2\"\r\nram.role = 'sensor'\r\nram.friction = \"0 % +/- 0 %\"\r\n" +
		"limit = []\r\n" +
		"[\"sensor\"]\r\nkind = \"pressure\"\r\nrange = \"0 MPa..100 MPa\"\r\naccuracy = \"±1% of reading\"\r\nunit = \"bar\"\r\n" +
		"[path]\r\nkind = \"fixed\"\r\nshare = \"50 % ± 0 %\"\r\n"
	text = strings.Replace(text, "limit = []\r\n", "", 1)
	got := mustParse(t, text)
	if got.Chain() != want.Chain() || got.Name != want.Name {
		t.Errorf("another spelling gives\n%+v\nwant\n%+v", got, want)
	}
	inline := mustParse(t, "limit = [ { name = \"bar\", kind = \"rated\", at = \"ram\", force = \"48 kN\" }, { name = \"pins\", kind = \"unknown\" } ]\n"+file(nil))
	if len(inline.Limits) != 2 || inline.Limits[0].Force != 48e3 || inline.Limits[1].Name != "pins" {
		t.Errorf("limits in one line = %+v", inline.Limits)
	}
}

// TestRamLimits: the ram's ratings become limits unless stated; a ram of which
// nothing is stated is named as a part without a known limit.
func TestRamLimits(t *testing.T) {
	ram := "area = \"10 cm² ± 1 %\"\nrole = \"sensor\"\n"
	stated := "[[limit]]\nname = \"ram\"\nkind = \"rated\"\nat = \"ram\"\nforce = \"40 kN\"\n"
	tests := []struct {
		name string
		over tables
		want string
	}{
		{"both ratings", tables{"ram": ram + "rated_force = \"50 kN\"\nrated_pressure = \"500 bar\""}, "ram rated, ram oil pressure pressure"},
		{"force alone", tables{"ram": ram + "rated_force = \"50 kN\""}, "ram rated"},
		{"nothing", tables{"ram": ram}, "ram unknown"},
		{"stated lower", tables{"ram": ram + "rated_force = \"50 kN\"", "limits": stated}, "ram rated"},
		{"stated alone", tables{"ram": ram, "limits": stated}, "ram rated"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var got []string
			for _, l := range mustParse(t, file(tt.over)).Limits {
				got = append(got, l.Name+" "+string(l.Kind))
			}
			if s := strings.Join(got, ", "); s != tt.want {
				t.Errorf("limits = %s, want %s", s, tt.want)
			}
		})
	}
	if r := mustParse(t, file(tables{"limits": stated})); r.Limits[0].Force != 40e3 {
		t.Errorf("a stated limit of the ram = %v, want 40 kN", r.Limits[0].Force)
	}
}
