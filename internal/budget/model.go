package budget

import (
	"math"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// place is what an error is added to on the way from the gauge to the strength.
type place uint8

const (
	toPressure place = iota // gauge pressure above the zero, as the sensor tells it
	toLine                  // what the calibration says of it; without one the pressure again
	toArea                  // of the ram
	toFriction
	toShare // of the bar's side
	toSize  // diameter of a round bar, section of another
	places
)

// model is the strength of a bar as a function of errors, each added to its
// place:
//
//	S = c · (p · A · φ − W) / S₀
//
// and with a calibration the reference's value in place of p, p·A·φ or the whole
// force.
type model struct {
	base  [places]float64
	cal   *rig.Calibration // nil: none is used for this bar
	at    rig.Place        // of it
	sign  float64          // of the friction in φ
	lost  float64          // N off the ram force
	round bool
}

func newModel(r *rig.Rig, bar specimen.Specimen, p si.Pressure) model {
	m := model{sign: 1, lost: float64(r.Path.Weight), round: bar.Shape == specimen.Round}
	m.base = [places]float64{
		toPressure: float64(p), toArea: float64(r.Ram.Area), toFriction: r.Ram.Friction, toShare: r.Path.BarShare(), toSize: float64(bar.Area()),
	}
	if m.round {
		m.base[toSize] = float64(bar.Diameter())
	}
	if r.Ram.Role == rig.ActuatorRam {
		m.sign = -1
	}
	if r.Path.RamPushes == "down" {
		m.lost = -m.lost
	}
	if c := r.Calibration; c != nil && c.Speaks(r.Path.BarFar) {
		m.cal, m.at = c, c.At
	}
	return m
}

// strength is that of the bar in Pa, of what the places have come to.
func (m *model) strength(q *[places]float64) float64 {
	value := q[toPressure]
	if m.cal != nil {
		value = m.cal.Line.Value(si.Pressure(value))
	}
	value += q[toLine]
	if m.at != rig.AtRam && m.at != rig.AtSpecimen {
		value *= q[toArea] * (1 + m.sign*q[toFriction])
	}
	if m.at != rig.AtSpecimen {
		value = q[toShare] * (value - m.lost)
	}
	section := q[toSize]
	if m.round {
		section *= math.Pi / 4 * section
	}
	return value / section
}

// of is the model of errors x, each into its place.
func (m *model) of(into []place) func(x []float64) float64 {
	return func(x []float64) float64 {
		q := m.base
		for i, v := range x {
			q[into[i]] += v
		}
		return m.strength(&q)
	}
}
