package part

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"draghand/internal/si"
)

// Screw is a thread's size.
type Screw struct {
	Major  si.Length `json:"major_m"`
	Pitch  si.Length `json:"pitch_m"`
	Metric bool      `json:"metric"` // M thread; false: inch thread
}

// StressArea is the tensile stress area, 0.7854 (D − 0.9743 P)² of an inch
// thread and 0.7854 (D − 0.9382 P)² of a metric one.
func (s Screw) StressArea() si.Area {
	k := 0.9743
	if s.Metric {
		k = 0.9382
	}
	d := float64(s.Major) - k*float64(s.Pitch)
	return si.Area(0.7854 * d * d)
}

// StripArea is the area that shears where threads strip over an engaged length:
// half of the cylinder at the pitch diameter D − 0.6495 P. Beyond one and a
// half diameters the further threads carry too little to be counted.
func (s Screw) StripArea(engaged si.Length) si.Area {
	d2 := float64(s.Major) - 0.6495*float64(s.Pitch)
	return si.Area(math.Pi / 2 * d2 * float64(min(engaged, 1.5*s.Major)))
}

// ParseScrew reads "M20x2.5" or, in inches, "3/4-10", "0.75-10", "1 1/4-7"; an
// inch thread may be followed by its series ("UNC"). What no inch thread is, as
// "12-1.75", is a metric one that lacks its M, and refused.
func ParseScrew(text string) (Screw, error) {
	s := strings.TrimSpace(text)
	if rest, ok := strings.CutPrefix(s, "M"); ok {
		d, p, ok := strings.Cut(strings.ReplaceAll(rest, "×", "x"), "x")
		if !ok {
			return Screw{}, fmt.Errorf("%q has no pitch", text)
		}
		major, err1 := decimal(d)
		pitch, err2 := decimal(p)
		if err1 != nil || err2 != nil {
			return Screw{}, fmt.Errorf("%q is no metric thread", text)
		}
		return Screw{si.Length(major * si.Millimetre), si.Length(pitch * si.Millimetre), true}, nil
	}
	for _, series := range []string{"UNC", "UNF", "UNEF", "UN"} {
		s = strings.TrimSpace(strings.TrimSuffix(s, series))
	}
	d, n, ok := strings.Cut(s, "-")
	if !ok {
		return Screw{}, fmt.Errorf("%q is no thread; %s", text, withM)
	}
	major, err1 := mixed(d)
	turns, err2 := decimal(n)
	if err1 != nil || err2 != nil || turns <= 0 {
		return Screw{}, fmt.Errorf("%q is no inch thread", text)
	}
	screw := Screw{si.Length(major * si.Inch), si.Length(si.Inch / turns), false}
	if why := screw.noInch(); why != "" {
		return Screw{}, fmt.Errorf("%q is no inch thread: %s; %s", text, why, withM)
	}
	return screw, nil
}

const withM = "a metric thread is written M12x1.75"

// noInch says why an inch thread is none that is cut: "12-1.75" would be twelve
// inches and carry over 600 times what M12x1.75 does. The unified series ends at
// 4 inches and at 4 threads an inch.
func (s Screw) noInch() string {
	const slack = 1 + 1e-9 // of a size that came through a decimal
	switch {
	case s.Metric:
		return ""
	case s.Major > 4*si.Inch*slack:
		return fmt.Sprintf("%.4g in is above 4 in", float64(s.Major)/si.Inch)
	case s.Pitch > si.Inch/4*slack:
		return fmt.Sprintf("%.4g threads per inch are fewer than 4", si.Inch/float64(s.Pitch))
	}
	return ""
}

// mixed reads "3/4", "1 1/4" or "0.75".
func mixed(s string) (float64, error) {
	whole := 0.0
	if a, b, ok := strings.Cut(strings.TrimSpace(s), " "); ok {
		v, err := decimal(a)
		if err != nil {
			return 0, err
		}
		whole, s = v, b
	}
	a, b, ok := strings.Cut(s, "/")
	v, err := decimal(a)
	if err != nil || !ok {
		return whole + v, err
	}
	below, err := decimal(b)
	if err != nil || below == 0 {
		return 0, fmt.Errorf("%q is no fraction", s)
	}
	return whole + v/below, nil
}

