package picture

import (
	"fmt"
	"strings"
	"time"
)

// What a key sends, by the name it has between angle brackets (xterm's
// sequences in normal mode).
var keys = map[string]string{
	"enter": "\r", "tab": "\t", "esc": "\x1b", "space": " ", "backspace": "\x7f", "lt": "<", "gt": ">",
	"up": "\x1b[A", "down": "\x1b[B", "right": "\x1b[C", "left": "\x1b[D", "shift+tab": "\x1b[Z",
	"home": "\x1b[H", "end": "\x1b[F", "pgup": "\x1b[5~", "pgdown": "\x1b[6~", "insert": "\x1b[2~", "delete": "\x1b[3~",
	"f1": "\x1bOP", "f2": "\x1bOQ", "f3": "\x1bOR", "f4": "\x1bOS", "f5": "\x1b[15~", "f10": "\x1b[21~",
}

// Keys reads a text of keys into steps. Characters stand for themselves; a key
// with a name is written between angle brackets, "<enter>", "<ctrl+c>",
// "<alt+x>", and so is a pause, "<200ms>". "<lt>" is "<".
func Keys(s string) ([]Step, error) {
	var out []Step
	var typed strings.Builder
	flush := func() {
		if typed.Len() > 0 {
			out = append(out, Step{Keys: typed.String()})
			typed.Reset()
		}
	}
	for s != "" {
		before, rest, found := strings.Cut(s, "<")
		typed.WriteString(before)
		if !found {
			break
		}
		name, after, closed := strings.Cut(rest, ">")
		if !closed {
			return nil, fmt.Errorf("keys: %q has no closing \">\" (write \"<lt>\" for the character \"<\")", "<"+rest)
		}
		s = after
		ctrl, isCtrl := strings.CutPrefix(name, "ctrl+")
		alt, isAlt := strings.CutPrefix(name, "alt+")
		switch {
		case keys[name] != "":
			typed.WriteString(keys[name])
		case isCtrl && len(ctrl) == 1 && ctrl[0] >= 'a' && ctrl[0] <= 'z':
			typed.WriteByte(ctrl[0] & 0x1f)
		case isAlt && alt != "":
			typed.WriteString("\x1b" + alt)
		default:
			d, err := time.ParseDuration(name)
			if err != nil || d < 0 {
				return nil, fmt.Errorf("keys: \"<%s>\" is no key and no pause (such as <enter>, <esc>, <up>, <ctrl+c> or <200ms>)", name)
			}
			flush()
			out = append(out, Step{Wait: d})
		}
	}
	flush()
	return out, nil
}
