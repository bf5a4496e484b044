package bench

import (
	"os"
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// rows are the cells of a table of docs/bench.md, by the first cell.
func rows(t *testing.T, name string) map[string][]string {
	t.Helper()
	text, err := os.ReadFile("../../docs/bench.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(text), "<!-- table: "+name+" -->\n")
	if !ok {
		t.Fatalf("no table %q", name)
	}
	out := map[string][]string{}
	for i, line := range strings.Split(rest, "\n") {
		if !strings.HasPrefix(line, "|") {
			break
		}
		if i < 2 {
			continue
		}
		var cells []string
		for _, c := range strings.Split(strings.Trim(line, "|"), "|") {
			cells = append(cells, strings.TrimSpace(c))
		}
		out[strings.Trim(cells[0], "`")] = cells
	}
	return out
}

// The page names every field with an example that is understood, and every point
// as it is shown, with why and when it is asked for again.
func TestPage(t *testing.T) {
	fields := rows(t, "fields")
	f := form{units: si.US, texts: map[FieldID]string{}}
	for _, id := range fieldIDs(pull.Proof) {
		if fields[string(id)] == nil {
			t.Errorf("the field %s is missing", id)
			continue
		}
		f.texts[id] = strings.Trim(fields[string(id)][2], "`")
	}
	f.texts[FieldKind] = "proof"
	read, _ := f.read()
	for _, one := range read {
		if one.Fault != "" || one.Text == "" {
			t.Errorf("example of %s: %q: %s", one.ID, one.Text, one.Fault)
		}
	}
	if len(fields) != len(read) {
		t.Errorf("%d fields on the page, %d on the bench", len(fields), len(read))
	}

	page := rows(t, "points")
	shown := map[string]bool{"unknown/NAME": true}
	for _, c := range []struct {
		kind pull.Kind
		rig  *rig.Rig
	}{{pull.Crush, crushing(t)}, {pull.Proof, exampleRig(t)}, {pull.Tension, exampleRig(t)}} {
		for _, p := range points(c.kind, c.rig, si.US) {
			id, text := string(p.ID), p.Text
			if strings.HasPrefix(id, "unknown/") {
				id, text = "unknown/NAME", "no known limit, accepted: NAME"
			}
			if p.ID == PointArms {
				text = "arms as written, each with its length"
			}
			row := page[id]
			if row == nil {
				t.Errorf("the point %s is missing", id)
				continue
			}
			shown[id] = true
			if row[1] != text && c.kind != pull.Crush {
				t.Errorf("%s is shown as %q, the page says %q", id, text, row[1])
			}
			again := map[string]bool{"bar": p.ID.ofBar(), "plan": p.ID.ofPlan(), "rig": !p.ID.ofPeople()}
			for word, so := range again {
				if strings.Contains(row[2], word) != so {
					t.Errorf("%s: asked again for %s is %v, the page says %q", id, word, so, row[2])
				}
			}
		}
	}
	if len(page) != len(shown) {
		t.Errorf("%d points on the page, %d on the bench", len(page), len(shown))
	}
}
