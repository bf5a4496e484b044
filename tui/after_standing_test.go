package tui

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"

	"draghand/internal/si"
	"draghand/internal/specimen"
)

// What the pull was made for stands right under the figures at every size, before
// any remark; elongation and reduction come next.
func TestAfterAnswerInSight(t *testing.T) {
	for _, s := range sizes {
		if s.w < minWidth || s.h < minHeight {
			continue
		}
		d := measuredDesk(60e3*si.PSI, specimen.MidGauge)
		a, _ := drive(t, afterApp(d, s.w, s.h, termenv.Ascii))
		lines := strings.Split(ansi.Strip(a.View()), "\n")
		at := func(word string) int {
			for i, l := range lines {
				if strings.HasPrefix(strings.TrimSpace(l), word) {
					return i
				}
			}
			return -1
		}
		verdict, counts, remark, elongation := at("verdict     FAIL"), at("counts"), at("remark"), at("elongation")
		if verdict < 0 || counts < verdict || elongation < counts || remark < elongation {
			t.Errorf("%d×%d: verdict on line %d, counts %d, elongation %d, remark %d:\n%s", s.w, s.h, verdict, counts, elongation, remark, strings.Join(lines, "\n"))
		}
	}
}

// The page keys move by what is in sight, never past the end, and one key back moves
// at once.
func TestAfterPages(t *testing.T) {
	open := func(keys ...string) AfterScreen {
		a, _ := drive(t, afterApp(measuredDesk(45e3*si.PSI, specimen.MidGauge), 80, 24, termenv.Ascii), keys...)
		return a.front.(AfterScreen)
	}
	one := open("pgdown")
	if one.from < 2 {
		t.Errorf("pgdown moved by %d lines", one.from)
	}
	end := open("pgdown", "pgdown", "pgdown", "pgdown", "pgdown", "pgdown", "pgdown", "pgdown")
	if strings.Contains(ansi.Strip(end.View()), "below") {
		t.Errorf("lines below the end:\n%s", end.View())
	}
	back := end
	back.move("up")
	if back.from != end.from-1 {
		t.Errorf("up from the end %d leads to %d", end.from, back.from)
	}
}
