package tui

import (
	"reflect"
	"strings"
	"testing"
	"time"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
)

// sequence takes the library's own sequence message apart.
func sequence(msg tea.Msg) []tea.Cmd {
	v := reflect.ValueOf(msg)
	if v.Kind() != reflect.Slice {
		return nil
	}
	var out []tea.Cmd
	for i := range v.Len() {
		if c, ok := v.Index(i).Interface().(tea.Cmd); ok {
			out = append(out, c)
		}
	}
	return out
}

func TestClean(t *testing.T) {
	tests := []struct {
		name, in, want string // source: by hand
	}{
		{"plain", "M1-3 bar", "M1-3 bar"},
		{"colour", "\x1b[31mred\x1b[0m", "red"},
		{"title", "\x1b]0;gone\x07bar", "bar"},
		{"C1 as UTF-8, its tail harmless", "a\u009b31mb", "a31mb"},
		{"C1 as a byte", "a\x9bb", "ab"},
		{"line ends", " a\r\n\tb ", "a b"},
		{"NUL", "a\x00b", "ab"},
		{"direction override", "a\u202eb", "ab"},
		{"joined emoji", "👩‍🔧", "👩🔧"},
		{"letters of the world", "Ångström 炉", "Ångström 炉"},
		{"piled marks", "e\u0301\u0301\u0301\u0301", "e\u0301\u0301"},
		{"a mark on nothing", "\u0301a", "a"},
	}
	for _, tt := range tests {
		if got := clean(tt.in); got != tt.want {
			t.Errorf("%s: clean(%q) = %q, want %q", tt.name, tt.in, got, tt.want)
		}
	}
}

// FuzzClean: what is cleaned is clean, cleaning it again changes nothing, and
// no width it is drawn into is exceeded.
func FuzzClean(f *testing.F) {
	for _, s := range []string{"", "a b", "\x1b[2J", "炉\u0301\u0301\u0301", "👩‍🔧👍🏽", "\xff\x9b", "🇩🇪🇩", "각", " \t ", "\u0301", "a\u200b\u0301 b"} {
		f.Add(s, 7)
	}
	f.Fuzz(func(t *testing.T, s string, w int) {
		got := clean(s)
		for _, r := range got {
			if unicode.IsControl(r) || r == unicode.ReplacementChar && !strings.ContainsRune(s, r) {
				t.Fatalf("clean(%q) = %q keeps %U", s, got, r)
			}
		}
		if again := clean(got); again != got {
			t.Fatalf("clean(%q) = %q, and again %q", s, got, again)
		}
		w = min(max(w, 0), 50)
		if n := ansi.StringWidth(cut(got, w)); n > w {
			t.Fatalf("cut(%q, %d) is %d wide", got, w, n)
		}
		var p plate
		p.reset(w, 1)
		p.text(0, 0, w, got, plain)
		p.text(w/3, 0, 3, got, stop) // over it, and over halves of wide runes
		if frame := p.frame(&theme{}); ansi.StringWidth(frame) > w {
			t.Fatalf("%q drawn into %d cells is %d wide: %q", got, w, ansi.StringWidth(frame), frame)
		}
	})
}

func TestWrapAndJoin(t *testing.T) {
	if got := wrap("the link bar is at its limit", 12, 2); len(got) != 2 || got[0] != "the link bar" || got[1] != "is at its l…" {
		t.Errorf("wrap = %q", got)
	}
	if got := joinFit(12, "force", "", "31 ksi", "x"); got != "force   x" {
		t.Errorf("joinFit = %q, want what fits and no part cut", got)
	}
}

func TestSpanText(t *testing.T) {
	for d, want := range map[time.Duration]string{
		-time.Second: "0 ms", 400 * time.Millisecond: "400 ms", 5240 * time.Millisecond: "5.2 s",
		25 * time.Second: "25 s", 150 * time.Second: "2:30 min",
	} {
		if got := spanText(d); got != want {
			t.Errorf("spanText(%v) = %q, want %q", d, got, want)
		}
	}
	// A limit that has not been reached is never shown as reached.
	for r, want := range map[float64]string{0.556: "56 %", 0.9999: "99 %", 1: "100 %", 1.016: "102 %"} {
		if got := percent(r); got != want {
			t.Errorf("percent(%v) = %q, want %q", r, got, want)
		}
	}
}
