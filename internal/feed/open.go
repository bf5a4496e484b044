package feed

import (
	"fmt"
	"io"
	"net/url"
	"os"
	"strings"
	"time"
)

// DefaultBaud is taken when Options name none.
const DefaultBaud = 115200

// Options of Open; the zero value works.
type Options struct {
	// Baud is the speed of a serial port in bits a second; 0: DefaultBaud.
	Baud int
	// GiveUp is how long a lost source is tried again before Run returns with
	// an error; 0: for ever.
	GiveUp time.Duration
	// Stdin is what "-" reads; nil: the standard input of the program.
	Stdin io.Reader
	// Sim makes the feed of "sim:?query"; nil: that scheme is refused. It is
	// passed in so that this package need not know the simulator.
	Sim func(query url.Values) (Feed, error)
}

const accepted = `want "serial:PATH", "sim:", "tcp:HOST:PORT", "file:PATH" or "-" for standard input`

// Open understands the text that names a source:
//
//	serial:PATH     a serial port, 8 data bits, no parity, 1 stop bit
//	sim:?query      the simulated rig, by Options.Sim
//	tcp:HOST:PORT   a network connection
//	file:PATH       a file, as fast as it can be read
//	-               standard input
//
// It touches no device yet: that is for Run. Its own errors are ErrSpec.
func Open(spec string, o Options) (Feed, error) {
	if o.Baud == 0 {
		o.Baud = DefaultBaud
	}
	if o.Baud < 0 {
		return nil, specError(spec, fmt.Sprintf("cannot have %d baud", o.Baud), "give the speed of the board's port, often 115200")
	}
	if spec == "-" {
		return newStdin(o), nil
	}
	scheme, rest, found := strings.Cut(spec, ":")
	if !found {
		scheme = ""
	}
	switch scheme {
	case "serial":
		if rest != "" {
			return newSerial(spec, rest, o), nil
		}
		return nil, specError(spec, "names no port", `write for example "serial:/dev/ttyACM0"`)
	case "file":
		if rest != "" {
			return newFile(spec, rest), nil
		}
		return nil, specError(spec, "names no file", `write for example "file:readings.csv"`)
	case "tcp":
		return newTCP(spec, rest, o)
	case "sim":
		return openSim(spec, rest, o)
	}
	return nil, specError(spec, "is not understood", unknownHint(spec))
}

func openSim(spec, rest string, o Options) (Feed, error) {
	if o.Sim == nil {
		return nil, specError(spec, "cannot be used here: there is no simulated rig", `use another source: `+accepted)
	}
	rest = strings.TrimPrefix(rest, "?")
	query, err := url.ParseQuery(rest)
	if err != nil {
		e := specError(spec, "cannot be read after its first colon", `write for example "sim:?alloy=C90500&seed=3"`)
		e.Err = err
		return nil, e
	}
	return o.Sim(query)
}

func specError(spec, why, next string) *Error {
	return &Error{What: fmt.Sprintf("source %q %s", spec, why), Hint: next, kind: ErrSpec}
}

// unknownHint guesses what was meant by a source without a known scheme.
func unknownHint(spec string) string {
	upper := strings.ToUpper(spec)
	switch {
	case spec == "":
		return accepted
	case strings.HasPrefix(spec, "/dev/"), strings.HasPrefix(upper, "COM") && !strings.ContainsAny(spec, "./\\:"):
		return fmt.Sprintf("for a serial port write %q; in full: %s", "serial:"+spec, accepted)
	}
	if st, err := os.Stat(spec); err == nil && st.Mode().IsRegular() {
		return fmt.Sprintf("for a file write %q; in full: %s", "file:"+spec, accepted)
	}
	return accepted
}
