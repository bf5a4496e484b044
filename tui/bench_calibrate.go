package tui

import (
	"strings"

	"draghand/internal/bench"
)

// calibrateCommand is what is typed to hold this rig against a reference: with the
// rig and the source that stand on the bench now.
func (m *BenchScreen) calibrateCommand() string {
	rig, from := "FILE", "SOURCE"
	for i := range m.view.Fields {
		f := &m.view.Fields[i]
		text := strings.TrimSpace(clean(f.Text))
		switch {
		case text == "":
		case f.ID == bench.FieldRig:
			rig = quoted(text)
		case f.ID == bench.FieldSource:
			from = quoted(text)
		}
	}
	return "draghand calibrate --rig " + rig + " --from " + from + ` --at specimen --reference "50 kN cell no. 3"`
}

// quoted is a word as a shell takes it for one.
func quoted(s string) string {
	plain := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("/\\.:_-+,@=~", r)
	}
	switch {
	case strings.TrimFunc(s, plain) == "":
		return s
	case strings.ContainsAny(s, "\"$`") || strings.Contains(s, `\`) && strings.HasSuffix(s, `\`):
		return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
	}
	return `"` + s + `"`
}
