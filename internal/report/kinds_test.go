package report

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// sections are the parts of every report, in the order they are read.
func sections() []string {
	return []string{"answer", "trace", "specimen", "measured", "rig", "calibration", "uncertainty", "remarks", "how", "integrity"}
}

// made is a record on the example rig, typed in.
func made(t testing.TB, change func(*record.Head), fill func(*record.Writer)) *record.Record {
	t.Helper()
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	h := record.Head{
		Program: "draghand test", Started: time.Date(2026, 11, 25, 14, 3, 22, 0, time.UTC), Kind: pull.Tension, Rig: r, Source: "sim:",
		Specimen: specimen.Specimen{ID: "3", Melt: "M1", Alloy: "C90500", Simulated: true, Diameters: []si.Length{12.51e-3, 12.5e-3}, GaugeLength: 50e-3},
	}
	if change != nil {
		change(&h)
	}
	shelf := t.TempDir()
	var dir string
	if h.Dial != nil {
		if dir, _, err = record.CreateDial(shelf, h); err != nil {
			t.Fatal(err)
		}
	} else {
		w, err := record.Create(shelf, h)
		if err != nil {
			t.Fatal(err)
		}
		fill(w)
		if err := w.Close(record.Closing{Reason: record.ByPerson, Ended: h.Started}); err != nil {
			t.Fatal(err)
		}
		dir = w.Dir()
	}
	rec, err := record.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// up fills a record with quiet, a load that rises to a peak in counts, and what
// comes then: a break at once, or a let-off over two seconds.
func up(peak float64, letOff bool) func(*record.Writer) {
	return func(w *record.Writer) {
		at := time.Duration(0)
		put := func(raw float64) {
			w.Append(at, nil, fmt.Appendf(nil, "%.2f", raw), "")
			at += 10 * time.Millisecond
		}
		jitter := func(i int) float64 { return 0.3 * float64(i%3) }
		for i := range 300 {
			put(819.2 + jitter(i))
		}
		for i := range 1000 {
			put(819.2 + peak*float64(i)/1000 + jitter(i))
		}
		if letOff {
			for i := range 300 {
				put(819.2 + peak + jitter(i))
			}
			for i := range 200 {
				put(819.2 + peak*float64(200-i)/200 + jitter(i))
			}
		}
		for i := range 400 {
			put(819.2 + jitter(i))
		}
		w.Mark(at, pull.End, 0, "end")
	}
}

func direct(h *record.Head) {
	h.Kind = pull.Crush
	h.Rig.Path = rig.Path{Kind: rig.Direct, Share: 1}
}

// Every kind of record gives a whole page that says what it is, and a picture.
func TestKindsOfRecord(t *testing.T) {
	if testing.Short() {
		t.Skip("one goroutine, and dear under the race detector: the run without it looks here")
	}
	for name, c := range map[string]struct {
		change  func(*record.Head)
		fill    func(*record.Writer)
		say, no []string
		noTrace bool
	}{
		"tension": {nil, up(900, false), []string{"Tension test", "tensile strength", "SIMULATED", "No known limit", "pins", "None: the forces stand by the rig file alone", "break</td>", "replaces no code", "link bar"}, []string{"UNFINISHED", "DAMAGED"}, false},
		"measured": {func(h *record.Head) {
			h.Finished = []record.Finished{{At: h.Started, After: specimen.After{Diameters: []si.Length{11e-3}, GaugeLength: 58e-3, Where: specimen.MidGauge, Looks: []specimen.Look{specimen.CupCone}, Photos: []string{"m1-3-a.jpg"}, Minimum: 275e6, MinimumFrom: "the drawing"}}}
		}, up(900, false), []string{"in the middle half of the gauge length", "cup-and-cone", "m1-3-a.jpg", "the drawing", `class="minimum"`, "11.00 mm after"}, []string{"<img", "Nothing was measured"}, false},
		"not loaded": {nil, up(0, false), []string{"no load was seen", "no result"}, []string{"tensile strength</p>"}, false},
		"let off":    {nil, up(900, true), []string{"at least", "no break was seen"}, nil, false},
		"crush":      {direct, up(900, true), []string{"Crush test", ">force on the block, kN", "Crush"}, []string{"class=\"bar\"", "tensile strength"}, false},
		"proof": {func(h *record.Head) {
			h.Kind, h.Proof = pull.Proof, &record.Proof{Target: 30e3, Hold: 2}
		}, up(900, true), []string{"Proof load", "held", "asked to hold", `class="target"`}, []string{"tensile strength"}, false},
		"dial": {func(h *record.Head) {
			p := 300 * si.Pressure(si.Bar)
			h.Dial, h.Specimen.Simulated = &record.Dial{Pressure: &p, Outcome: pull.Broken}, false
		}, nil, []string{"read off a dial gauge by eye", "tensile strength"}, []string{"SIMULATED", `class="trace"`}, true},
		"imported": {func(h *record.Head) {
			h.Rig.Sensor.Zeroed, h.Rig.Sensor.Kind, h.Rig.Sensor.UnitFactor, h.Rig.Sensor.Bits = true, rig.ForceOut, 1000, 0
			h.Specimen.Simulated = false
			h.Imported = &record.Imported{File: "bar 7.csv", SHA256: strings.Repeat("ab", 32), Understood: []string{"the load is in kN"}, LoadColumn: "load"}
		}, func(w *record.Writer) {
			for i := range 1000 {
				w.Append(time.Duration(i)*10*time.Millisecond, nil, fmt.Appendf(nil, "%.3f", float64(i%900)/20), "")
			}
			w.Mark(10*time.Second, pull.End, 0, "end")
		}, []string{"bar 7.csv", "the load is in kN", "as they stood in the imported table", strings.Repeat("ab", 32)}, []string{"SIMULATED"}, false},
		"empty":   {nil, func(*record.Writer) {}, []string{"not one valid reading", "no result"}, []string{`class="trace"`}, true},
		"no size": {func(h *record.Head) { h.Specimen.Diameters = nil }, up(900, false), []string{"no section was measured", "peak force on the specimen"}, []string{"stress, MPa"}, false},
		"gap": {nil, func(w *record.Writer) {
			up(900, false)(w)
			w.Append(20*time.Second, nil, []byte("100"), "") // a broken wire
			w.Append(25*time.Second, nil, []byte("819.2"), "")
		}, []string{`class="blind"`, "out of sight"}, nil, false},
	} {
		t.Run(name, func(t *testing.T) {
			rec := made(t, c.change, c.fill)
			f := gather(rec, options)
			page := written(t, f)
			outline(t, page)
			alone(t, page)
			text := string(page)
			at := 0
			for _, s := range sections() {
				i := strings.Index(text, `<section id="`+s+`"`)
				if i < at {
					t.Errorf("section %s is missing or out of order", s)
				}
				at = max(at, i)
			}
			for _, want := range c.say {
				if !strings.Contains(text, want) {
					t.Errorf("no %q", want)
				}
			}
			for _, no := range c.no {
				if strings.Contains(text, no) {
					t.Errorf("%q", no)
				}
			}
			// The example rig shows US units; the reader asked for SI.
			if m := regexp.MustCompile(`[0-9] (psi|lbf|ksi)\b[^/]`).FindString(strings.ReplaceAll(text, "ksi/min (", "")); m != "" {
				t.Errorf("%q in a page in SI", m)
			}
			if strings.Contains(text, `<svg class="trace"`) == c.noTrace {
				t.Errorf("a trace: %v", !c.noTrace)
			}
			picture(t, f, c.noTrace)
			if t.Failed() {
				_ = os.WriteFile(filepath.Join(os.TempDir(), "report-"+strings.ReplaceAll(name, " ", "-")+".html"), page, 0o644)
			}
		})
	}
}

// A record that was never closed, and one that is damaged, are reported as far as
// they go, and say so above everything else.
func TestUnfinishedAndDamaged(t *testing.T) {
	if testing.Short() {
		t.Skip("one goroutine, and dear under the race detector: the run without it looks here")
	}
	rec := made(t, nil, up(900, false))
	rec.Head.Closing = nil
	if text := string(html(t, rec, options)); !strings.Contains(text, "UNFINISHED") {
		t.Error("an unfinished record does not say so")
	}
	rec = made(t, nil, up(900, false))
	path := filepath.Join(rec.Dir, record.SamplesFile)
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string]func([]byte) []byte{
		"a letter": func(b []byte) []byte {
			b = bytes.Clone(b)
			b[len(b)/2], b[len(b)/2+1] = 'x', 'y'
			return b
		},
		"a digit": func(b []byte) []byte { return bytes.Replace(b, []byte("819.20"), []byte("819.21"), 1) },
		"cut off": func(b []byte) []byte { return b[:len(b)/3] },
	} {
		if err := os.WriteFile(path, change(text), 0o644); err != nil {
			t.Fatal(err)
		}
		var page, png bytes.Buffer
		err := HTML(&page, rec, options)
		if name != "a digit" && err == nil {
			t.Errorf("%s: no error", name)
		}
		if s := page.String(); !strings.Contains(s, `role="note">DAMAGED`) || !strings.Contains(s, "DAMAGED: something is missing or changed") {
			t.Errorf("%s: the page does not say so", name)
		}
		outline(t, page.Bytes())
		if err := PNG(&png, rec, options); name != "a digit" && err == nil || png.Len() == 0 {
			t.Errorf("%s: PNG = %v with %d bytes", name, err, png.Len())
		}
	}
}

// What stops the writing is the error.
func TestReportWriterFails(t *testing.T) {
	rec := made(t, nil, up(900, false))
	for _, room := range []int{0, 100, 5000} {
		if err := HTML(&full{room}, rec, options); err == nil || !strings.Contains(err.Error(), errFull.Error()) {
			t.Errorf("HTML with room for %d = %v", room, err)
		}
		if err := PNG(&full{room}, rec, options); err == nil || !strings.Contains(err.Error(), errFull.Error()) {
			t.Errorf("PNG with room for %d = %v", room, err)
		}
	}
}

// The same record at the same time gives the same bytes, in both units.
func TestSameBytes(t *testing.T) {
	rec := made(t, nil, up(900, false))
	for _, sys := range []si.System{si.US, si.Metric} {
		o := options
		o.Units = sys
		if !bytes.Equal(html(t, rec, o), html(t, rec, o)) {
			t.Errorf("%v: two pages differ", sys)
		}
		var a, b bytes.Buffer
		if err := PNG(&a, rec, o); err != nil {
			t.Fatal(err)
		}
		if err := PNG(&b, rec, o); err != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Errorf("%v: two pictures differ: %v", sys, err)
		}
	}
}
