package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"

	"github.com/google/go-cmp/cmp"
)

// simulatedRecord is a record on the example rig, typed in: no metal was
// pulled. bare leaves the specimen's diameter unknown.
func simulatedRecord(t *testing.T, bare bool, fill func(w *record.Writer)) *record.Record {
	t.Helper()
	r, err := rig.Parse("example", []byte(rig.Example()))
	must(t, err)
	h := record.Head{
		Program: "draghand test", Started: time.Date(2026, 11, 25, 14, 3, 22, 0, time.UTC), Kind: pull.Tension,
		Specimen: specimen.Specimen{ID: "3\x1b[2J", Melt: "M1", Simulated: true}, Rig: r, Source: "sim:",
	}
	if !bare {
		h.Specimen.Diameters = []si.Length{12.51 * si.Millimetre, 12.5 * si.Millimetre, 12.52 * si.Millimetre}
	}
	w, err := record.Create(t.TempDir(), h)
	must(t, err)
	fill(w)
	must(t, w.Close(record.Closing{Reason: record.ByPerson, Ended: h.Started}))
	rec, err := record.Open(w.Dir())
	must(t, err)
	return rec
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// tiny is a record whose every figure is worked out by hand in byHand.
func tiny(w *record.Writer) {
	for i, raw := range []string{"819.2", "1638.4", "2457.6", "4095", "-ovf"} {
		w.Append(time.Duration(10*i)*time.Millisecond, []byte("7"), []byte(raw), "")
	}
	w.Mark(50*time.Millisecond, pull.Bad, 2, "a,\"b\"\x1b[2J\r\n=1+1")
	w.Append(60*time.Millisecond, nil, []byte("1638.4"), "")
	w.Mark(65*time.Millisecond, pull.Ack, 0, "") // the force is seen, and this is no reading of it
	w.Mark(70*time.Millisecond, pull.Lost, 0, "unplugged\x07")
	w.Mark(80*time.Millisecond, pull.End, 0, "")
}

// row is one line by hand; NaN: the cell is empty.
type row struct {
	t, raw, gauge, ram, specimen, stress float64
	note                                 string
}

// byHand is tiny on the example rig: 12 bits of 5 V over 250 ohm, 4 to 20 mA
// for 0 to 700 bar, a ram of 42 cm² without known friction, half of its force
// on the specimen of 12.5 mm. No zero is taken in 80 ms, so the sensor's own
// line is the zero.
//
//	raw / 4096 · 5 V     / 250 ohm  (I − 4 mA) / 16 mA · 700 bar   · 0.0042 m²  · 0.5
//	819.2      1.000 V    4.000 mA   0 bar                          0 N          0 N
//	1638.4     2.000 V    8.000 mA   175 bar = 17.5 MPa             73,500 N     36,750 N
//	2457.6     3.000 V   12.000 mA   350 bar = 35 MPa               147,000 N    73,500 N
//	4095       the converter is full: above range
//
// and 36,750 N on π/4 · (12.5 mm)² = 122.718463 mm² are 299.465941 MPa.
func byHand() []row {
	no := math.NaN()
	return []row{
		{0, 819.2, 0, 0, 0, 0, ""},
		{0.01, 1638.4, 17.5e6, 73500, 36750, 299.465941e6, ""},
		{0.02, 2457.6, 35e6, 147000, 73500, 598.931882e6, ""},
		{0.03, 4095, no, no, no, no, "above range"},
		{0.04, no, no, no, no, no, "not a number"},
		{0.05, no, no, no, no, no, "bad"},
		{0.06, 1638.4, 17.5e6, 73500, 36750, 299.465941e6, ""},
		{0.065, no, no, no, no, no, "ack"},
		{0.07, no, no, no, no, no, "lost"},
		{0.08, no, no, no, no, no, "end"},
	}
}

// near allows for a stress given to nine digits, and for the rounding of a
// chain of some ten operations where the true value is 0.
func near(got, want float64) bool {
	return math.Abs(got-want) <= 2e-9*math.Abs(want)+1e-6
}

// cells reads a CSV as anybody's library does.
func cells(t *testing.T, text []byte) [][]string {
	t.Helper()
	r := csv.NewReader(bytes.NewReader(text))
	all, err := r.ReadAll() // every row has as many fields as the first
	must(t, err)
	if got := strings.Join(all[0], ","); got != "t_s,raw,gauge_pa,ram_n,specimen_n,stress_pa,phase,note" {
		t.Errorf("header %q", got)
	}
	return all[1:]
}

func cell(t *testing.T, s string) float64 {
	t.Helper()
	if s == "" {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(s, 64)
	must(t, err)
	return v
}

func TestCSVByHand(t *testing.T) {
	for _, bare := range []bool{false, true} {
		rec := simulatedRecord(t, bare, tiny)
		var out bytes.Buffer
		must(t, CSV(&out, rec))
		rows := cells(t, out.Bytes())
		want := byHand()
		if len(rows) != len(want) || int64(len(rows)) != rec.Head.Closing.SamplesLines {
			t.Fatalf("%d rows of %d lines, want %d", len(rows), rec.Head.Closing.SamplesLines, len(want))
		}
		for i, w := range want {
			if bare {
				w.stress = math.NaN() // no section, no stress
			}
			for k, v := range []float64{w.t, w.raw, w.gauge, w.ram, w.specimen, w.stress} {
				got := cell(t, rows[i][k])
				if math.IsNaN(got) != math.IsNaN(v) || !math.IsNaN(v) && !near(got, v) {
					t.Errorf("bare %v, row %d, column %d: %q, want %v", bare, i, k, rows[i][k], v)
				}
			}
			if rows[i][7] != w.note {
				t.Errorf("row %d: note %q, want %q", i, rows[i][7], w.note)
			}
			if p := pull.Phase(rows[i][6]); i < 9 && p != pull.Slack && p != pull.Loading && p != pull.PastPeak {
				t.Errorf("row %d: phase %q", i, p)
			}
		}
		if p := rows[9][6]; p == string(pull.Slack) || p == string(pull.Loading) {
			t.Errorf("after the end the phase is %q", p)
		}
		// Nothing from outside reaches a text cell: no control character, no
		// formula of a spreadsheet, no byte that is not ASCII.
		for i, r := range rows {
			for _, s := range r[6:] {
				if strings.ContainsFunc(s, func(c rune) bool { return unicode.IsControl(c) || c > '~' }) || s != "" && strings.ContainsAny(s[:1], "=+-@") {
					t.Errorf("row %d: %q", i, s)
				}
			}
		}
		if bytes.ContainsAny(out.Bytes(), "\r\x1b\x07") {
			t.Error("a control character came through")
		}
	}
}

// doc is what a reader of the JSON sees, written out here so that a changed
// name is noticed.
type doc struct {
	Pull struct {
		Specimen struct {
			Melt string `json:"melt"`
		} `json:"specimen"`
		Closing struct {
			SamplesLines int `json:"samples_lines"`
		} `json:"closing"`
	} `json:"pull"`
	Results struct {
		Samples int `json:"samples"`
		PeakRaw *struct {
			SpecimenN float64 `json:"specimen_n"`
		} `json:"peak_raw"`
	} `json:"results"`
	Readings map[string][]float64 `json:"readings"`
	Damaged  string               `json:"damaged"`
}

func TestJSONByHand(t *testing.T) {
	rec := simulatedRecord(t, false, tiny)
	var out bytes.Buffer
	must(t, JSON(&out, rec))
	var d doc
	must(t, json.Unmarshal(out.Bytes(), &d))
	if d.Pull.Specimen.Melt != "M1" || d.Pull.Closing.SamplesLines != 10 || d.Damaged != "" {
		t.Errorf("head %+v, damaged %q", d.Pull, d.Damaged)
	}
	// Six readings: 4095 and ovf are faulty, and count as such.
	if d.Results.Samples != 6 || d.Results.PeakRaw == nil || !near(d.Results.PeakRaw.SpecimenN, 73500) {
		t.Errorf("results %+v", d.Results)
	}
	want := map[string][]float64{"t_s": nil, "raw": nil, "gauge_pa": nil, "ram_n": nil, "specimen_n": nil}
	for _, r := range byHand() {
		if math.IsNaN(r.gauge) {
			continue
		}
		for k, v := range map[string]float64{"t_s": r.t, "raw": r.raw, "gauge_pa": r.gauge, "ram_n": r.ram, "specimen_n": r.specimen} {
			want[k] = append(want[k], v)
		}
	}
	if len(d.Readings) != len(want) {
		t.Errorf("columns %v", d.Readings)
	}
	for k, col := range want {
		got := d.Readings[k]
		if len(got) != len(col) {
			t.Errorf("%s has %d values, want %d: %v", k, len(got), len(col), got)
			continue
		}
		for i := range col {
			if !near(got[i], col[i]) {
				t.Errorf("%s[%d] = %v, want %v", k, i, got[i], col[i])
			}
		}
	}
	// encoding/json writes a control character as an escape.
	if bytes.ContainsFunc(bytes.TrimRight(out.Bytes(), "\n"), unicode.IsControl) {
		t.Error("a control character came through")
	}
}

// A record without a reading is a header line, and columns that are empty and
// not null.
func TestEmpty(t *testing.T) {
	rec := simulatedRecord(t, false, func(*record.Writer) {})
	var out bytes.Buffer
	must(t, CSV(&out, rec))
	if rows := cells(t, out.Bytes()); len(rows) != 0 {
		t.Errorf("rows %q", rows)
	}
	out.Reset()
	must(t, JSON(&out, rec))
	var d doc
	must(t, json.Unmarshal(out.Bytes(), &d))
	for k, col := range d.Readings {
		if col == nil || len(col) != 0 {
			t.Errorf("%s = %v", k, col)
		}
	}
	if len(d.Readings) != 5 {
		t.Errorf("columns %v", d.Readings)
	}
}

// What is before a damage is written, and the damage comes back.
func TestDamaged(t *testing.T) {
	rec := simulatedRecord(t, false, tiny)
	path := filepath.Join(rec.Dir, record.SamplesFile)
	text, err := os.ReadFile(path)
	must(t, err)
	text = bytes.Replace(text, []byte("2457.6"), []byte("2457,6"), 1)
	must(t, os.WriteFile(path, text, 0o644))

	var out bytes.Buffer
	damage, ok := errors.AsType[*record.DamageError](CSV(&out, rec))
	if rows := cells(t, out.Bytes()); !ok || damage.Line != 4 || len(rows) != 2 || rows[1][1] != "1638.4" {
		t.Errorf("damage %v, rows %q", damage, rows)
	}
	out.Reset()
	err = JSON(&out, rec)
	damage, ok = errors.AsType[*record.DamageError](err)
	var d doc
	must(t, json.Unmarshal(out.Bytes(), &d))
	if !ok || damage.Line != 4 || d.Damaged != err.Error() || len(d.Readings["raw"]) != 2 {
		t.Errorf("JSON = %v, damaged %q, readings %v", err, d.Damaged, d.Readings)
	}
}

// full takes room bytes and then none.
type full struct{ room int }

var errFull = errors.New("no room")

func (f *full) Write(b []byte) (int, error) {
	n := min(f.room, len(b))
	f.room -= n
	if n < len(b) {
		return n, errFull
	}
	return n, nil
}

// Whatever stops the writing is the error, also of a damaged record, whose
// damage is then the lesser news.
func TestWriterFails(t *testing.T) {
	long := simulatedRecord(t, false, func(w *record.Writer) {
		for i := range 5000 { // more than one buffer
			w.Append(time.Duration(i)*time.Millisecond, nil, []byte("1638.4"), "")
		}
	})
	short := simulatedRecord(t, false, tiny)
	path := filepath.Join(short.Dir, record.SamplesFile)
	text, err := os.ReadFile(path)
	must(t, err)
	must(t, os.WriteFile(path, text[:len(text)-1], 0o644))
	for _, rec := range []*record.Record{long, short} {
		for _, room := range []int{0, 10, 300} {
			if err := CSV(&full{room}, rec); !errors.Is(err, errFull) {
				t.Errorf("CSV with room for %d = %v", room, err)
			}
			if err := JSON(&full{room}, rec); !errors.Is(err, errFull) {
				t.Errorf("JSON with room for %d = %v", room, err)
			}
		}
	}
	if err := CSV(&full{1 << 17}, long); !errors.Is(err, errFull) {
		t.Errorf("CSV that fails within the readings = %v", err)
	}
}

// The further channels of a record are further columns, as they came, with their
// unit in the name; none is taken for a column of ours.
func TestCSVChannels(t *testing.T) {
	h := simulatedRecord(t, false, tiny).Head
	h.Closing = nil
	h.Channels = record.ChannelColumns([]record.Channel{{Name: "Travel", Unit: "mm"}, {Name: "Strain", Unit: "%"}, {Name: "phase"}, {Name: "Travel mm", Unit: "mm"}})
	w, err := record.Create(t.TempDir(), h)
	must(t, err)
	w.AppendWith(0, nil, []byte("819.2"), "", []string{"0.001", "1,5", "=1+1", "7"})
	w.AppendWith(10*time.Millisecond, nil, []byte("819.2"), "", []string{"", "2"})
	w.Mark(20*time.Millisecond, pull.End, 0, "")
	must(t, w.Close(record.Closing{Reason: record.ByPerson, Ended: h.Started}))
	rec, err := record.Open(w.Dir())
	must(t, err)
	var out bytes.Buffer
	must(t, CSV(&out, rec))
	all, err := csv.NewReader(&out).ReadAll()
	must(t, err)
	var got [][]string
	for _, row := range all {
		got = append(got, row[8:])
	}
	want := [][]string{
		{"travel_mm", "strain_percent", "phase_2", "travel_mm_2"},
		{"0.001", "1,5", "=1+1", "7"},
		{"", "2", "", ""},
		{"", "", "", ""},
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
}
