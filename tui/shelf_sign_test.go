package tui

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"

	"draghand/internal/shelf"
)

// What is out of sight is said with its whole key at any width, beside a name of any
// length, and the name stands whole.
func TestShelfSignIsWhole(t *testing.T) {
	both, right, left := regexp.MustCompile(` \d+ above, \d+ below: left/right( |$)`), regexp.MustCompile(` \d+ (more )?below: right( |$)`), regexp.MustCompile(` \d+ (more )?above: left( |$)`)
	one := finishedEntries()[2]
	one.Specimen.Tags = []string{"wet-sand", "annealed", strings.Repeat("third-pour ", 30)}
	inBoth := 0
	for _, w := range []int{80, 81, 100, 120, 149, 176, 180, 182, 188, 200, 220, 260} {
		for _, long := range []int{24, 30, 37, 38, 41, 45, 57, 66, 67, 76, 90, 103, 110, 150} {
			e := one
			e.Name = (one.Name + strings.Repeat("-long-name", 20))[:long]
			all := []shelf.Entry{e}
			m := shelfSend(shelfScreen(&shelfDesk{all: all}, w, 24, termenv.Ascii), shelfRead{all: all})
			for n := 0; ; n++ {
				at := fmt.Sprintf("%d columns, a name of %d, %d times right", w, long, n)
				view := ansi.Strip(m.View())
				for _, l := range moreHead(e.Name, m.moreRoom().w).name {
					if !strings.Contains(view, l) {
						t.Errorf("%s: the name is cut\n%s", at, view)
					}
				}
				var want *regexp.Regexp
				switch more, less := m.keys.More.Enabled(), m.keys.Less.Enabled(); {
				case more && less:
					inBoth++
					want = both
				case more:
					want = right
				case less:
					want = left
				}
				if want != nil && !anyLine(view, want) {
					t.Fatalf("%s: no whole sign like %v\n%s", at, want, view)
				}
				if !m.keys.More.Enabled() {
					break
				}
				if n > 40 {
					t.Fatalf("%s: right does not come to an end", at)
				}
				m = shelfKeysOf(m, "right")
			}
		}
	}
	if inBoth < 20 {
		t.Errorf("only %d times lines above and below: the two-way sign is hardly looked at", inBoth)
	}
}

func anyLine(text string, re *regexp.Regexp) bool {
	for l := range strings.Lines(text) {
		if re.MatchString(strings.TrimRight(l, " \n")) {
			return true
		}
	}
	return false
}

// Where there is no room for any line no key brings one: none is named.
func TestShelfSignWithoutRoom(t *testing.T) {
	all := finishedEntries()
	for h := 1; h < minHeight; h++ {
		m := shelfSend(shelfScreen(&shelfDesk{all: all}, 60, h, termenv.Ascii), shelfRead{all: all})
		_, seen, lines := m.sightOf()
		named := strings.Contains(m.View(), "below: right")
		if enabled := m.keys.More.Enabled(); enabled != (seen > 0 && seen < lines) || named && !enabled {
			t.Errorf("60×%d: %d of %d lines in sight, right works %v, is named %v\n%s", h, seen, lines, enabled, named, m.View())
		}
		if !named && seen > 0 && seen < lines {
			t.Errorf("60×%d: nothing is said of %d lines\n%s", h, lines-seen, m.View())
		}
	}
}
