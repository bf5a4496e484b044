package main

import (
	"strings"
	"testing"

	"draghand/internal/calib"
	"draghand/internal/calib/live"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// Past a stop nobody is asked for a value; once the load is back, they are.
func TestCalibrateStopAsksNothing(t *testing.T) {
	v := &live.View{
		Units: si.Metric, HaveZero: true, Signal: rig.OK, Live: 233e5, Run: calib.Run{At: rig.AtGauge},
		Steady: &calib.Point{Gauge: 233e5}, Going: calib.Rising,
		Alarms: []pull.Alarm{{Level: pull.Stop, Limit: "link bar", Acked: true}},
	}
	d := &pointTalk{}
	if _, text := d.standing(v); strings.Contains(text, "what does the reference show") || !strings.Contains(text, "PRESS NO FURTHER") {
		t.Errorf("at a stop: %q", text)
	}
	v.Alarms[0].Returned = true
	if _, text := d.standing(v); !strings.Contains(text, "what does the reference show") {
		t.Errorf("returned: %q", text)
	}
}
