package specimen

import (
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"draghand/internal/si"
)

var update = flag.Bool("update", false, "write the sketches anew, to be looked at one by one")

// The sketches as they were looked at.
func TestSketchGolden(t *testing.T) {
	for file, text := range map[string]string{
		"e8_0250.txt":   strings.Join(Sketch(standard(t, "E8 0.250 in"), si.US, false), "\n"),
		"e8_0250_a.txt": strings.Join(Sketch(standard(t, "E8 0.250 in"), si.US, true), "\n"),
		"a48_b.txt":     strings.Join(Sketch(standard(t, "A48 bar B"), si.US, false), "\n"),
		"own_8mm.txt":   strings.Join(Sketch(Own(8*mm, si.Metric), si.Metric, false), "\n"),
		"e8_0250.svg":   SketchSVG(standard(t, "E8 0.250 in"), si.US),
		"a48_b.svg":     SketchSVG(standard(t, "A48 bar B"), si.US),
	} {
		if !strings.HasSuffix(text, "\n") {
			text += "\n"
		}
		path := "testdata/sketch/" + file
		if *update {
			if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil || string(want) != text {
			t.Errorf("%s: %v; drawn:\n%s", file, err, text)
		}
	}
}

// Every bar fits a screen, with all its dimensions on it, and with ASCII alone
// where that is asked for.
func TestSketch(t *testing.T) {
	for _, s := range append(Standards(), Own(200*mm, si.Metric), Own(0.5*mm, si.US)) {
		for _, sys := range []si.System{si.US, si.Metric} {
			for _, ascii := range []bool{false, true} {
				lines := Sketch(s, sys, ascii)
				all := strings.Join(lines, "\n")
				for _, l := range lines {
					if n := utf8.RuneCountInString(l); n > SketchWidth {
						t.Errorf("%s: %d wide: %s", s.Name, n, l)
					}
				}
				// A long word may stand in the way; the words of a dimension never break within.
				for what, v := range map[string]si.Length{"diameter": s.Diameter, "gauge": s.GaugeLength, "reduced": s.ReducedMin, "fillet": s.FilletMin} {
					if v > 0 && !strings.Contains(all, v.In(sys).Number()) {
						t.Errorf("%s: the %s is missing in\n%s", s.Name, what, all)
					}
				}
				if ascii {
					drawn := strings.Join(lines[:5], "")
					if strings.ContainsFunc(drawn, func(r rune) bool { return r > 0x7e }) {
						t.Errorf("%s: not ASCII alone:\n%s", s.Name, drawn)
					}
				}
			}
		}
	}
}

// The SVG is well formed, needs nothing from elsewhere, and what stands in the
// names of a bar stays text.
func TestSketchSVG(t *testing.T) {
	bad := Own(8*mm, si.Metric)
	bad.Name, bad.Source = `<script>alert("x")</script>&`, `</text><image href="http://x/"/>`
	for _, s := range append(Standards(), bad) {
		svg := SketchSVG(s, s.Units)
		d := xml.NewDecoder(strings.NewReader(svg))
		for {
			tok, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", s.Name, err)
			}
			el, ok := tok.(xml.StartElement)
			if !ok {
				continue
			}
			switch el.Name.Local {
			case "svg", "title", "style", "path", "text":
			default:
				t.Errorf("%s: holds a %s", s.Name, el.Name.Local)
			}
			for _, a := range el.Attr {
				if strings.HasPrefix(a.Name.Local, "on") || strings.Contains(a.Name.Local, "href") || strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
					t.Errorf("%s: %s=%q", s.Name, a.Name.Local, a.Value)
				}
			}
		}
		if !strings.Contains(svg, "prefers-color-scheme: dark") {
			t.Errorf("%s: no dark", s.Name)
		}
	}
}
