// Package docs_test holds the documents to the program: every figure, file and
// command of theirs that a test can work out again is worked out here.
package docs_test

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/si"
)

func read(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// table is the rows, without the head, of the table below <!-- table: name -->.
func table(t *testing.T, doc, name string) [][]string {
	t.Helper()
	_, rest, found := strings.Cut(read(t, doc), "<!-- table: "+name+" -->\n")
	if !found {
		t.Fatalf("%s has no table %q", doc, name)
	}
	var rows [][]string
	for i, line := range strings.Split(rest, "\n") {
		if !strings.HasPrefix(line, "|") {
			break
		}
		if i < 2 {
			continue
		}
		cells := strings.Split(strings.Trim(line, "|"), "|")
		for j := range cells {
			cells[j] = strings.TrimSpace(cells[j])
		}
		rows = append(rows, cells)
	}
	if len(rows) == 0 {
		t.Fatalf("table %q of %s has no rows", name, doc)
	}
	return rows
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// printed is the tolerance of a figure printed to so many digits: half of its
// last one, and a little for the binary representation.
func printed(s string) float64 {
	_, frac, _ := strings.Cut(s, ".")
	return 0.5000001 * math.Pow(10, -float64(len(frac)))
}

func same(t *testing.T, what, text string, got float64) {
	t.Helper()
	if want := number(t, text); math.Abs(got-want) > printed(text) {
		t.Errorf("%s: the document says %s, the program %.10g", what, text, got)
	}
}

// example is the example rig with changes to its text.
func example(t *testing.T, changes ...string) *rig.Rig {
	t.Helper()
	text := rig.Example()
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(text, changes[i]) {
			t.Fatalf("the example rig has no %q", changes[i])
		}
		text = strings.Replace(text, changes[i], changes[i+1], 1)
	}
	r, err := rig.Parse("example", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The section of the example's nominal bar, 12.5 mm.
const barSection = math.Pi * 12.5e-3 * 12.5e-3 / 4

func TestSketchInWiring(t *testing.T) {
	_, rest, found := strings.Cut(read(t, "wiring.md"), "<!-- file: ../testdata/board/sketch.c -->\n```c\n")
	quoted, _, closed := strings.Cut(rest, "```")
	if !found || !closed {
		t.Fatal("wiring.md does not quote the sketch")
	}
	if quoted != read(t, "../testdata/board/sketch.c") {
		t.Error("the sketch in wiring.md is not the file testdata/board/sketch.c")
	}
}

func TestLoopTable(t *testing.T) {
	chain := example(t).Chain()
	for _, row := range table(t, "wiring.md", "loop") {
		volts := number(t, row[0]) / 1000 * 250
		same(t, row[0]+" mA in volts", row[1], volts)
		p, signal := chain.Pressure(volts / 5 * 4096)
		if row[2] != "–" {
			same(t, row[0]+" mA in bar", row[2], float64(p)/si.Bar)
		} else if signal.Valid() {
			t.Errorf("%s mA is a valid reading, the document says it is none", row[0])
		}
		if row[2] != "–" && !signal.Valid() {
			t.Errorf("%s mA is %q, the document says it reads %s bar", row[0], signal, row[2])
		}
		if said := row[3]; row[2] == "–" && !strings.HasSuffix(said, ": "+signal.String()) {
			t.Errorf("%s mA: the document says %q, the program %q", row[0], said, signal)
		}
	}
}

func TestResolutionTable(t *testing.T) {
	for _, row := range table(t, "wiring.md", "resolution") {
		r := example(t, "bits = 12", "bits = "+row[0])
		c := r.Chain()
		step := c.Step()
		what := row[0] + " bits: "
		same(t, what+"counts in the range", row[1], float64(c.Range()/step))
		same(t, what+"bar", row[2], float64(step)/si.Bar)
		same(t, what+"ram", row[3], float64(c.Ram(step)))
		same(t, what+"specimen", row[4], float64(c.Specimen(step)))
		same(t, what+"stress", row[5], float64(si.StressOn(c.Specimen(step), barSection))/si.Megapascal)
	}
}

// Section 14.2 of the check list, computed there apart from this program: a
// span of 10,000 psi on 0.8 of the converter's range, a ram of 4.324 in², half
// the force on a 0.250 in bar (0.04908739 in²). Printed to six figures.
func TestCountSizes(t *testing.T) {
	const sixFigures = 1e-5
	for _, c := range []struct {
		bits                   string
		psi, ram, bar, mv, per float64
	}{
		{"10", 12.20703, 52.7832, 26.3916, 4.88281, 537.645},
		{"12", 3.05176, 13.1958, 6.5979, 1.22070, 134.411},
		{"16", 0.190735, 0.824738, 0.412369, 0.0762939, 8.40070},
	} {
		r := example(t, "bits = 12", "bits = "+c.bits, "42.0 cm² ± 0.2 cm²", "4.324 in² ± 0.02 in²", "0 bar .. 700 bar", "0 psi .. 10000 psi", `rated_force = "250 kN"`, `rated_force = "40000 lbf"`)
		chain := r.Chain()
		step := chain.Step()
		for _, q := range []struct {
			name      string
			got, want float64
		}{
			{"psi", float64(step) / si.PSI, c.psi},
			{"ram lbf", float64(chain.Ram(step)) / si.PoundForce, c.ram},
			{"specimen lbf", float64(chain.Specimen(step)) / si.PoundForce, c.bar},
			{"stress psi", float64(si.StressOn(chain.Specimen(step), 0.04908739*si.SquareInch)) / si.PSI, c.per},
			{"mV of 5 V", 5000 / math.Exp2(number(t, c.bits)), c.mv},
		} {
			if math.Abs(q.got-q.want) > sixFigures*q.want {
				t.Errorf("%s bits, %s a count: %.8g, want %.8g", c.bits, q.name, q.got, q.want)
			}
		}
	}
}

func TestBaudTable(t *testing.T) {
	const bitsAByte, bytesALine = 10, len("4294967295,4095\n")
	for _, row := range table(t, "wiring.md", "baud") {
		baud := number(t, row[0])
		same(t, row[0]+" baud, bytes", row[1], baud/bitsAByte)
		same(t, row[0]+" baud, lines", row[2], math.Floor(baud/bitsAByte/float64(bytesALine)))
	}
}

func TestWorkedExample(t *testing.T) {
	r := example(t)
	chain := r.Chain()
	pressure := func(raw float64) si.Pressure {
		p, signal := chain.Pressure(raw)
		if !signal.Valid() {
			t.Fatalf("%v counts: %v", raw, signal)
		}
		return p
	}
	p, zero := pressure(1668), pressure(820)
	above := p - zero
	section := math.Pi * 12.51e-3 * 12.51e-3 / 4
	stress := si.StressOn(chain.Specimen(above), si.Area(section))
	var link rig.Bound
	for _, b := range r.Bounds() {
		if strings.HasPrefix(b.Limit.Name, "link bar") {
			link = b
		}
	}
	values := map[string]float64{
		"voltage":                      1668.0 / 4096 * 5,
		"current":                      1668.0 / 4096 * 5 / 250 * 1e3,
		"pressure":                     float64(p) / si.Bar,
		"zero":                         float64(zero) / si.Bar,
		"above the zero":               float64(above) / si.Bar,
		"ram force":                    float64(chain.Ram(above)) / si.Kilonewton,
		"share":                        r.Path.Share,
		"specimen force":               float64(chain.Specimen(above)) / si.Kilonewton,
		"section":                      section / si.SquareMM,
		"stress":                       float64(stress) / si.Megapascal,
		"in ksi":                       float64(stress) / si.KSI,
		"largest share":                r.Path.Share + r.Path.ShareTol,
		"link bar's load, unsafe edge": link.Load(above, p) / si.Kilonewton,
		"of its 48 kN":                 link.Ratio(above, p),
		"stop comes at":                float64(link.PressureAt(r.Alarm.Stop)) / si.Bar,
		"one count":                    float64(chain.Step()) / si.Bar,
		"one count on the bar":         float64(si.StressOn(chain.Specimen(chain.Step()), si.Area(section))) / si.Megapascal,
	}
	rows := table(t, "math.md", "example")
	for _, row := range rows {
		got, known := values[row[0]]
		if !known {
			t.Errorf("math.md works out %q, this test does not", row[0])
			continue
		}
		text, _, _ := strings.Cut(row[2], " ")
		same(t, row[0], text, got)
	}
	if len(rows) != len(values) {
		t.Errorf("math.md has %d steps, this test %d", len(rows), len(values))
	}
	if ratio := link.Ratio(above, p); ratio < r.Alarm.Caution || ratio >= r.Alarm.Warning {
		t.Errorf("at %.3f of the link bar's limit the document's \"caution is on, warning is not\" is wrong", ratio)
	}
	heavy := example(t, "# weight", "weight", "# ram_pushes", "ram_pushes").Chain()
	same(t, "specimen force with a weight", "37.98315", float64(heavy.Specimen(above))/si.Kilonewton)
	if !strings.Contains(read(t, "math.md"), "= 37.98315 kN") {
		t.Error("math.md does not give the specimen force with a weight as 37.98315 kN")
	}
}

// The energy in safety.md: F²/(2k), and m·g·h of the falling casting.
func TestStoredEnergy(t *testing.T) {
	const said = "at 76 kN on a rig of 40 kN/mm it is\n72 J, as much as a 7.4 kg casting has that fell 1 m"
	if !strings.Contains(read(t, "safety.md"), said) {
		t.Fatalf("safety.md no longer says %q: change this test with it", said)
	}
	stored, fallen := 76e3*76e3/(2*40e6), 7.4*9.80665*1
	if math.Abs(stored-72) > 0.5 || math.Abs(fallen-72) > 1 {
		t.Errorf("stored %.1f J, fallen %.1f J; the document says 72 J", stored, fallen)
	}
}

// Every link of the documents, those of the README and to pictures too, leads to a
// file.
func TestLinks(t *testing.T) {
	link := regexp.MustCompile(`\]\(([^)#:\s]+)(?:#[^)]*)?\)`)
	docs, err := filepath.Glob("*.md")
	if err != nil {
		t.Fatal(err)
	}
	more, err := filepath.Glob(filepath.Join("*", "*.md"))
	if err != nil {
		t.Fatal(err)
	}
	docs = append(append(docs, more...), filepath.Join("..", "README.md"), filepath.Join("..", "DEVELOPERS.md"))
	seen := 0
	for _, doc := range docs {
		for _, m := range link.FindAllStringSubmatch(read(t, doc), -1) {
			seen++
			if _, err := os.Stat(filepath.Join(filepath.Dir(doc), m[1])); err != nil {
				t.Errorf("%s links to %s: %v", doc, m[1], err)
			}
		}
	}
	if len(docs) < 30 || seen < 150 {
		t.Errorf("%d links in %d documents: fewer than there are", seen, len(docs))
	}
}

// Every command in the documents has a verb and flags that the program knows.
func TestCommands(t *testing.T) {
	bin := filepath.Join(t.TempDir(), "draghand")
	if out, err := exec.CommandContext(t.Context(), "go", "build", "-o", bin, "draghand/cmd/draghand").CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	command := regexp.MustCompile("(?m)(?:^    |`)draghand ([a-z][^`\n]*)")
	flag := regexp.MustCompile(`(?:^| )(--?[a-z][a-z-]*)`)
	seen := 0
	for _, doc := range []string{"wiring.md", "first-pull.md", "safety.md", "math.md", "trip-line.md", "worked-example.md"} {
		for _, m := range command.FindAllStringSubmatch(read(t, doc), -1) {
			words := strings.Fields(m[1])
			verb := words[:1]
			if words[0] == "rig" {
				verb = words[:2]
			}
			out, err := exec.CommandContext(t.Context(), bin, append(verb, "--help")...).CombinedOutput()
			if err != nil || !strings.Contains(string(out), "draghand "+strings.Join(verb, " ")) {
				t.Errorf("%s: %q: the program knows no %q: %v", doc, m[0], verb, err)
				continue
			}
			for _, f := range flag.FindAllStringSubmatch(m[1], -1) {
				if !regexp.MustCompile(`(?m)(^|\s)` + regexp.QuoteMeta(f[1]) + `\b`).Match(out) {
					t.Errorf("%s: %q: draghand %s has no %s", doc, m[0], strings.Join(verb, " "), f[1])
				}
			}
			seen++
		}
	}
	if seen < 12 {
		t.Errorf("%d commands found in the documents, want a dozen and more", seen)
	}
}
