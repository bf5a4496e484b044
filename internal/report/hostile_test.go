package report

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// options of all tests: the time is fixed, so that the bytes are.
var options = Options{Units: si.Metric, Program: "draghand test", Made: time.Date(2026, 11, 26, 9, 0, 0, 0, time.UTC)}

// outline are the elements and attribute names of a page, in order, without their
// texts and values. It fails where the page is no well-formed XML, which a page of
// ours is on purpose: then a tag that a text has smuggled in cannot hide.
func outline(t testing.TB, page []byte) string {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(page))
	var b strings.Builder
	depth := 0
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("the page is not well formed: %v", err)
		}
		switch e := tok.(type) {
		case xml.StartElement:
			depth++
			fmt.Fprintf(&b, "%s", e.Name.Local)
			for _, a := range e.Attr {
				fmt.Fprintf(&b, " %s", a.Name.Local)
			}
			b.WriteByte('\n')
		case xml.EndElement:
			depth--
		case xml.Comment, xml.ProcInst:
			t.Fatalf("a comment or an instruction: %q", tok)
		}
	}
	if depth != 0 {
		t.Fatalf("%d elements are open at the end", depth)
	}
	return b.String()
}

var loads = regexp.MustCompile(`(?i)<script|<img|<link|<iframe|<object|<embed|<a[ >]|<base|\bsrc=|\bhref=|@import|url\(|\son[a-z]+\s*=\s*"`)

// alone checks that a page needs nothing else and can run nothing.
func alone(t testing.TB, page []byte) {
	t.Helper()
	if m := loads.Find(page); m != nil {
		t.Errorf("the page holds %q", m)
	}
	text := strings.ReplaceAll(string(page), `xmlns="http://www.w3.org/2000/svg"`, "")
	if i := strings.Index(text, `"http`); i >= 0 {
		t.Errorf("an address in an attribute: %q", text[i:min(len(text), i+60)])
	}
	if !strings.Contains(text, `content="default-src 'none'; style-src 'unsafe-inline'; img-src data:"`) {
		t.Error("no policy of content")
	}
	if strings.Contains(text, "ZgotmplZ") {
		t.Error("the template has refused a value")
	}
	if i := strings.IndexFunc(text, func(r rune) bool { return r != '\n' && hidden(r) }); i >= 0 || !utf8.ValidString(text) {
		t.Errorf("a hidden character at %d, or no UTF-8", i)
	}
}

