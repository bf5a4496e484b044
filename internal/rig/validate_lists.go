package rig

import (
	"fmt"
	"slices"
	"strings"
)

// source checks what is known of the lines; whether the port exists is for
// whoever opens it.
func (c *checker) source(s Source) {
	if s.From != "" {
		known := s.From == "-"
		for _, scheme := range []string{"serial:", "sim:", "tcp:", "file:"} {
			known = known || strings.HasPrefix(s.From, scheme)
		}
		if !known || len(s.From) > maxFrom || !printable(s.From) {
			c.fault("source.from", fmt.Sprintf("%+q is no source", s.From), wantFrom)
		}
	}
	if s.Baud < 0 {
		c.fault("source.baud", "negative", "baud = 115200")
	}
	if !separator(s.Separator) {
		c.fault("source.separator", fmt.Sprintf("%+q cannot part numbers", s.Separator), wantSeparator)
	}
	c.columns(s)
	switch s.Checksum {
	case "", "xor":
	default:
		c.fault("source.checksum", fmt.Sprintf("%q is not known", s.Checksum), `"none" or "xor"`)
	}
	if !(s.Rate >= 0 && s.Rate <= maxRate) {
		c.fault("source.rate", fmt.Sprintf("%v Hz is not between 0 and %v Hz", s.Rate, maxRate), wantRate)
	}
}

func (c *checker) columns(s Source) {
	count := map[string]int{}
	for _, col := range s.Columns {
		count[col]++
	}
	const key = "source.columns"
	switch {
	case len(s.Columns) > maxColumns:
		c.fault(key, fmt.Sprintf("%d of them, more than %d", len(s.Columns), maxColumns), wantColumns)
	case count["raw"] != 1:
		c.fault(key, fmt.Sprintf(`"raw" stands there %d times`, count["raw"]), wantColumns)
	case count["time"] > 1:
		c.fault(key, `"time" stands there twice`, wantColumns)
	case len(s.Columns) != count["raw"]+count["time"]+count["-"]:
		i := slices.IndexFunc(s.Columns, func(col string) bool { return col != "raw" && col != "time" && col != "-" })
		c.fault(key, fmt.Sprintf("%+q is not known", s.Columns[i]), wantColumns)
	case count["time"] == 1 && s.Clock == "":
		c.fault(key, "the unit of the time column is not stated", `clock = "us", "ms" or "s"`)
	}
	switch {
	case s.Clock != "" && s.Clock != "us" && s.Clock != "ms" && s.Clock != "s":
		c.fault("source.clock", fmt.Sprintf("%q is not known", s.Clock), `"us", "ms" or "s"`)
	case s.Clock != "" && count["time"] == 0:
		c.fault("source.clock", "given without a time column", `columns = ["time", "raw"]`)
	}
	if s.ClockBits != 0 && (s.ClockBits < 8 || s.ClockBits > 64 || s.Clock == "") {
		c.fault("source.clock_bits", fmt.Sprintf("%d is not a counter's width of 8 to 64, or stands without a clock", s.ClockBits), "32 where the board's counter wraps at 2^32, 0 where it never does")
	}
}

// separator says whether s can part the fields of a line: no letter, digit or
// sign, which belong to numbers.
func separator(s string) bool {
	if s == "space" || s == "tab" {
		return true
	}
	return len(s) == 1 && s[0] > ' ' && s[0] < 0x7f && !strings.ContainsAny(s, "+-.\"'$*#0123456789") &&
		(s[0]|0x20 < 'a' || s[0]|0x20 > 'z')
}

func (c *checker) limits(r *Rig) {
	if len(r.Limits) > maxLimits {
		c.fault("limit", fmt.Sprintf("%d of them, more than %d", len(r.Limits), maxLimits), "the limits of the weakest parts")
		return
	}
	seen := map[string]int{}
	for i, l := range r.Limits {
		c.limit(limitKey(i), l, r)
		name := strings.ToLower(strings.TrimSpace(l.Name))
		if first, ok := seen[name]; ok && name != "" {
			c.fault(limitKey(i)+".name", fmt.Sprintf("%q is the name of limit[%d] too", l.Name, first+1), "a name of its own for each part")
		} else {
			seen[name] = i
		}
	}
}

func (c *checker) limit(key string, l Limit, r *Rig) {
	c.label(key+".name", l.Name, maxName, wantLimitName)
	if l.Note != "" {
		c.label(key+".note", l.Note, maxNote, "a short remark")
	}
	if !(l.Factor >= 1 && l.Factor <= maxDesignFactor) {
		c.fault(key+".design_factor", fmt.Sprintf("%v is not between 1 and %v", l.Factor, maxDesignFactor), wantLimitFactor)
	}
	switch l.Kind {
	case Rated:
		within(c, key+".force", l.Force, minForce, maxForce, forceText, wantLimitForce)
		c.place(key, l, r)
	case PressureLimit:
		within(c, key+".pressure", l.Pressure, minPressure, maxPressure, pressureText, wantPressure)
		if l.At != AtGauge || l.Force != 0 {
			c.fault(key+".at", "not the gauge", `a pressure limit without "at"`)
		}
	case Unknown:
		switch l.At {
		case "", AtRam, AtSpecimen, AtFar, AtSides, AtGauge:
		default:
			c.fault(key+".at", "not known", wantAt)
		}
		if l.Force != 0 || l.Pressure != 0 {
			c.fault(key+".kind", "a capacity is given for a part of which nothing is known", `"rated" or "pressure"`)
		}
	default:
		if !l.Kind.Computed() {
			c.fault(key+".kind", "not known", oneOf(kindsOfLimit()))
			break
		}
		c.computed(key, l, r)
	}
	if !l.Kind.Computed() && (l.Part != nil || l.Modes != nil) {
		c.fault(key+".kind", "dimensions are given for a limit that is not computed", "the kind of the part")
	}
	c.proof(key, l)
	c.ramItself(key, l, r.Ram)
}

// ramItself keeps a limit that is stated under the ram's own name from hiding
// what [ram] says of it.
func (c *checker) ramItself(key string, l Limit, ram Ram) {
	switch strings.ToLower(strings.TrimSpace(l.Name)) {
	case ramLimit:
		if ram.RatedForce > 0 && (l.Kind != Rated || l.At != AtRam || float64(l.Force)/l.Factor > float64(ram.RatedForce)) {
			c.fault(key+".name", "takes the place of the ram's own limit but is not within its rated_force, "+forceText(ram.RatedForce), "a force at the ram of at most that, or another name")
		}
	case ramOilLimit:
		if ram.RatedPressure > 0 && (l.Kind != PressureLimit || float64(l.Pressure)/l.Factor > float64(ram.RatedPressure)) {
			c.fault(key+".name", "takes the place of the ram's own limit but is not within its rated_pressure, "+pressureText(ram.RatedPressure), "a pressure of at most that, or another name")
		}
	}
}
