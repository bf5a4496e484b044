package tui

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/exp/golden"
	"github.com/muesli/termenv"
)

// shelfGoldens are every state at every size without colour, in sixteen and in all.
func shelfGoldens() map[string]func() string {
	profiles := map[string]termenv.Profile{"": termenv.Ascii, "-sixteen": termenv.ANSI, "-colour": termenv.TrueColor}
	out := map[string]func() string{}
	for name, of := range shelfStates() {
		for _, s := range sizes {
			for suffix, p := range profiles {
				if suffix != "" && !colouredShelf(name) {
					continue
				}
				out[goldenName(name, s.w, s.h)+suffix] = func() string { return of(s.w, s.h, p).View() }
			}
		}
	}
	for _, s := range sizes[:2] {
		for _, name := range []string{"trace", "marked", "filter-typing"} {
			out[goldenName(name, s.w, s.h)+"-ascii"] = func() string {
				m := shelfStates()[name](s.w, s.h, termenv.Ascii)
				m.scratch.plate.ascii = true
				return m.View()
			}
		}
	}
	for _, s := range sizes[:3] {
		for suffix, p := range profiles {
			for _, name := range []string{"some", "stop"} {
				out[goldenName("help-"+name, s.w, s.h)+suffix] = func() string { return shelfHelp(shelfStates()[name](s.w, s.h, p)) }
			}
		}
	}
	return out
}

// colouredShelf are the states whose inks differ from those of the others.
func colouredShelf(name string) bool {
	switch name {
	case "filter-empty", "filter-typing", "filter-kept", "filter-none", "sorted", "trash-one", "label", "remark", "unfinished", "trace-by-eye", "trace-fault":
		return false
	}
	return true
}

// shelfHelp is the help over a shelf, as the App shows it.
func shelfHelp(m ShelfScreen) string {
	_, msg := shelfKey(m, "?")
	h := msg.(openHelp)
	over := helpOver{title: h.title, rows: h.rows}
	return over.view(m.theme, m.width, m.height, m)
}

func TestShelfFrame(t *testing.T) {
	owned := shelfGoldens()
	for name, frame := range owned {
		t.Run(name, func(t *testing.T) { golden.RequireEqual(t, frame()) })
	}
	files, err := filepath.Glob("testdata/TestShelfFrame/*.golden")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if owned[strings.TrimSuffix(filepath.Base(f), ".golden")] == nil {
			t.Errorf("%s has no test", f)
		}
	}
}

// No line is wider than the terminal, no frame higher, and nothing but the
// theme's own escape sequences comes out, at any size.
func TestShelfFrameFits(t *testing.T) {
	drawnAlone(t)
	for name, of := range shelfStates() {
		m := of(80, 24, termenv.ANSI256)
		for _, w := range []int{0, 1, 2, 3, 10, 20, 59, 79, 80, 81, 100, 111, 112, 113, 150, 200} {
			for _, h := range []int{0, 1, 2, 4, 17, 23, 24, 25, 36, 60} {
				m.width, m.height = w, h
				m.move(m.chosen)
				checkAnyFrame(t, name, m.View(), w, h)
			}
		}
	}
}

// checkAnyFrame is checkFrame for the frame of any screen.
func checkAnyFrame(t *testing.T, name, frame string, w, h int) {
	t.Helper()
	lines := strings.Split(frame, "\n")
	if len(lines) > max(h, 1) {
		t.Fatalf("%s at %d×%d: %d lines", name, w, h, len(lines))
	}
	for i, l := range lines {
		if n := ansi.StringWidth(l); n > w {
			t.Fatalf("%s at %d×%d: line %d is %d wide: %q", name, w, h, i, n, l)
		}
		for rest := l; ; {
			at := strings.IndexFunc(rest, func(r rune) bool { return r < ' ' || r >= 0x7f && r < 0xa0 })
			if at < 0 {
				break
			}
			end := strings.IndexByte(rest[at:], 'm')
			if !strings.HasPrefix(rest[at:], "\x1b[") || end < 0 || strings.Trim(rest[at+2:at+end], "0123456789;") != "" {
				t.Fatalf("%s at %d×%d: line %d carries a control sequence: %q", name, w, h, i, l)
			}
			rest = rest[at+end:]
		}
	}
}

