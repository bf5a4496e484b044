package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// rigShift is one field in which two rigs differ.
type rigShift struct {
	path, label string
	was, now    any // as JSON has it, in SI; nil: not there
}

// rigWords are the fields a person is likeliest to correct, in the order they are
// told in. The others come behind, by their names in JSON.
func rigWords() []struct{ path, label string } {
	return []struct{ path, label string }{
		{"name", "name"},
		{"calibration", "calibration"},
		{"ram.area_m2", "area of the ram"},
		{"ram.area_tol_m2", "area of the ram, ±"},
		{"ram.rated_n", "ram, rated"},
		{"ram.rated_pa", "ram, rated pressure"},
		{"ram.friction", "friction"},
		{"ram.friction_band", "friction, ±"},
		{"path.kind", "path"},
		{"path.share", "share of the specimen"},
		{"path.share_tol", "share, ±"},
		{"path.specimen_arm_m", "arm of the specimen"},
		{"path.far_arm_m", "arm of the far side"},
		{"path.arm_tol_m", "arms, ±"},
		{"path.bearing", "bearing"},
		{"path.weight_n", "weight of the parts"},
		{"sensor.kind", "transducer"},
		{"sensor.low_pa", "transducer's low end"},
		{"sensor.high_pa", "transducer's range"},
		{"sensor.accuracy", "transducer's accuracy"},
		{"sensor.shunt_ohm", "shunt"},
		{"sensor.reference_v", "reference voltage"},
		{"sensor.divider", "divider"},
		{"alarm.caution", "caution from"},
		{"alarm.warning", "warning from"},
		{"alarm.stop", "stop from"},
		{"units", "units of display"},
	}
}

// rigDiff is where two rigs, each as it was resolved, differ, by the names of
// their JSON. A calibration is one thing, told by its name.
func rigDiff(a, b *rig.Rig) []rigShift {
	was, now := flatRig(a), flatRig(b)
	paths := map[string]bool{}
	for p := range was {
		paths[p] = true
	}
	for p := range now {
		paths[p] = true
	}
	var out []rigShift
	take := func(path, label string) {
		if was[path] != now[path] {
			out = append(out, rigShift{path: path, label: label, was: was[path], now: now[path]})
		}
		delete(paths, path)
	}
	for _, w := range rigWords() {
		take(w.path, w.label)
	}
	for _, p := range slices.Sorted(maps.Keys(paths)) {
		take(p, strings.ReplaceAll(p, "_", " "))
	}
	return out
}

// flatRig is the JSON of a rig, each leaf by its path.
func flatRig(r *rig.Rig) map[string]any {
	out := map[string]any{}
	text, err := json.Marshal(r)
	if err != nil { // a rig that was read can be written
		return out
	}
	var tree map[string]any
	if json.Unmarshal(text, &tree) != nil {
		return out
	}
	delete(tree, "calibration")
	if r.Calibration != nil {
		out["calibration"] = r.Calibration.ID
	}
	flatten(out, "", tree)
	return out
}

func flatten(out map[string]any, path string, v any) {
	under := func(key string) string {
		if path == "" {
			return key
		}
		return path + "." + key
	}
	switch v := v.(type) {
	case map[string]any:
		for k, one := range v {
			flatten(out, under(k), one)
		}
	case []any:
		seen := map[string]int{}
		for i, one := range v {
			key := strconv.Itoa(i + 1)
			if m, ok := one.(map[string]any); ok {
				if name, ok := m["name"].(string); ok && name != "" {
					key = name // a limit stays itself wherever it stands
				}
			}
			if seen[key]++; seen[key] > 1 { // two of one name
				key += " " + strconv.Itoa(seen[key])
			}
			flatten(out, under(key), one)
		}
	default:
		out[path] = v
	}
}

// text is a value in the units of display, by the ending of its field's name.
func (r rigShift) text(v any, sys si.System) string {
	n, ok := v.(float64)
	switch {
	case v == nil:
		return "–"
	case !ok:
		return fmt.Sprint(v)
	}
	end := func(suffix ...string) bool {
		return slices.ContainsFunc(suffix, func(s string) bool { return strings.HasSuffix(r.path, s) })
	}
	switch {
	case end("_m2"):
		return areaText(n, sys)
	case end("strength_pa", "yield_pa"):
		return si.Stress(n).Text(sys)
	case end("_pa"):
		return si.Pressure(n).Text(sys)
	case end("_n"):
		return si.Force(n).Text(sys)
	case end("_m"):
		return si.Length(n).Text(sys)
	}
	return strconv.FormatFloat(n, 'g', 8, 64)
}