func decimal(s string) (float64, error) {
	s = strings.TrimSpace(s)
	if s == "" || strings.Trim(s, ".0123456789") != "" {
		return 0, fmt.Errorf("%q is no number", s)
	}
	return strconv.ParseFloat(s, 64)
}

// words is the thread as a person writes it.
func (s Screw) words() string {
	if s.Metric {
		return fmt.Sprintf("M%.4gx%.4g", float64(s.Major)/si.Millimetre, float64(s.Pitch)/si.Millimetre)
	}
	return fmt.Sprintf("%s-%.4g", inches(float64(s.Major)/si.Inch), si.Inch/float64(s.Pitch))
}

// inches writes a size as the trade does, "3/4" or "1 1/4"; as a decimal where
// it is no number of 64ths.
func inches(v float64) string {
	n, d := int(math.Round(v*64)), 64
	if math.Abs(v*64-float64(n)) > 1e-6 || n <= 0 || n > 64*1000 {
		return fmt.Sprintf("%.4g", v)
	}
	for n%2 == 0 && d > 1 {
		n, d = n/2, d/2
	}
	switch whole := n / d; {
	case d == 1:
		return strconv.Itoa(n)
	case whole > 0:
		return fmt.Sprintf("%d %d/%d", whole, n%d, d)
	}
	return fmt.Sprintf("%d/%d", n, d)
}

const wantThread = `a size and a pitch, as in thread = "M20x2.5" or "3/4-10"`

func (s Screw) faults(c *faults) bool {
	const coarsest = 0.25 * (1 + 1e-9) // of the diameter: M1x0.25
	if why := s.noInch(); why != "" {
		c.add("thread", why+": "+withM, wantThread)
		return false
	}
	if c.length("thread", s.Major, wantThread) && s.Pitch >= minLength/2 && s.Pitch <= s.Major*coarsest {
		return true
	}
	if len(c.list) == 0 || c.list[len(c.list)-1].Key != "thread" {
		c.add("thread", fmt.Sprintf("a pitch of %s does not go with a diameter of %s", mm(s.Pitch), mm(s.Major)), wantThread)
	}
	return false
}

// Thread is a threaded rod in a nut or a threaded hole, both of the rig.
type Thread struct {
	Screw      Screw     `json:"thread"`
	Engagement si.Length `json:"engagement_m"` // length of full threads that are in each other
	Yield      si.Stress `json:"min_yield_pa"` // of the rod
	NutYield   si.Stress `json:"nut_min_yield_pa"`
}

func (t *Thread) modes() []Mode {
	strip := float64(t.Screw.StripArea(t.Engagement))
	const formula = "F = 0.57735 Sy · π/2 (D − 0.6495 P) · min(l, 1.5 D)"
	const source = "half the cylinder at the pitch diameter, yield by distortion energy: handbooks of machine design, simplified"
	return []Mode{
		{"tension in the thread", times(t.Yield, float64(t.Screw.StressArea())), stressFormula(t.Screw, "Sy"), stressSource(t.Screw), t.Yield, minYield},
		{"stripping of the rod's thread", times(ShearOfYield*t.Yield, strip), formula, source, t.Yield, minYield},
		{"stripping of the hole's thread", times(ShearOfYield*t.NutYield, strip), formula, source, t.NutYield, nutYield},
	}
}

func stressFormula(s Screw, strength string) string {
	if s.Metric {
		return "F = " + strength + " · 0.7854 (D − 0.9382 P)²"
	}
	return "F = " + strength + " · 0.7854 (D − 0.9743/n)²"
}

func stressSource(s Screw) string {
	if s.Metric {
		return "tensile stress area of ISO 898-1"
	}
	return "tensile stress area of ASME B1.1"
}

const wantEngagement = `the length of full threads in each other, as in engagement = "25 mm"`

func (t *Thread) faults(c *faults) {
	t.Screw.faults(c)
	c.length("engagement", t.Engagement, wantEngagement)
	c.strength("min_yield", t.Yield, WantYield)
	c.strength("nut_min_yield", t.NutYield, `the minimum yield of the nut or the threaded hole, as in nut_min_yield = "235 MPa"`)
}
