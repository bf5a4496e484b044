package rig

import (
	"fmt"
	"sort"
	"strings"
)

// A Fault is one thing wrong in a rig file.
type Fault struct {
	Line int    // in the file, from 1; 0: the fault is not of a file (Validate)
	Key  string // dotted, as in "sensor.converter.bits"; limits count from 1: "limit[2].force"
	Why  string // what is wrong
	Want string // what would be right
}

func (f Fault) String() string {
	s := f.Key + ": " + f.Why
	if f.Key == "" {
		s = f.Why
	}
	if f.Want != "" {
		s += "; want " + f.Want
	}
	return s
}

// FileError holds every fault of a rig file, in the order of its lines.
type FileError struct {
	File   string // as named by the caller, for messages only
	Faults []Fault
}

// Error gives a line a fault: "FILE:LINE: key: why; want ...".
func (e *FileError) Error() string {
	var b strings.Builder
	for i, f := range e.Faults {
		if i > 0 {
			b.WriteByte('\n')
		}
		switch {
		case f.Line > 0:
			fmt.Fprintf(&b, "%s:%d: %s", e.File, f.Line, f)
		case e.File != "":
			fmt.Fprintf(&b, "%s: %s", e.File, f)
		default:
			b.WriteString(f.String())
		}
	}
	return b.String()
}

// sortFaults orders faults by line; those of one line stay in the order found.
func sortFaults(faults []Fault) {
	sort.SliceStable(faults, func(i, j int) bool { return faults[i].Line < faults[j].Line })
}
