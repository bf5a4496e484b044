package rig

import (
	"math"

	"draghand/internal/si"
)

// SensorRange is what the end of the sensor's range is called where no part
// comes to its stop before it.
const SensorRange = "the sensor's range"

// End is what ends every pull on a rig, whatever the bar: the part that comes to
// its stop first, or the sensor, since past its range nobody sees the force.
type End struct {
	First          // Part is SensorRange where SensorEnd; its Bound is then nothing
	SensorEnd bool // it is no part: the sensor's range ends
	Known     bool // a part has a known limit at all
	// Least is the least force that may be on the specimen at that pressure, N:
	// a bar stronger than that may not have broken by then.
	Least si.Force
}

// FirstEnd is what ends a pull first; ok is false where nothing does.
func (r *Rig) FirstEnd() (end End, ok bool) {
	end.First, end.Known = r.FirstAt(r.Alarm.Stop)
	top := r.SeenTo()
	if top > 0 && (!end.Known || top < end.Gauge) {
		c := r.Chain()
		end.First, end.SensorEnd = First{Part: SensorRange, Gauge: top, Ram: c.Ram(top), Specimen: c.Specimen(top)}, true
	}
	end.Least = r.SpecimenLeast(end.Gauge)
	return end, end.Known || end.SensorEnd
}

// SpecimenLeast is the least force that may be on the specimen at a gauge
// pressure above the zero, N: the smallest ram area, the smallest rising friction
// factor of the band, and the smallest share that the bar may have, the walk of a
// flat bearing in it. It is the other edge of what a Bound takes: where a
// calibration is used, the lesser of that edge and of the calibration's lower one.
func (r *Rig) SpecimenLeast(p si.Pressure) si.Force {
	share, perPa := r.leastEdge()
	least := si.Force(share * (perPa*float64(p) - float64(r.Path.lost())))
	if cal, gain, lost, ok := r.leastCalibrated(share, perPa); ok {
		least = min(least, si.Force(gain*cal.at(p)-lost))
	}
	return least
}

// PressureMost is the greatest gauge pressure above the zero that a force on the
// specimen may take, Pa; ok is false where none is surely enough.
func (r *Rig) PressureMost(f si.Force) (p si.Pressure, ok bool) {
	share, perPa := r.leastEdge()
	if !(share > 0 && perPa > 0) {
		return 0, false
	}
	p = si.Pressure((float64(f)/share + float64(r.Path.lost())) / perPa)
	if cal, gain, lost, ok := r.leastCalibrated(share, perPa); ok {
		if !(gain > 0 && cal.slope > 0) {
			return 0, false
		}
		if p = max(p, cal.inverse((float64(f)+lost)/gain)); math.IsInf(float64(p), 1) {
			return 0, false
		}
	}
	return p, true
}

// leastEdge is the least share of the bar, and the least ram force per Pa, m².
func (r *Rig) leastEdge() (share, perPa float64) {
	share = max(0, r.Path.BarShare()-r.Path.ShareTol)
	perPa = max(0, float64(r.Ram.Area-r.Ram.AreaTol)) * max(0, r.Ram.rising()-r.Ram.FrictionBand)
	return share, perPa
}

// leastCalibrated is the calibration's lower edge of the force on the bar,
// gain · cal − lost; ok is false where none speaks of it.
func (r *Rig) leastCalibrated(share, perPa float64) (cal verge, gain, lost float64, ok bool) {
	k := r.Calibration
	if k == nil {
		return verge{}, 0, 0, false
	}
	cal, lost = k.edge(lower), share*float64(r.Path.lost())
	switch k.At {
	case AtGauge:
		return cal, share * perPa, lost, true
	case AtRam:
		return cal, share, lost, true
	case AtSpecimen:
		return cal, 1, 0, k.Far == r.Path.BarFar
	}
	return verge{}, 0, 0, false
}
