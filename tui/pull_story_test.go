package tui

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"

	"draghand/internal/pull"
	"draghand/internal/watch"
)

// told is a story of n events, the first a long one.
func told(n int) []watch.Told {
	if n == 0 {
		return nil
	}
	out := []watch.Told{{Text: "the recording of this pull begins " + strings.Repeat("and goes on ", 8)}}
	for i := 1; i < n; i++ {
		out = append(out, watch.Told{T: time.Duration(i) * 1100 * time.Millisecond, Text: fmt.Sprintf("event %d", i)})
	}
	return out
}

func withStory(state string, w, h int, story []watch.Told) PullScreen {
	f := states[state]()
	if f.snap != nil {
		f.snap.Story = story
	}
	return screen(f, w, h, termenv.Ascii)
}

func TestStory(t *testing.T) {
	tests := []struct {
		name       string // source: issue 4, by hand
		w, h, n    int
		keys       []string
		says, less []string
	}{
		{"the chart at first", 80, 24, 3, nil, []string{"the whole pull", "v events"}, []string{"event 1"}},
		{"events in its place", 80, 24, 3, []string{"v"}, []string{"0:01.1   event 1", "0:02.2   event 2", "newest at the bottom", "the recording"}, []string{"the whole pull"}},
		{"and back", 80, 24, 3, []string{"v", "v"}, []string{"the whole pull"}, []string{"event 1"}},
		{"a window shows the chart again", 80, 24, 3, []string{"v", "w"}, []string{"the last 60 s"}, []string{"event 1"}},
		{"more than there is room for", 80, 24, 30, []string{"v"}, []string{"event 29", "earlier events are not shown"}, []string{"event 22", "the recording"}},
		{"side by side", 200, 60, 3, nil, []string{"the whole pull", "event 2"}, []string{"v events"}},
		{"side by side in ASCII too", 160, 45, 3, []string{"v"}, []string{"the whole pull", "event 2"}, nil},
		{"nothing has happened", 80, 24, 0, []string{"v"}, []string{"the whole pull"}, []string{"v events"}},
	}
	for _, tt := range tests {
		m, _ := press(withStory("loading", tt.w, tt.h, told(tt.n)), tt.keys...)
		frame := m.View()
		for _, word := range tt.says {
			if !strings.Contains(frame, word) {
				t.Errorf("%s: does not say %q:\n%s", tt.name, word, frame)
			}
		}
		for _, word := range tt.less {
			if strings.Contains(frame, word) {
				t.Errorf("%s: says %q:\n%s", tt.name, word, frame)
			}
		}
	}
}

// TestStoryFits: with events no frame breaks, at any size.
func TestStoryFits(t *testing.T) {
	drawnAlone(t)
	long := append(told(40), watch.Told{T: time.Hour, Level: pull.Stop, Text: "\x1b[2J" + strings.Repeat("遠すぎる ", 90)})
	for _, name := range []string{"loading", "giving-yielded-caution", "hostile-names", "broken-saved"} {
		m := withStory(name, 80, 24, long)
		m.story = true
		for w := 60; w <= 200; w += 10 {
			for h := 18; h <= 60; h += 3 {
				m.width, m.height = w, h
				checkFrame(t, name, m)
			}
		}
	}
}

// TestStoryBesideTheChart: side by side the events begin in one column, whatever
// the chart leaves of its line.
func TestStoryBesideTheChart(t *testing.T) {
	frame := withStory("loading", 200, 60, told(20)).View()
	n := 0
	for _, l := range strings.Split(frame, "\n") {
		if before, _, ok := strings.Cut(l, "event "); ok {
			n++
			if w := ansi.StringWidth(before); w != 200*2/3+storyWhen {
				t.Errorf("an event in column %d, want %d: %q", w, 200*2/3+storyWhen, l)
			}
		}
	}
	if n != 19 {
		t.Errorf("%d events, want 19:\n%s", n, frame)
	}
}

// TestStoryWords: tokens of the engine are not shown to people; an alarm has the
// ink of its level.
func TestStoryWords(t *testing.T) {
	tests := []struct { // source: design 2, phases as written there, in words
		told watch.Told
		want string
		ink  ink
	}{
		{watch.Told{Text: "past-peak"}, "load held or falling", plain},
		{watch.Told{Text: "let-off"}, "let off", plain},
		{watch.Told{Text: "loading"}, "loading", plain},
		{watch.Told{Text: "STOP: link bar", Level: pull.Stop}, "STOP: link bar", stop},
		{watch.Told{Text: "caution: \x1b[31mram", Level: pull.Caution}, "caution: ram", caution},
	}
	for _, tt := range tests {
		if text, k := storyText(&tt.told), storyInk(&tt.told); text != tt.want || k != tt.ink {
			t.Errorf("%+v: %q in ink %d, want %q in %d", tt.told, text, k, tt.want, tt.ink)
		}
	}
}
