package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain makes this test binary serve as the program too: the scripts and the
// tests below run the real main in a process of its own.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"draghand": main, "draghand-faulty": faulty})
}

// The whole program, verb by verb: exit codes, both streams, what is left on
// disk.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: filepath.Join("testdata", "script"),
		Setup: func(e *testscript.Env) error {
			e.Setenv("HOME", e.WorkDir)
			e.Setenv("XDG_DATA_HOME", filepath.Join(e.WorkDir, "data"))
			e.Setenv("XDG_CONFIG_HOME", filepath.Join(e.WorkDir, "config"))
			e.Setenv("XDG_CACHE_HOME", filepath.Join(e.WorkDir, "cache"))
			e.Setenv("TMPDIR", e.WorkDir)
			e.Setenv(raceEnd())
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"carried":  scriptCarried,
			"events":   scriptEvents,
			"field":    scriptField,
			"kept":     scriptKept,
			"record":   scriptRecord,
			"trace":    scriptTrace,
			"twolines": scriptTwoLines,
		},
		Condition: func(cond string) (bool, error) {
			switch cond {
			case "root":
				return os.Geteuid() == 0, nil
			case "tmpfs":
				return canMount(), nil
			case "setpriv":
				_, err := exec.LookPath("setpriv")
				return err == nil && os.Geteuid() == 0, nil
			}
			return false, fmt.Errorf("unknown condition %q", cond)
		},
	})
}

// raceEnd shortens the second that a program built with the race detector waits at its
// end, as long as a race is still told: the tests start a thousand of them.
func raceEnd() (key, value string) { return "GORACE", "atexit_sleep_ms=50" }

// canMount says whether this process may mount a small disk of its own.
func canMount() bool {
	if os.Geteuid() != 0 {
		return false
	}
	dir, err := os.MkdirTemp("", "draghand")
	if err != nil {
		return false
	}
	defer os.Remove(dir)
	if exec.Command("mount", "-t", "tmpfs", "-o", "size=16k", "tmpfs", dir).Run() != nil {
		return false
	}
	return exec.Command("umount", dir).Run() == nil
}

// scriptEvents holds the event kinds on the last stdout, in order of first
// appearance and without peaks, against the words given.
func scriptEvents(ts *testscript.TestScript, neg bool, args []string) {
	var got []string
	sc := bufio.NewScanner(strings.NewReader(ts.ReadFile("stdout")))
	for sc.Scan() {
		var e struct {
			Event string `json:"event"`
			Alarm *struct {
				Level        string `json:"level"`
				Limit        string `json:"limit"`
				Blind        bool   `json:"cannot_see_the_force"`
				Acknowledged bool   `json:"acknowledged"`
				Returned     bool   `json:"returned"`
			} `json:"alarm"`
			TS *float64 `json:"t_s"`
		}
		if err := json.Unmarshal(sc.Bytes(), &e); err != nil {
			ts.Fatalf("not JSON: %s", sc.Text())
		}
		if e.TS == nil {
			ts.Fatalf("no t_s: %s", sc.Text())
		}
		word := e.Event
		if a := e.Alarm; a != nil {
			if a.Acknowledged || a.Returned {
				continue
			}
			word += ":" + a.Level + ":" + strings.ReplaceAll(a.Limit, " ", "_")
			if a.Blind {
				word = "alarm:blind"
			}
		}
		got = append(got, word)
	}
	for _, want := range args {
		found := false
		for i, g := range got {
			if g == want {
				got, found = got[i+1:], true
				break
			}
		}
		if found == neg {
			ts.Fatalf("event %q (negated: %v) not as wanted; left are %v", want, neg, got)
		}
	}
}

// scriptField compares a field of the JSON on the last stdout: field PATH WANT,
// where PATH is words and indices joined by points.
func scriptField(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: field PATH WANT")
	}
	var v any
	if err := json.Unmarshal([]byte(ts.ReadFile("stdout")), &v); err != nil {
		ts.Fatalf("not JSON: %v", err)
	}
	for _, key := range strings.Split(args[0], ".") {
		switch x := v.(type) {
		case map[string]any:
			var ok bool
			if v, ok = x[key]; !ok {
				ts.Fatalf("no field %s", key)
			}
		case []any:
			var i int
			if _, err := fmt.Sscan(key, &i); err != nil || i >= len(x) {
				ts.Fatalf("no element %s of %d", key, len(x))
			}
			v = x[i]
		default:
			ts.Fatalf("no field %s in %v", key, v)
		}
	}
	if got := fmt.Sprint(v); (got == args[1]) == neg {
		ts.Fatalf("%s = %s, want %s (negated: %v)", args[0], got, args[1], neg)
	}
}

// scriptRecord puts the path of the only record below a folder into $REC.
func scriptRecord(ts *testscript.TestScript, neg bool, args []string) {
	found, err := filepath.Glob(filepath.Join(ts.MkAbs(args[0]), "*", "pull.json"))
	if err != nil || len(found) != 1 {
		ts.Fatalf("records below %s: %v (%v), want one", args[0], found, err)
	}
	ts.Setenv("REC", filepath.Dir(found[0]))
}

// scriptTwoLines wants the last stderr to end with an error in two lines: what
// is wrong, then what to do next.
func scriptTwoLines(ts *testscript.TestScript, neg bool, args []string) {
	lines := strings.Split(strings.TrimSpace(ts.ReadFile("stderr")), "\n")
	n := len(lines)
	if n < 2 || !strings.HasPrefix(lines[0], "draghand: ") || !strings.HasPrefix(lines[n-1], "  next: ") {
		ts.Fatalf("stderr is no error in two lines:\n%s", strings.Join(lines, "\n"))
	}
	if len(args) == 1 && fmt.Sprint(n) != args[0] {
		ts.Fatalf("%d lines on stderr, want %s", n, args[0])
	}
}

// program is the path of the program under test.
func program(t *testing.T) string {
	t.Helper()
	p, err := exec.LookPath("draghand")
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// start runs the program with its data below dir and gives the running command.
func start(t *testing.T, dir string, args ...string) *exec.Cmd {
	t.Helper()
	cmd := exec.Command(program(t), args...)
	cmd.Env = append(os.Environ(), home(dir)...)
	cmd.Stderr = os.Stderr
	t.Cleanup(func() {
		if cmd.Process != nil {
			_ = cmd.Process.Signal(syscall.SIGKILL)
			_ = cmd.Wait()
		}
	})
	return cmd
}

// home keeps a run of the program inside dir.
func home(dir string) []string {
	race, short := raceEnd()
	return []string{"HOME=" + dir, "XDG_DATA_HOME=" + dir, "XDG_CONFIG_HOME=" + dir, "XDG_CACHE_HOME=" + dir, "TMPDIR=" + dir, "NO_COLOR=", race + "=" + short}
}

// onlyRecord is the one record below a shelf.
func onlyRecord(t *testing.T, shelf string) string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(shelf, "*", "pull.json"))
	if err != nil || len(found) != 1 {
		t.Fatalf("records below the shelf: %v (%v), want one", found, err)
	}
	return filepath.Dir(found[0])
}
