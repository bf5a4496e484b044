package tui

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/exp/golden"
	"github.com/muesli/termenv"

	"draghand/internal/trace"
)

// overlayFrames are the frames of every state, in each size and colour.
func overlayFrames() map[string]func(*testing.T) string {
	out := map[string]func(*testing.T) string{}
	for name, of := range overlayStates() {
		for end, profile := range profiles {
			if end == "-16" && name != "eight" && name != "mixed" && name != "stop" {
				continue
			}
			for _, s := range sizes {
				out[goldenName(name, s.w, s.h)+end] = func(*testing.T) string { return of(s.w, s.h, profile).View() }
			}
		}
	}
	for _, s := range sizes[:3] {
		for _, name := range []string{"eight", "mixed", "close"} {
			of := overlayStates()[name]
			out[goldenName(name+"-ascii", s.w, s.h)] = func(*testing.T) string { return asciiOverlay(of(s.w, s.h, termenv.Ascii)) }
		}
		for _, name := range []string{"two", "stop"} {
			of := overlayStates()[name]
			out[goldenName("help-"+name, s.w, s.h)] = func(*testing.T) string {
				m := of(s.w, s.h, termenv.Ascii)
				_, msg := overlayPress(m, "?")
				h := msg.(openHelp)
				over := helpOver{title: h.title, rows: h.rows}
				return over.view(m.theme, m.width, m.height, m)
			}
		}
	}
	return out
}

func TestOverlayFrame(t *testing.T) {
	for name, frame := range overlayFrames() {
		t.Run(name, func(t *testing.T) { golden.RequireEqual(t, frame(t)) })
	}
}

// No line is wider than the terminal, no frame higher, and nothing but the theme's
// own escape sequences comes out, at any size.
func TestOverlayFits(t *testing.T) {
	drawnAlone(t)
	for name, of := range overlayStates() {
		m := of(80, 24, termenv.ANSI256)
		for _, w := range []int{0, 1, 2, 3, 10, 20, 59, 79, 80, 81, 100, 119, 120, 150, 200} {
			for _, h := range []int{0, 1, 2, 4, 17, 23, 24, 25, 36, 60} {
				m.width, m.height = w, h
				checkAnyFrame(t, name, m.View(), w, h)
			}
		}
	}
}

// What must be known is in words, without any colour, at every size: which pull is
// which, what is shown, why one is missing.
func TestOverlaySays(t *testing.T) {
	for name, words := range map[string][]string{
		"loading":     {"reading: 0 of 5 are there", "reading …"},
		"some-read":   {"2 of 5 read …", "M40-7", "broken, simulated"},
		"two":         {"2 pulls", "force on the bar, lined up at the start of the load", "▸ a", "'0 s", "lbf", "M40-6", "the whole pulls", "l at peak", "? help"},
		"eight":       {"8 pulls", "force on the bar, lined up at the start of the load", "h ⠤", "space hide"},
		"twelve":      {"the first 8 of 12 pulls", "lined up at the start", "▸ c"},
		"stress":      {"stress, lined up at the start", "s force", "ksi"},
		"peak":        {"lined up at the peak", "'-", "l at load", "? help"},
		"near":        {"the first 10 s of the load"},
		"close":       {"the last 2 s to the peak", "'-1 s"},
		"hidden":      {"a hidden", "▸ c", "space hide"},
		"metric":      {"MPa"},
		"mixed":       {"damaged; 1 hole", "no trace: a dial was read by eye", "damaged: pull.json", "no trace: not one valid reading is in it", "no load was seen: nothing to line up", "no trace yet: it is being written"},
		"harmed":      {"damaged after 5.0 s"},
		"no-section":  {"no section was measured: no stress"},
		"no-trace":    {"none of them can be drawn"},
		"not-measure": {"nobody measured the section of any of them"},
		"empty":       {"no pull was marked"},
		"opening":     {"opening 2026-11-25T140322Z-M40-7 …"},
		"not-opened":  {"cannot be shown again", "damaged at byte 20"},
		"stop":        {"STOP", "link bar at 102 %", "LOAD ON THE RIG", "8 pulls"},
	} {
		for _, s := range sizes[:3] {
			frame := overlayStates()[name](s.w, s.h, termenv.Ascii).View()
			flat := strings.Join(strings.Fields(frame), " ")
			for _, word := range words {
				if !strings.Contains(flat, strings.Join(strings.Fields(word), " ")) {
					t.Errorf("%s at %d×%d does not say %q:\n%s", name, s.w, s.h, word, frame)
				}
			}
		}
	}
	for name, words := range map[string][]string{
		"two": {"a M40-7", "80 columns and 24 lines"}, "loading": {"0 of 5 read …"}, "stop": {"STOP"}, "mixed": {"no trace"},
	} {
		frame := overlayStates()[name](60, 18, termenv.Ascii).View()
		for _, word := range words {
			if !strings.Contains(strings.ReplaceAll(frame, "\n", " "), word) {
				t.Errorf("%s at 60×18 does not say %q:\n%s", name, word, frame)
			}
		}
	}
}

// Each pull that is drawn has its letter in the chart, at least twice, in every size:
// no colour is needed.
func TestOverlayLetters(t *testing.T) {
	for _, name := range []string{"two", "eight", "peak", "stress"} {
		for _, s := range sizes[:3] {
			m := overlayStates()[name](s.w, s.h, termenv.Ascii)
			chart := strings.Join(strings.Split(m.View(), "\n")[2:s.h-len(m.all)-4], "\n")
			chart = strings.ReplaceAll(chart, "the whole pulls", "")
			for i := range m.all {
				if n := strings.Count(chart, string(trace.Letter(i))); n < 2 {
					t.Errorf("%s at %d×%d: %c stands there %d times:\n%s", name, s.w, s.h, trace.Letter(i), n, m.View())
				}
			}
		}
	}
}

// Goal: at most 1 ms a frame at 120×30, with eight pulls: one that stands still, and
// one whose window has just changed, of traces with as many columns as there are.
func BenchmarkOverlayView(b *testing.B) {
	m := overlayStates()["eight"](120, 30, termenv.TrueColor)
	for i := range m.all {
		t := *m.all[i].trace
		t.Columns, t.Width = nil, t.Width/16
		for _, c := range m.all[i].trace.Columns {
			for range 16 {
				t.Columns = append(t.Columns, c)
				c.At += t.Width
			}
		}
		m.all[i].trace = &t
	}
	b.Run("still", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_ = m.View()
		}
	})
	b.Run("changed", func(b *testing.B) {
		b.ReportAllocs()
		b.ReportMetric(float64(len(m.all[0].trace.Columns)), "columns")
		for b.Loop() {
			m.by = trace.LoadStart + trace.Peak - m.by
			_ = m.View()
		}
	})
}
