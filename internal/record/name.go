package record

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// maxPart bounds each name from a person inside a folder name: 19 characters
// of time and two parts of 40 stay far below the 255 of every file system.
const maxPart = 40

// reserved are the device names of Windows, refused there as the stem of any
// file name (Microsoft's "Naming Files, Paths, and Namespaces", from memory).
// COM1 to COM9 and LPT1 to LPT9 are tested by pattern.
var reserved = []string{"con", "prn", "aux", "nul"}

// SafeName makes a name from a person fit for a file or folder name on every
// system: letters and digits of ASCII, "-", "_" and "."; anything else becomes
// one "-"; at most 40 characters; no dot or hyphen at either end; never a
// device name of Windows. It gives "" where nothing is left.
func SafeName(s string) string {
	var b strings.Builder
	gap := false
	for _, r := range s {
		ok := r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_' || r == '.'
		if !ok {
			gap = true
			continue
		}
		if gap && b.Len() > 0 {
			b.WriteByte('-')
		}
		gap = false
		b.WriteRune(r)
		if b.Len() >= maxPart {
			break
		}
	}
	name := b.String()
	name = strings.Trim(name[:min(len(name), maxPart)], ".-")
	stem, _, _ := strings.Cut(strings.ToLower(name), ".")
	port := len(stem) == 4 && (strings.HasPrefix(stem, "com") || strings.HasPrefix(stem, "lpt")) && stem[3] >= '0' && stem[3] <= '9'
	if port || slices.Contains(reserved, stem) {
		name = "_" + name
	}
	return name
}

// stamp is how the name of a record begins; in order of name is in order of
// time.
const stamp = "2006-01-02T150405Z"

// stamped says whether a name begins as that of a record does.
func stamped(name string) bool {
	_, err := time.Parse(stamp, name[:min(len(name), len(stamp))])
	return err == nil
}

// folderName is the name of a record: its start, then melt and specimen, or
// the kind of pull where neither is named.
func folderName(h Head) string {
	name := h.Started.UTC().Format(stamp)
	parts := 0
	for _, p := range []string{h.Specimen.Melt, h.Specimen.ID} {
		if p = SafeName(p); p != "" {
			name += "-" + p
			parts++
		}
	}
	if parts == 0 {
		if p := SafeName(string(h.Kind)); p != "" {
			name += "-" + p
		}
	}
	return name
}

// startFits says whether a start time can be written as RFC 3339 and as a
// folder name: set, and in the years 1 to 9999.
func startFits(t time.Time) bool { return !t.IsZero() && t.UTC().Year() >= 1 && t.UTC().Year() <= 9999 }

// Later orders two records, the newest first, by when they began, zero where that is not
// known, and their names: of one second the later has the longer name, or the greater.
func Later(a time.Time, nameA string, b time.Time, nameB string) int {
	when := func(t time.Time, name string) time.Time {
		if t.IsZero() {
			t, _ = StartOf(name)
		}
		return t
	}
	return cmp.Or(when(b, nameB).Compare(when(a, nameA)), cmp.Compare(len(nameB), len(nameA)), strings.Compare(nameB, nameA))
}
