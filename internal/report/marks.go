package report

import (
	"sort"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
)

// marks are the moments worth a letter, in the order of time.
func (f *facts) marks(g *figure, x, y scale) {
	s, sys, area := &f.state, f.opt.Units, f.head.Specimen.Area()
	var all []mark
	add := func(kind, what string, t time.Duration, force si.Force, flat bool) {
		m := mark{Kind: kind, What: what, When: moment(t), t: t, f: float64(force), Flat: flat}
		if !flat {
			m.Force = force.Text(sys)
			if area > 0 {
				m.Stress = si.StressOn(force, area).Text(sys)
			}
		}
		all = append(all, m)
	}
	if s.Zero.Set {
		add("zero", "the zero was taken", s.Zero.T, 0, true)
	}
	if s.LoadedAt != 0 {
		add("start", "the load begins", s.LoadedAt, 0, true)
		if s.Yield != nil {
			add("yield", "upper yield", s.Yield.Upper.T, s.Yield.Upper.Specimen, false)
			add("yield", "lowest after the upper yield", s.Yield.Lower.T, s.Yield.Lower.Specimen, false)
		}
		if y := f.results.FirstYield; y != nil {
			add("yield", "the block first gave", time.Duration(y.TS*float64(time.Second)), si.Force(y.SpecimenN), false)
		}
		if s.Hold != nil && s.Kind == pull.Proof {
			add("hold", "the hold begins", s.Hold.From, s.Hold.Force, false)
		}
		add("peak", "peak, where the drag hand stays", s.Peak.T, s.Peak.Specimen, false)
		if float64(s.PeakRaw.Specimen) > 1.005*float64(s.Peak.Specimen) {
			add("spike", "largest single reading", s.PeakRaw.T, s.PeakRaw.Specimen, false)
		}
		if s.Break != nil {
			what := "break"
			if s.Break.Provisional {
				what = "break, not certain"
			}
			if s.Break.Specimen > s.Peak.Specimen {
				what += " (the one reading before the fall; the peak is a median of three)"
			}
			add("break", what, s.Break.T, s.Break.Specimen, false)
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].t < all[j].t })
	for _, m := range all {
		if len(g.Marks) == mostLetters || m.t < g.From || m.t > g.To {
			continue
		}
		m.X, m.Y = x.at(m.t.Seconds()), y.at(m.f)
		if m.Y-m.Y != 0 || m.Y < 0 || m.Y > figHigh { // of a head that makes no sense
			continue
		}
		m.Letter = string(rune('A' + len(g.Marks)))
		if m.LetterX = m.X; m.Flat {
			m.Y = figBottom
		}
		g.Marks = append(g.Marks, m)
	}
	apart(g.Marks)
}

// apart moves the letters so that none lies on another, first to the right, then
// back into the picture.
func apart(m []mark) {
	for i := 1; i < len(m); i++ {
		m[i].LetterX = max(m[i].LetterX, m[i-1].LetterX+letterApart)
	}
	most := figRight - 8
	for i := len(m) - 1; i >= 0; i-- {
		m[i].LetterX = min(m[i].LetterX, most)
		most = m[i].LetterX - letterApart
	}
}

// moment is a time in the record, to the hundredth of a second.
func moment(t time.Duration) string { return si.Number(t.Seconds(), 2) + " s" }

// seconds is a span, to the tenth of a second.
func seconds(t time.Duration) string { return si.Number(t.Seconds(), 1) + " s" }

// thing is what is pulled, or pressed.
func thing(k pull.Kind) string {
	if k == pull.Crush {
		return "block"
	}
	return "specimen"
}