// What a person must find at every size that is laid out, whatever the golden
// files say. Source: design 8 and issue 4.
func TestShelfFrameSays(t *testing.T) {
	for name, words := range map[string][]string{
		"loading": {"reading the shelf …", "b bench", "? help"},
		"empty":   {"no pull records yet", "sim:"},
		"some":    {"5 pull records", "enter look again", "? help", "▸ 2026-11-25 13:26  M40-6", "broken", "ksi", "bench press", "simulated", "remarks", "1: draghand results", "2026-11-25T132622Z-M40-6"},
		"many":    {"10,000 pull records", "number 5,001 is chosen"},
		"mixed": {
			"being written", "unfinished", "damaged", "newer", "foreign", "holiday pictures", "by eye", "imported", "force 7,961 lbf", "crush ended, simulated",
			"no load seen", "unfinished: it was",
		},
		"damaged":      {"damaged: pull.json is torn, its end", "put it back from a copy", "draghand check says whether", "trash"},
		"again":        {"5 pull records", "reading the shelf …", "M40-6"},
		"opening":      {"opening 2026-11-25T140322Z-M40-7 …"},
		"not-opened":   {"cannot be shown again", "damaged at byte 20", "no time"},
		"stop":         {"STOP", "link bar at 102 %", "LOAD ON THE RIG", "30 pull records", "▸"},
		"error":        {"the shelf cannot be read", "permission denied", "press r"},
		"hostile":      {"6 pull records", "鋳造溶解"},
		"trace":        {"± 0.93 ksi", "with remarks", "peak 7,868 lbf at 43.0 s", "0.0 s", "50.0 s"},
		"filter-empty": {"filter ▏", "alloy:C905 strength>40ksi since:2026-01 tag:wet-sand", "enter keep it"},
		"filter-fault": {"7 of 14 pull records", "m40 strength>soft", "not understood, the rest holds: strength>soft"},
		"filter-kept":  {"7 of 14 pull records", "filter melt=M39", "▸ 2026-11-25 09:07 M39-6"},
		"filter-none":  {"0 of 14", "alloy:iron", "takes none of them", "esc takes it away"},
		"sorted":       {"strongest first", "strength ↓"},
		"marked":       {"4 marked", "A 2026-11-25 14:03", "▸ B 2026-11-25 12:12"},
		"trash-asked":  {"move the 2 records that are marked to the trash?", "y / n"},
		"label":        {"label of M40-6", "melt M40", "bar 6", "▸ wet-sand, annealed", "enter keep the label"},
		"remark":       {"remark on M40-6 a pore at the edge", "enter keep the remark"},
		"unfinished":   {"unfinished: it was", "R closes it with what is intact"},
		"trace-by-eye": {"no trace", "a dial read", "by eye"},
		"trace-fault":  {"no trace: not one valid"},
	} {
		for _, s := range sizes[:3] {
			frame := shelfStates()[name](s.w, s.h, termenv.Ascii).View()
			for _, word := range words {
				if !strings.Contains(strings.Join(strings.Fields(frame), " "), strings.Join(strings.Fields(word), " ")) {
					t.Errorf("%s at %d×%d does not say %q:\n%s", name, s.w, s.h, word, frame)
				}
			}
		}
	}
	for name, words := range map[string][]string{
		"some": {"M40-6", "80 columns and 24 lines"}, "loading": {"reading the shelf"}, "error": {"permission denied"},
		"damaged": {"its end is missing; put it back from a copy"}, "opening": {"opening"},
	} {
		frame := shelfStates()[name](60, 18, termenv.Ascii).View()
		for _, word := range words {
			if !strings.Contains(strings.ReplaceAll(frame, "\n", " "), word) {
				t.Errorf("%s at 60×18 does not say %q:\n%s", name, word, frame)
			}
		}
	}
}

// A frame of ten thousand records costs what one of a hundred does.
func BenchmarkShelfView(b *testing.B) {
	m := shelfStates()["many"](120, 40, termenv.TrueColor)
	b.ReportAllocs()
	for b.Loop() {
		_ = m.View()
	}
}
