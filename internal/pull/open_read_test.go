package pull

import (
	"encoding/csv"
	"hash/fnv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"draghand/internal/rig"
	"draghand/internal/sheet"
	"draghand/internal/si"
)

// openTrace is one test of others with what an independent script found in it
// (expected.csv and expected-more.csv beside the traces; their columns are
// explained there).
type openTrace struct {
	set, file string
	columns   map[string]string // of the row in its expected file
	more      bool              // the row is of expected-more.csv

	at    []time.Duration // whole microseconds from the first row on, as a record keeps them
	sec   []float64       // as in the table; nil where it has no times
	force []float64       // in the table's unit, turned to positive
	unit  float64         // N in one of it
	rate  float64         // rows a second, by the median step
}

// stressArea stands in where a table has stresses alone: about the section that
// the source's other laboratory had (al6061-room/README.md).
const stressArea = 0.048 * si.SquareInch

// assumedRate is what a person would have to say of a table without times, Hz.
// Those have 300 rows, and the other laboratory's tests took some 300 s.
const assumedRate = 1

// held says whether a trace was held back while thresholds were fitted: a third,
// by a rule about the name that was fixed before: FNV-1a, 64 bits, of the file's
// name, divisible by three.
func (o *openTrace) held() bool {
	h := fnv.New64a()
	h.Write([]byte(o.file))
	return h.Sum64()%3 == 0
}

func (o *openTrace) name() string { return o.set + "/" + o.file }

func (o *openTrace) group() string {
	if o.held() {
		return "held"
	}
	return "tuning"
}

func (o *openTrace) concrete() bool { return strings.HasPrefix(o.set, "concrete-") }

// num is a figure of the expected file, NaN where the cell is empty.
func (o *openTrace) num(column string) float64 {
	v, err := strconv.ParseFloat(o.columns[column], 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// either is a figure that the two files name differently.
func (o *openTrace) either(plain, more string) float64 {
	if o.more {
		return o.num(more)
	}
	return o.num(plain)
}

// rowAt is the first row read at that time, −1 without one.
func (o *openTrace) rowAt(t time.Duration) int { return slices.Index(o.at, t) }

// openTraces reads every trace that the expected files name.
func openTraces(t *testing.T) []*openTrace {
	t.Helper()
	dir := os.Getenv("DRAGHAND_OPEN_DATA")
	if dir == "" {
		t.Skip("DRAGHAND_OPEN_DATA names no folder of open traces")
	}
	dir = filepath.Join(dir, "traces")
	var out []*openTrace
	for _, name := range []string{"expected.csv", "expected-more.csv"} {
		for _, row := range readTable(t, filepath.Join(dir, name)) {
			o := &openTrace{set: row["dataset"], file: row["file"], columns: row, more: name != "expected.csv"}
			o.read(t, filepath.Join(dir, o.set, o.file))
			out = append(out, o)
		}
	}
	slices.SortFunc(out, func(a, b *openTrace) int { return strings.Compare(a.name(), b.name()) })
	if n := countTables(t, dir); n != len(out) {
		t.Errorf("%d traces are expected, %d lie in the folder", len(out), n)
	}
	return out
}

// countTables counts what lies in the folders of traces.
func countTables(t *testing.T, dir string) int {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*", "*"))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, f := range files {
		switch base := filepath.Base(f); {
		case base == "README.md", base == "LICENSE.source", base == "reported.csv":
		default:
			n++
		}
	}
	return n
}

// readTable reads a comma separated file with a header into a map a row; lines
// that begin with # say where the figures are from.
func readTable(t *testing.T, file string) []map[string]string {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[h] = row[i]
		}
		out = append(out, m)
	}
	return out
}

// openSheets are what a person must say of the tables of each folder: the units
// that headers leave out, as README.md names them, and which way the force goes.
var openSheets = map[string]sheet.Options{
	"al6061-hot":           imperial,
	"al6061-room":          imperial,
	"al6061-shear":         imperial,
	"ss304l-round":         imperial,
	"ss304l-small":         imperial,
	"concrete-cubes":       {FlipSign: true},
	"concrete-cylinders":   {FlipSign: true},
	"concrete-load-cycles": {FlipSign: true},
	"copper-alloys":        {},
	"polymer-film":         {},
	"s355-steel":           {},
}

var (
	imperial = sheet.Options{
		Columns: map[sheet.Role]string{sheet.Force: "load"},
		Units:   map[sheet.Role]string{sheet.Time: "s", sheet.Force: "lbf"},
	}
	stressAlone = sheet.Options{Rate: assumedRate, Units: map[sheet.Role]string{sheet.Stress: "ksi"}}
)

// read takes time and force out of a trace's table, as an import does.
func (o *openTrace) read(t *testing.T, file string) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	opt, ok := openSheets[o.set]
	if !ok {
		t.Fatalf("%s: nothing is known of its folder", o.name())
	}
	timed := o.columns["duration_s"]+o.columns["duration"] != ""
	if !timed {
		opt = stressAlone
	}
	tab, err := sheet.Read(text, opt)
	if err != nil {
		t.Fatalf("%s: %v", o.name(), err)
	}
	if n := tab.BadRows.Count; n != 0 || len(tab.Rows) < 10 {
		t.Fatalf("%s: %d rows and %d bad ones", o.name(), len(tab.Rows), n)
	}
	for _, r := range tab.Rows {
		o.at = append(o.at, r.T.Round(time.Microsecond)) // as a record keeps it
		o.force = append(o.force, r.Load)
		if timed {
			o.sec = append(o.sec, r.Time.Seconds())
		}
	}
	o.rate = tab.Rate
	if got := tab.Load().Unit; got != o.columns["y_unit"] {
		t.Errorf("%s: in %q, want %q", o.name(), got, o.columns["y_unit"])
	}
	o.unit = map[string]float64{
		"lbf": si.PoundForce, "kN": si.Kilonewton, "N": si.Newton, "ksi": si.KSI * stressArea,
	}[o.columns["y_unit"]]
	if o.unit == 0 {
		t.Fatalf("%s: no unit %q", o.name(), o.columns["y_unit"])
	}
}

// micros is a time as a record keeps it.
func micros(sec float64) time.Duration {
	return time.Duration(math.Round(sec*1e6)) * time.Microsecond
}

// openRig is a rig as one is made for a table of forces: a number that is the
// force, the specimen sees all of it, no part known. The range is what the table
// needs and a fifth on either side (bronze swings to −10 % of the peak after its
// break). The ram's area is a number of no meaning; with a large one the pressure
// of a mega-newton stays below what the engine takes for absurd.
func (o *openTrace) openRig() *rig.Rig {
	const area = 100 * si.SquareCM
	most := slices.Max(o.force) * o.unit / area
	return &rig.Rig{
		Name:   "table of others",
		Ram:    rig.Ram{Area: area, Role: rig.SensorRam},
		Sensor: rig.Sensor{Kind: rig.ForceOut, Low: si.Pressure(-0.2 * most), High: si.Pressure(1.2 * most), UnitFactor: o.unit, Zeroed: true},
		Source: rig.Source{Rate: o.rate},
		Path:   rig.Path{Kind: rig.Direct, Share: 1},
		Units:  si.Metric,
	}
}
