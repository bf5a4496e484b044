package tui

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
)

// asciiScreen is a screen for a terminal that shows nothing but ASCII.
func asciiScreen(state string, w, h int) PullScreen {
	m := screen(states[state](), w, h, termenv.Ascii)
	m.scratch.plate.ascii = true
	return m
}

// TestASCIIFrames: every state at every size is printable ASCII in exactly the
// cells of the frame with blocks and dots.
func TestASCIIFrames(t *testing.T) {
	for name := range states {
		for _, s := range sizes {
			want := strings.Split(screen(states[name](), s.w, s.h, termenv.Ascii).View(), "\n")
			got := strings.Split(asciiScreen(name, s.w, s.h).View(), "\n")
			if len(got) != len(want) {
				t.Fatalf("%s at %d×%d: %d lines, want %d", name, s.w, s.h, len(got), len(want))
			}
			for i, l := range got {
				if at := strings.IndexFunc(l, func(r rune) bool { return r < ' ' || r > '~' }); at >= 0 {
					t.Fatalf("%s at %d×%d: line %d is no ASCII at %d: %q", name, s.w, s.h, i, at, l)
				}
				if len(l) != ansi.StringWidth(want[i]) {
					t.Fatalf("%s at %d×%d: line %d is %d wide, want %d:\n%q\n%q", name, s.w, s.h, i, len(l), ansi.StringWidth(want[i]), l, want[i])
				}
			}
		}
	}
}

// TestASCIIKeepsApart: signs that mean different things beside each other do not
// become the same one. Source: the help of the screen.
func TestASCIIKeepsApart(t *testing.T) {
	for _, set := range []string{"△▲■", "╎┆┃┈█◆", "░█┈▓", "◀·█", "▼┈█"} {
		seen := map[byte]rune{}
		for _, r := range set {
			c := asciiOf(r)
			if was, ok := seen[c]; ok || c == '?' {
				t.Errorf("%q and %q both become %q", was, r, c)
			}
			seen[c] = r
		}
	}
}

func TestASCIIDots(t *testing.T) {
	tests := []struct { // source: the dots by hand
		r    rune
		want byte
	}{
		{'⠀', ' '},
		{'⣿', '#'},
		{'⡇', '|'},
		{'⢸', '|'},
		{'⣀', '_'},
		{'⠉', '\''},
		{'⠒', '-'},
		{'⠤', '-'},
		{'⣇', ':'},
		{'⢀', '_'},
		{'⠁', '\''},
		{'⡤', '.'},
		{'⠋', '\''},
		{'é', 'e'},
		{'Ü', 'U'},
		{'炉', '?'},
	}
	for _, tt := range tests {
		if got := asciiOf(tt.r); got != tt.want {
			t.Errorf("%q becomes %q, want %q", tt.r, got, tt.want)
		}
	}
}

func TestWantsASCII(t *testing.T) {
	type env map[string]string
	tests := []struct {
		name string // source: POSIX, XBD 8.2: LC_ALL before LC_CTYPE before LANG, the first not empty
		env  env
		want bool
	}{
		{"nothing set", env{}, false},
		{"a Linux console", env{"TERM": "linux", "LANG": "en_US.UTF-8"}, true},
		{"UTF-8", env{"TERM": "xterm-256color", "LANG": "de_DE.UTF-8"}, false},
		{"utf8, as some write it", env{"LANG": "C.utf8"}, false},
		{"Latin-1", env{"LANG": "de_DE.ISO-8859-1"}, true},
		{"with a modifier", env{"LANG": "de_DE.ISO-8859-15@euro"}, true},
		{"UTF-8 with a modifier", env{"LANG": "ca_ES.UTF-8@valencia"}, false},
		{"LC_ALL first", env{"LC_ALL": "en_US.UTF-8", "LANG": "en_US.ISO-8859-1"}, false},
		{"LC_CTYPE before LANG", env{"LC_CTYPE": "en_US.ISO-8859-1", "LANG": "en_US.UTF-8"}, true},
		{"a locale that names no charset", env{"LANG": "C"}, false},
	}
	for _, tt := range tests {
		if got := WantsASCII(func(k string) string { return tt.env[k] }); got != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}

// TestASCIIPlusMinus: a scatter does not read as "about", nor as what was cut off.
func TestASCIIPlusMinus(t *testing.T) {
	var b strings.Builder
	asciiText(&b, "scatter ± 4 psi, and so …")
	if got := b.String(); got != "scatter +-4 psi, and so ~" {
		t.Errorf("%q", got)
	}
	if got := asciiScreen("loading", 80, 24).View(); !strings.Contains(got, "+-0 psi") {
		t.Errorf("no scatter in\n%s", got)
	}
}