func html(t testing.TB, rec *record.Record, o Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := HTML(&b, rec, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func written(t testing.TB, f *facts) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := f.write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// everywhere is a head with one text in every place a text from outside can be.
func everywhere(t testing.TB, text string) record.Head {
	t.Helper()
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	r.Name, r.Path.Bearing, r.Ram.Role = text, text, rig.Role(text)
	r.Drive = &rig.Drive{Kind: text}
	for i := range r.Limits {
		r.Limits[i].Name, r.Limits[i].Note = text, text
	}
	r.Calibration = &rig.Calibration{
		ID: text, Rig: text, Reference: text, Certificate: text, At: rig.AtSpecimen, Claims: []string{text}, Remarks: []string{text},
		Made: time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC), Due: time.Date(2027, 11, 20, 9, 0, 0, 0, time.UTC), Sensor: r.Sensor, Role: rig.SensorRam, Path: rig.Path{Kind: rig.Direct, Share: 1},
		Line: rig.CalibrationLine{Slope: 2.1e-3, Low: 1e6, High: 3e7, Points: 9, SD: 20, Mean: 1e7, SumSquares: 1e15},
	}
	bar := specimen.Specimen{
		ID: text, Melt: text, Alloy: text, ExpectFrom: text, Tags: []string{text, text}, Stock: text, ExpectLow: 2e8, ExpectHigh: 3e8, Simulated: true,
		Diameters: []si.Length{12.5e-3}, GaugeLength: 50e-3,
	}
	return record.Head{
		Format: record.Format, Program: text, Started: time.Date(2026, 11, 25, 14, 3, 22, 0, time.UTC), Kind: pull.Tension,
		Specimen: bar, Rig: r, Source: text, Overrides: []string{text}, Remarks: []string{text},
		Arming:   &record.Arming{Confirmed: []record.SetupPoint{{ID: "a", Text: text}}, Unconfirmed: []record.SetupPoint{{Text: text}}, Overruled: []string{text}, Reason: text},
		Imported: &record.Imported{File: text, SHA256: text, Understood: []string{text}, LoadColumn: text},
		Said:     []record.Said{{At: time.Unix(0, 0), Text: text}},
		Finished: []record.Finished{{At: time.Unix(0, 0), After: specimen.After{
			Where: specimen.Where(text), Looks: []specimen.Look{specimen.Look(text)}, Failed: text, Photos: []string{text}, Minimum: 3e8, MinimumFrom: text,
		}}},
	}
}

// curve is a pull of 12 s: quiet, up, down at once.
func curve(w *record.Writer) {
	for i := range 1200 {
		raw := 819.2
		if i >= 300 && i < 1100 {
			raw += 1000 * math.Sin(math.Pi/2*float64(i-300)/800)
		}
		w.Append(time.Duration(i)*10*time.Millisecond, nil, fmt.Appendf(nil, "%.3f", raw+0.3*float64(i%3)), "")
	}
	w.Mark(12*time.Second, pull.End, 0, "end")
}

// still is a pull of 1 s in which nothing is loaded.
func still(w *record.Writer) {
	for i := range 100 {
		w.Append(time.Duration(i)*10*time.Millisecond, nil, fmt.Appendf(nil, "%d", 820+i%3), "")
	}
}

// bed is one record on disk whose head a test puts another in the place of.
func bed(t testing.TB, fill func(*record.Writer)) func(record.Head) *record.Record {
	t.Helper()
	h := everywhere(t, "x")
	h.Finished, h.Imported = nil, nil
	w, err := record.Create(t.TempDir(), h)
	if err != nil {
		t.Fatal(err)
	}
	fill(w)
	if err := w.Close(record.Closing{Reason: record.ByPerson, Ended: h.Started}); err != nil {
		t.Fatal(err)
	}
	rec, err := record.Open(w.Dir())
	if err != nil {
		t.Fatal(err)
	}
	return func(h record.Head) *record.Record {
		h.Closing, h.Format = rec.Head.Closing, rec.Head.Format
		return &record.Record{Dir: rec.Dir, Head: h}
	}
}

// hostileTexts are texts that would do harm on a page, were they more than texts there.
func hostileTexts() map[string]string {
	return map[string]string{
		"script":      `<script>alert(1)</script>`,
		"attribute":   `"><img src=x onerror=alert(1)>`,
		"style":       `</style><style>*{display:none}</style>`,
		"title":       `</title></svg></desc><svg onload=alert(1)>`,
		"template":    `{{.}}{{template "pairs"}}`,
		"address":     `javascript:alert(1) http://example.invalid/`,
		"css":         `} body { background: url(http://example.invalid/x) } @import "x";`,
		"comment":     `<!-- --><![CDATA[ ]]> <?php ?>`,
		"entity":      `&lt;script&gt;&#0;&#x202e;&nbsp;`,
		"turned":      "abc\u202edef\u2066ghi\u200f\u061c",
		"NUL":         "a\x00b\x1b[2J\x07\u0085",
		"not UTF-8":   "a\xff\xfeb\xed\xa0\x80",
		"long":        strings.Repeat("long ", 5000),
		"long word":   strings.Repeat("m", 20000),
		"lines":       "one\r\ntwo\u2028three",
		"quotes":      "'\"`\\",
		"plus":        "+1+1=2",
		"replacement": "\ufffd",
	}
}

// Texts from outside stay texts: the page has the tags it has without them.
func TestHostileTexts(t *testing.T) {
	full, idle := bed(t, curve), bed(t, still)
	plain, plainIdle := html(t, full(everywhere(t, "word")), options), html(t, idle(everywhere(t, "word")), options)
	alone(t, plain)
	wantFull, wantIdle := outline(t, plain), outline(t, plainIdle)
	for name, text := range hostileTexts() {
		with, want := idle, wantIdle // without a strength, whose draws take their time
		switch name {
		case "script", "attribute", "not UTF-8", "turned", "long word":
			with, want = full, wantFull
		}
		f := gather(with(everywhere(t, text)), options)
		page := written(t, f)
		if got := outline(t, page); got != want {
			t.Errorf("%s: the page has other tags", name)
		}
		shown := string(page)
		if m := regexp.MustCompile(`(?i)<script|<img|</style><style`).FindString(shown); m != "" {
			t.Errorf("%s: %q came through", name, m)
		}
		if i := strings.IndexFunc(shown, func(r rune) bool { return r != '\n' && (unicode.IsControl(r) || unicode.In(r, unicode.Cf)) }); i >= 0 {
			t.Errorf("%s: a hidden character at %d", name, i)
		}
		switch name {
		case "not UTF-8", "turned", "long word", "lines", "NUL":
			picture(t, f, false)
		}
		if len(page) > 400_000 {
			t.Errorf("%s: a page of %d bytes", name, len(page))
		}
	}
}

// FuzzTexts holds that no text from outside makes, ends or changes a tag.
func FuzzTexts(f *testing.F) {
	for _, s := range []string{"x", "<b>", "\"'><svg/onload=a>", "\x00\u202e", "</style>", "{{", "&#60;", "]]>", "\xff<"} {
		f.Add(s)
	}
	with := bed(f, still)
	empty := everywhere(f, "word")
	want := outline(f, html(f, with(empty), options))
	f.Fuzz(func(t *testing.T, text string) {
		if where := specimen.Where(text); tidy(text) == "" || whereWords(where) != text {
			text += "x" // what is empty has no row, and a place that is known is drawn
		}
		page := html(t, with(everywhere(t, text)), options)
		if got := outline(t, page); got != want {
			t.Errorf("%q gives other tags", text)
		}
	})
}

// A head that somebody made by hand, with figures that no rig has: no panic, and
// no figure in the drawing that is none.
func TestWildFigures(t *testing.T) {
	if testing.Short() {
		t.Skip("one goroutine, and dear under the race detector: the run without it looks here")
	}
	with := bed(t, curve)
	for name, change := range map[string]func(*record.Head){
		"thin":        func(h *record.Head) { h.Specimen.Diameters = []si.Length{1e-200} },
		"thick":       func(h *record.Head) { h.Specimen.Diameters = []si.Length{1e200} },
		"negative":    func(h *record.Head) { h.Specimen.Diameters, h.Specimen.GaugeLength = []si.Length{-1}, -1 },
		"no ram":      func(h *record.Head) { h.Rig.Ram.Area, h.Rig.Calibration = 0, nil },
		"wide ram":    func(h *record.Head) { h.Rig.Ram.Area, h.Rig.Calibration = 1e300, nil },
		"backwards":   func(h *record.Head) { h.Rig.Ram.Area, h.Rig.Calibration = -42e-4, nil },
		"no sensor":   func(h *record.Head) { h.Rig.Sensor = rig.Sensor{} },
		"no path":     func(h *record.Head) { h.Rig.Path = rig.Path{} },
		"no limits":   func(h *record.Head) { h.Rig.Limits = nil },
		"no factor":   func(h *record.Head) { h.Rig.Limits[0].Factor, h.Rig.Limits[1].Force = 0, -5 },
		"no alarm":    func(h *record.Head) { h.Rig.Alarm = rig.Alarm{} },
		"no line":     func(h *record.Head) { h.Rig.Calibration.Line = rig.CalibrationLine{} },
		"steep line":  func(h *record.Head) { h.Rig.Calibration.Line.Slope = 1e305 },
		"no kind":     func(h *record.Head) { h.Kind = "" },
		"odd kind":    func(h *record.Head) { h.Kind = "pull\x00" },
		"proof":       func(h *record.Head) { h.Kind, h.Proof = pull.Proof, &record.Proof{Target: -1, Hold: -1} },
		"minimum":     func(h *record.Head) { h.Finished[0].Minimum = 1e300 },
		"far minimum": func(h *record.Head) { h.Finished[0].Minimum = -1 },
		"shape":       func(h *record.Head) { h.Specimen.Shape = "<b>" },
		"early":       func(h *record.Head) { h.Started = time.Time{} },
		"late":        func(h *record.Head) { h.Started = time.Unix(1<<60, 0) },
	} {
		h := everywhere(t, "word")
		change(&h)
		f := gather(with(h), options)
		page := written(t, f)
		outline(t, page)
		alone(t, page)
		if m := regexp.MustCompile(`(d|x|y|width|cx|cy)="[^"]*(NaN|Inf)`).Find(page); m != nil {
			t.Errorf("%s: %q", name, m[:min(len(m), 80)])
		}
		switch name { // the rest is in the page alone, or in words
		case "thin", "no ram", "wide ram", "backwards", "no path", "steep line", "minimum":
		default:
			continue
		}
		if err := f.draw(io.Discard); err != nil {
			t.Errorf("%s: PNG: %v", name, err)
		}
	}
}
