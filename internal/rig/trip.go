package rig

import (
	"fmt"
	"strings"
)

// Trip is the trip line: a lamp, horn or relay on a modem line of a serial
// port, held while all is well. It warns; it is no safety device.
type Trip struct {
	Line string `json:"line"`           // "rts" or "dtr"
	Port string `json:"port,omitempty"` // "serial:/dev/ttyUSB1"; empty: the data port, which is then a serial one
	// DTROnDataPort says that the person knows that dropping DTR of the data
	// port may reset the board that measures.
	DTROnDataPort bool `json:"dtr_on_data_port,omitempty"`
}

const (
	wantTripLine = `the modem line that carries it, "rts" or "dtr"`
	wantTripPort = `a second serial port, as in port = "serial:/dev/ttyUSB1", or no port for the data port's own line`
	wantTripYes  = `dtr_on_data_port = true where DTR of the data port carries the trip line, else none`
	wantTripSafe = `line = "rts", or a second port = "serial:…" for it; or dtr_on_data_port = true where you know that DTR does not reset your board`
)

// trip reads [alarm.trip]; nil where there is no such table.
func (r *reader) trip() *Trip {
	if _, ok := r.doc.tables["alarm.trip"]; !ok {
		return nil
	}
	s := section{r, "alarm.trip"}
	t := &Trip{Line: s.choice("line", true, "rts", "dtr")}
	t.Port, _ = s.text("port", wantTripPort)
	if s.has("port") && t.Port == "" {
		s.fault("port", "is empty", wantTripPort)
	}
	t.DTROnDataPort = s.yes("dtr_on_data_port", wantTripYes)
	return t
}

// trip checks where the line is. from is the source of the readings, empty
// where the file leaves it open.
func (c *checker) trip(t *Trip, from string) {
	if t == nil {
		return
	}
	if t.Line != "rts" && t.Line != "dtr" {
		c.fault("alarm.trip.line", "not known", wantTripLine)
		return
	}
	const port = "alarm.trip.port"
	path, serial := strings.CutPrefix(t.Port, "serial:")
	switch {
	case t.Port == "" && from != "" && !strings.HasPrefix(from, "serial:"):
		c.fault(port, fmt.Sprintf("missing: the readings come from %+q, which is no serial port and has no such line", from), wantTripPort)
	case t.Port == "":
	case !serial || path == "" || len(t.Port) > maxFrom || !printable(t.Port):
		c.fault(port, fmt.Sprintf("%+q is no serial port", t.Port), wantTripPort)
	case t.Port == from:
		c.fault(port, "is the port of the readings, which cannot be opened twice", "the line taken out: without it the trip line is on the port of the readings")
	}
	const yes = "alarm.trip.dtr_on_data_port"
	onData := t.Line == "dtr" && (t.Port == "" || t.Port == from)
	switch {
	case onData && !t.DTROnDataPort:
		c.fault("alarm.trip.line", "DTR of the data port resets many boards each time it changes, in the middle of a pull too", wantTripSafe)
	case !onData && t.DTROnDataPort:
		c.fault(yes, "does not belong to a trip line that is not DTR of the data port", "none")
	}
}

// words says in a few words where the line is.
func (t *Trip) words() string {
	where := "the data port"
	if t.Port != "" {
		where = t.Port
	}
	return strings.ToUpper(t.Line) + " of " + where
}

// trip tells of the line where there is one.
func (w *page) trip(t *Trip) {
	if t == nil {
		return
	}
	w.head("trip line")
	w.item("line", "%s, held while all is well", t.words())
	w.line("dropped at a stop, when the readings fail, and when the program ends or dies")
	w.line("a frozen computer leaves it as it was; it is no safety device")
}
