package report

import (
	"fmt"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// specimen are the sizes before the pull.
func (f *facts) specimen() []pair {
	b, sys := f.head.Specimen, f.opt.Units
	var r rows
	r.add("shape", "%s", b.Shape.Word())
	z := b.Sizes()
	z.Diameters, z.Sections = z.Diameters[:min(len(z.Diameters), mostRows)], z.Sections[:min(len(z.Sections), mostRows)]
	if text := z.Text(sys); text != "" {
		r.add("measured", "%s", text)
	} else {
		r.add("measured", "no section: force only")
	}
	if size := b.SizeText(sys); size != "" {
		r.add("smallest, which counts", "%s, %s", size, b.Area().Text(sys))
		limit, stated := b.SizeLimit()
		if stated {
			r.add("limit of error of a size", "± %s, as stated", specimen.LimitText(limit, sys))
		} else {
			r.add("limit of error of a size", "± %s, taken since none was stated", specimen.LimitText(limit, sys))
		}
	}
	if b.GaugeLength > 0 {
		r.add("gauge length", "%s", b.GaugeLength.Text(sys))
	}
	if b.Side == specimen.Far {
		r.add("stood", "on the far side of the rig")
	}
	if b.Yield > 0 {
		r.add("expected to yield", "at %s and above", b.Yield.Text(sys))
	}
	if b.ExpectHigh > 0 {
		text := b.ExpectLow.Text(sys) + " to " + b.ExpectHigh.Text(sys)
		if b.ExpectFrom != "" {
			text += " (" + b.ExpectFrom + ")"
		}
		r.add("expected to break", "%s", text)
	}
	return r
}

// measured is what was measured and seen on the bar after the pull.
func (f *facts) measured() (out []pair, not string) {
	m := f.head.Measured()
	if m == nil {
		return nil, "Nothing was measured after the pull yet."
	}
	sys := f.opt.Units
	if err := m.Fits(f.head); err != nil {
		not = "NOT USED, since it cannot be of this bar: " + tidy(err.Error())
	}
	var r rows
	if !m.At.IsZero() {
		r.add("written down", "%s", m.At.UTC().Format("2006-01-02 15:04 UTC"))
	}
	var sizes []string
	for _, d := range m.Diameters[:min(len(m.Diameters), mostRows)] {
		sizes = append(sizes, d.Size(sys))
	}
	for _, c := range m.Sections[:min(len(m.Sections), mostRows)] {
		sizes = append(sizes, c.Text(f.head.Specimen.Shape, sys))
	}
	r.add("at the break", "%s", strings.Join(sizes, ", "))
	if m.GaugeLength > 0 {
		r.add("gauge length after", "%s", m.GaugeLength.Text(sys))
	}
	r.add("where it broke", "%s", whereWords(m.Where))
	var looks []string
	for _, l := range m.Looks[:min(len(m.Looks), mostRows)] {
		looks = append(looks, string(l))
	}
	r.add("what the break looks like", "%s", strings.Join(looks, ", "))
	r.add("a part of the rig that failed", "%s", m.Failed)
	if d := f.results.Dial; d != nil {
		r.add("dial gauge beside it", "%s on the %s, %+.1f %% of the drag hand", si.Force(d.PeakN).Text(sys), thing(f.head.Kind), 100*d.Difference)
	}
	if m.Minimum > 0 {
		text := m.Minimum.Text(sys)
		if m.MinimumFrom != "" {
			text += ", from " + m.MinimumFrom
		}
		r.add("held against", "%s", text)
	}
	if n := len(m.Photos); n > 0 {
		r.add("photos, by the names of their files", "%s", strings.Join(m.Photos[:min(n, mostRows)], ", "))
	}
	if n := len(f.head.Finished); n > 1 {
		r.add("measured before that", "%s; the newest counts, the record keeps them all", count(n-1, "time"))
	}
	return r, not
}

func whereWords(w specimen.Where) string {
	switch w {
	case specimen.MidGauge:
		return "in the middle half of the gauge length"
	case specimen.OffMiddle:
		return "between the marks, outside the middle half"
	case specimen.OffMarks:
		return "in the reduced section, outside the marks"
	case specimen.AtShoulder:
		return "at the shoulder"
	case specimen.InGrip:
		return "in the grip"
	}
	return string(w)
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// sketch is the bar as a picture that is not to scale: its size, its gauge marks
// and where it broke.
type sketch struct {
	Size, Gauge, After string
	BreakX             float64 // 0: not told
	Broke              bool
	Where              string
	Described          string
}

// sketch of a round bar that was pulled; nil for what looks otherwise.
func (f *facts) sketch() *sketch {
	b, sys := f.head.Specimen, f.opt.Units
	if b.Shape != specimen.Round || b.Diameter() <= 0 || f.head.Kind == pull.Crush {
		return nil
	}
	s := &sketch{Size: "⌀ " + b.Diameter().Size(sys)}
	s.Described = "The bar, not to scale: diameter " + b.Diameter().Size(sys)
	if b.GaugeLength > 0 {
		s.Gauge = "gauge length " + b.GaugeLength.Text(sys)
		s.Described += ", " + s.Gauge
	}
	if m := f.head.Measured(); m != nil {
		s.Broke = true
		switch m.Where {
		case specimen.MidGauge:
			s.BreakX = 380
		case specimen.OffMiddle:
			s.BreakX = 515
		case specimen.OffMarks:
			s.BreakX = 568
		case specimen.AtShoulder:
			s.BreakX = 594
		case specimen.InGrip:
			s.BreakX = 670
		default:
			s.Broke = false
		}
		if s.Broke {
			s.Where = "broke " + whereWords(m.Where)
			s.Described += ", " + s.Where
			s.Where += "; on which half is not told"
		}
		if n := len(m.Diameters); n > 0 {
			var mean si.Length
			for _, d := range m.Diameters {
				mean += d / si.Length(n)
			}
			s.After = "⌀ " + mean.Text(sys) + " after"
		}
	}
	return s
}
