// Package specimen holds the turned bar: who it is, what was measured on it,
// and the section the stress is reckoned on. It knows no rig and no readings.
package specimen

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"draghand/internal/si"
)

// Specimen is one bar as measured before the pull.
type Specimen struct {
	ID    string `json:"id,omitempty"`
	Melt  string `json:"melt,omitempty"`
	Alloy string `json:"alloy,omitempty"`
	// Shape of the section. A round bar has Diameters, any other Sections.
	Shape     Shape       `json:"shape,omitempty"`
	Diameters []si.Length `json:"diameters_m,omitempty"` // measured along the reduced section
	Sections  []Section   `json:"sections_m,omitempty"`  // the same, of a bar that is not round
	// SizeU is the stated limit of error of the micrometer, ±; 0: not stated.
	SizeU       si.Length `json:"size_limit_m,omitempty"`
	GaugeLength si.Length `json:"gauge_length_m,omitempty"`
	// Yield is the lowest stress the bar is expected to yield at; 0: not known.
	// Where the force gives way under it, another part is giving.
	Yield si.Stress `json:"yield_pa,omitempty"`
	// ExpectLow and ExpectHigh are between what stresses it is expected to
	// break; both 0: not known. Nothing is reckoned with them.
	ExpectLow  si.Stress `json:"expected_low_pa,omitempty"`
	ExpectHigh si.Stress `json:"expected_high_pa,omitempty"`
	// ExpectFrom says where the two come from where no person stated them.
	ExpectFrom string `json:"expected_from,omitempty"`
	// Tags are free words of the melt, by which bars are grouped: how hot it
	// was poured, into what mould, how it was treated.
	Tags      []string `json:"tags,omitempty"`
	Simulated bool     `json:"simulated,omitempty"` // no metal was broken for this
	// Side is where in a two-sided rig the bar stands; empty: Near.
	Side Side `json:"side,omitempty"`
	// Stock names the bought stock a check bar is turned from; empty: it is none.
	Stock string `json:"check_stock,omitempty"`
}

// Bounds on the tags of a melt: they stand on a line of a screen and in lists.
const (
	MaxTags = 16
	MaxTag  = 64 // bytes of one
)

// maxFrom bounds the words on where an expected strength is from.
const maxFrom = 1200

// Validate names everything impossible about the bar at once. A bar with no
// diameter is possible: then there is a force and no stress.
func (s Specimen) Validate() error {
	var errs []error
	errs = append(errs, s.validSizes()...)
	if s.GaugeLength != 0 && !(s.GaugeLength >= 1*si.Millimetre && s.GaugeLength <= 2*si.Metre) {
		errs = append(errs, fmt.Errorf("gauge length %s is outside 1 mm to 2 m", s.GaugeLength.Text(si.Metric)))
	}
	// 1 MPa to 5 GPa: lead yields at some 10 MPa, no metal bar near the upper end.
	if s.Yield != 0 && !(s.Yield >= 1*si.Megapascal && s.Yield <= 5000*si.Megapascal) {
		errs = append(errs, fmt.Errorf("yield %s is outside 1 MPa to 5000 MPa", s.Yield.Text(si.Metric)))
	}
	errs = append(errs, s.validExpected()...)
	if err := s.Side.valid(); err != nil {
		errs = append(errs, err)
	}
	switch {
	case len(s.ExpectFrom) > maxFrom:
		errs = append(errs, fmt.Errorf("where the expected strength is from is longer than %d bytes", maxFrom))
	case !utf8.ValidString(s.ExpectFrom) || strings.ContainsFunc(s.ExpectFrom, unicode.IsControl):
		errs = append(errs, fmt.Errorf("where the expected strength is from, %q, holds what is no text", s.ExpectFrom))
	}
	if len(s.Tags) > MaxTags {
		errs = append(errs, fmt.Errorf("%d tags are more than %d", len(s.Tags), MaxTags))
	}
	for _, t := range s.Tags {
		switch {
		case strings.TrimSpace(t) == "":
			errs = append(errs, errors.New("a tag is empty"))
		case len(t) > MaxTag:
			errs = append(errs, fmt.Errorf("a tag is longer than %d bytes", MaxTag))
		case !Seen(t):
			errs = append(errs, fmt.Errorf("tag %q holds what is no text", t))
		}
	}
	if err := validStock(s.Stock); err != nil {
		errs = append(errs, err)
	}
	return errors.Join(errs...)
}

// Seen says that all of a text can be seen: two names that look alike are alike. It
// holds no control character, and none that has no width or turns the direction of
// writing.
func Seen(s string) bool {
	return utf8.ValidString(s) && !strings.ContainsFunc(s, func(r rune) bool {
		return unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Co, unicode.Zl, unicode.Zp)
	})
}

// validStock looks at the name of a check bar's stock, by which its bars are put
// on one chart.
func validStock(name string) error {
	switch {
	case len(name) > MaxTag:
		return fmt.Errorf("the name of the stock is longer than %d bytes", MaxTag)
	case name != "" && strings.TrimSpace(name) == "":
		return errors.New("the name of the stock is blank")
	case !Seen(name):
		return fmt.Errorf("the name of the stock, %q, holds what is no text", name)
	}
	return nil
}

// validExpected looks at what the bar is expected to break at: none, or both
// ends, within what metals break at.
func (s Specimen) validExpected() (errs []error) {
	low, high := s.ExpectLow, s.ExpectHigh
	if low == 0 && high == 0 {
		return nil
	}
	for _, e := range []si.Stress{low, high} {
		if !(e >= 1*si.Megapascal && e <= 5000*si.Megapascal) {
			errs = append(errs, fmt.Errorf("expected strength %s is outside 1 MPa to 5000 MPa", e.Text(si.Metric)))
		}
	}
	if low > high {
		errs = append(errs, fmt.Errorf("expected strength from %s to %s: the lower end comes first", low.Text(si.Metric), high.Text(si.Metric)))
	}
	return errs
}
