//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"draghand/internal/picture"
	"draghand/internal/rig"
)

// weakRig writes the example rig with one limit set so low that the example
// bar passes it: change is what to replace in the file and by what.
func weakRig(t *testing.T, dir string, change ...string) string {
	t.Helper()
	text := rig.Example()
	for i := 0; i+1 < len(change); i += 2 {
		if !strings.Contains(text, change[i]) {
			t.Fatalf("the example rig has no %q", change[i])
		}
		text = strings.ReplaceAll(text, change[i], change[i+1])
	}
	path := filepath.Join(dir, "weak.toml")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// quiet runs watch on the simulator without a screen and gives its output.
func quiet(t *testing.T, dir string, args ...string) string {
	t.Helper()
	cmd := exec.Command(program(t), append([]string{"watch", "--data", dir, "--diameter", "12.5 mm"}, args...)...)
	cmd.Env = append(os.Environ(), home(dir)...)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("watch %v: %v\n%s", args, err, out)
	}
	return string(out)
}

// inOrder says whether all words appear in text, one after the other.
func inOrder(text string, words ...string) bool {
	for _, w := range words {
		i := strings.Index(text, w)
		if i < 0 {
			return false
		}
		text = text[i+len(w):]
	}
	return true
}

// rings waits for the bell of an alarm that stands on the screen: within 2 s, and as long
// as this process, and so commonly the machine, was held up meanwhile.
func rings(t *testing.T, term *picture.Terminal) {
	t.Helper()
	held, begun := standstills(), time.Now()
	waitFor(t, 20*time.Second, "bell", func() bool { return term.Bells() > 0 })
	took, most := time.Since(begun), 2*time.Second
	for _, s := range held() {
		most += s.to.Sub(s.from)
	}
	if took > most {
		t.Errorf("the bell rang %v after the words stood there, at most %v", took.Round(time.Millisecond), most.Round(time.Millisecond))
	}
}

// A pull past 0.75, 0.90 and 1.00 of the ram's limit, and another past the link
// bar's: caution, warning and stop in words, with that part's name and number,
// as plain text, as JSON and on the screen with the bell.
func TestAlarmsNameThePart(t *testing.T) {
	for _, c := range []struct {
		part, number string
		change       []string
	}{
		// 12.5 mm of simulated C90500 break at 35 to 39 kN on the specimen, 70
		// to 78 kN on the ram.
		{"ram", "13,489 lbf", []string{`"250 kN"`, `"60 kN"`}},
		{"link bar", "6,744 lbf", []string{`"48 kN"`, `"30 kN"`}},
	} {
		t.Run(c.part, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			file := weakRig(t, dir, c.change...)
			out := quiet(t, filepath.Join(dir, "plain"), "--rig", file, "--from", "sim:?speed=20", "--plain")
			if !inOrder(out, "CAUTION", c.part, "WARNING", c.part, "STOP", c.part, c.number) {
				t.Errorf("plain text does not name caution, warning and stop of %s at %s:\n%s", c.part, c.number, out)
			}
			out = quiet(t, filepath.Join(dir, "json"), "--rig", file, "--from", "sim:?speed=20", "--json")
			part := `"limit":"` + c.part + `"`
			if !inOrder(out, `"level":"caution",`+part, `"level":"warning",`+part, `"level":"stop",`+part) {
				t.Errorf("JSON does not name caution, warning and stop of %s:\n%s", c.part, out)
			}
			shelf, board := filepath.Join(dir, "screen"), newHandBoard(t)
			term := onTerminal(t, dir, picture.Options{}, "watch", "--rig", file, "--from", board.from(), "--data", shelf, "--diameter", "12.5 mm")
			// Where this test was held up its board was silent, which is told first: seen to,
			// the force still stands where it was.
			standing := func(level string) {
				t.Helper()
				const blind, back = "CANNOT SEE THE FORCE", "now the force is seen again"
				for range mostTries {
					s, err := term.Until(t.Context(), level, func(s *picture.Screen) bool {
						return s.Contains(level) && s.Contains(c.part) && !s.Contains(blind) || s.Contains(blind) && s.Contains(back)
					})
					if err != nil {
						t.Fatalf("%v; the screen shows:\n%s", err, term.Screen().Text())
					}
					if !s.Contains(blind) {
						return
					}
					until(t, term, "a", blind)
				}
				t.Fatalf("the force was out of sight %d times before %s; the screen shows:\n%s", mostTries, level, term.Screen().Text())
			}
			board.load(24)
			standing("CAUTION")
			board.load(28.2)
			standing("WARNING")
			board.load(31)
			see(t, term, "STOP", c.part, c.number, "release the pressure")
			rings(t, term)
			until(t, term, "a", "release the pressure")
			board.breaks()
			see(t, term, "BROKE")
		})
	}
}

// Unplugged, an open circuit, a stuck and a clipped sensor under load: "cannot
// see the force", in words, and the drag hand does not move.
func TestCannotSeeTheForce(t *testing.T) {
	for _, fault := range []string{"unplug", "open", "stuck", "clipped"} {
		t.Run(fault, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			out := quiet(t, filepath.Join(dir, "plain"), "--from", "sim:?speed=10&fault="+fault, "--plain", "--for", "40s")
			if !strings.Contains(strings.ToLower(out), "cannot see the force: stop pumping") {
				t.Errorf("plain text does not say so:\n%s", out)
			}
			out = quiet(t, filepath.Join(dir, "json"), "--from", "sim:?speed=10&fault="+fault, "--json", "--for", "40s")
			if !strings.Contains(out, `"cannot_see_the_force":true`) {
				t.Errorf("JSON does not say so:\n%s", out)
			}
			// No other alarm comes first: the bell must ring for this one.
			file := weakRig(t, dir, `"48 kN"`, `"200 kN"`)
			term := onTerminal(t, dir, picture.Options{Timeout: 20 * time.Second}, "watch", "--rig", file, "--from", "sim:?speed=4&fault="+fault, "--data", filepath.Join(dir, "screen"))
			if _, err := term.Until(t.Context(), "cannot see the force", func(s *picture.Screen) bool {
				return strings.Contains(strings.ToLower(s.Text()), "cannot see the force")
			}); err != nil {
				t.Errorf("%v; the screen shows:\n%s", err, term.Screen().Text())
			}
			rings(t, term)
		})
	}
}
