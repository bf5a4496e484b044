package rig

import (
	"errors"
	"strings"
	"testing"

	"draghand/internal/si"
)

// withTrip is the example rig with a trip line.
func withTrip(t *testing.T, lines string) (*Rig, error) {
	t.Helper()
	text := strings.Replace(Example(), "[units]", "[alarm.trip]\n"+lines+"\n[units]", 1)
	return Parse("trip.toml", []byte(text))
}

func TestTripLine(t *testing.T) {
	for _, c := range []struct {
		name, lines string
		want        Trip
		words       string
	}{
		{"rts of the data port", `line = "rts"`, Trip{Line: "rts"}, "RTS of the data port, held"},
		{"second port", "line = \"dtr\"\nport = \"serial:/dev/ttyUSB1\"", Trip{Line: "dtr", Port: "serial:/dev/ttyUSB1"}, "DTR of serial:/dev/ttyUSB1, held"},
		{"dtr of the data port as told", "line = \"dtr\"\ndtr_on_data_port = true", Trip{Line: "dtr", DTROnDataPort: true}, "DTR of the data port, held"},
		{"a no is no yes", "line = \"rts\"\ndtr_on_data_port = false", Trip{Line: "rts"}, "RTS of the data port, held"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := withTrip(t, c.lines)
			if err != nil {
				t.Fatal(err)
			}
			if r.Alarm.Trip == nil || *r.Alarm.Trip != c.want {
				t.Errorf("trip %+v, want %+v", r.Alarm.Trip, c.want)
			}
			roundTrip(t, r)
			if text := r.Describe(si.US); !strings.Contains(text, c.words) || !strings.Contains(text, "no safety device") {
				t.Errorf("rig check does not say %q:\n%s", c.words, text)
			}
		})
	}
	if r := mustParse(t, Example()); r.Alarm.Trip != nil {
		t.Errorf("the example rig has a trip line: %+v", r.Alarm.Trip)
	}
}

func TestTripLineRefused(t *testing.T) {
	for _, c := range []struct {
		name, lines string
		line        int // after the head of the table
		why, want   string
	}{
		{"no line", "", 0, "missing", `"rts" or "dtr"`},
		{"another line", `line = "cts"`, 1, `"cts" is not known`, `"rts" or "dtr"`},
		{"not text", `line = 1`, 1, "not text", `"rts" or "dtr"`},
		{"dtr on the data port", `line = "dtr"`, 1, "resets many boards", "dtr_on_data_port = true"},
		{"leave to use dtr as text", "line = \"dtr\"\ndtr_on_data_port = \"true\"", 2, "not true or false", "dtr_on_data_port = true"},
		{"leave without need", "line = \"rts\"\ndtr_on_data_port = true", 2, "does not belong", "none"},
		{"leave on a second port", "line = \"dtr\"\nport = \"serial:/dev/ttyUSB1\"\ndtr_on_data_port = true", 3, "does not belong", "none"},
		{"port without a scheme", "line = \"rts\"\nport = \"/dev/ttyUSB1\"", 2, "is no serial port", "serial:/dev/ttyUSB1"},
		{"port of a network", "line = \"rts\"\nport = \"tcp:bench:5000\"", 2, "is no serial port", "serial:/dev/ttyUSB1"},
		{"port without a path", "line = \"rts\"\nport = \"serial:\"", 2, "is no serial port", "serial:/dev/ttyUSB1"},
		{"empty port", "line = \"rts\"\nport = \"\"", 2, "is empty", "serial:/dev/ttyUSB1"},
		{"the data port twice", "line = \"rts\"\nport = \"serial:/dev/ttyACM0\"", 2, "cannot be opened twice", "taken out"},
		{"unknown key", "line = \"rts\"\nlamp = \"red\"", 2, "unknown key", "one of line, port"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := withTrip(t, c.lines)
			fe, ok := errors.AsType[*FileError](err)
			if !ok || len(fe.Faults) == 0 {
				t.Fatalf("error %v, want faults", err)
			}
			head := 1 + strings.Count(Example()[:strings.Index(Example(), "[units]")], "\n")
			f := fe.Faults[0]
			if f.Line != head+c.line || !strings.Contains(f.Why, c.why) || !strings.Contains(f.Want, c.want) {
				t.Errorf("fault %+v, want line %d, %q, %q", f, head+c.line, c.why, c.want)
			}
			if len(fe.Faults) > 1 {
				t.Errorf("%d faults for one: %v", len(fe.Faults), fe.Faults)
			}
		})
	}
}

// The data port must be one that has such lines.
func TestTripLineNeedsASerialPort(t *testing.T) {
	text := strings.Replace(Example(), `"serial:/dev/ttyACM0"`, `"tcp:bench:5000"`, 1) + "\n[alarm.trip]\nline = \"rts\"\n"
	_, err := Parse("trip.toml", []byte(text))
	fe, ok := errors.AsType[*FileError](err)
	if !ok || len(fe.Faults) != 1 || !strings.Contains(fe.Faults[0].Why, "no serial port") || !strings.Contains(fe.Faults[0].Want, "second serial port") {
		t.Fatalf("error %v", err)
	}
}
