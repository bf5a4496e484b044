//go:build unix

package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// shellWords splits a command line of the README as a shell would: by spaces, with what
// stands in double quotes kept together; a remark is left out.
func shellWords(line string) (out []string) {
	for _, m := range regexp.MustCompile(`"([^"]*)"|#.*|[^\s"#]+`).FindAllStringSubmatch(line, -1) {
		switch {
		case strings.HasPrefix(m[0], "#"):
			return out
		case strings.HasPrefix(m[0], `"`):
			out = append(out, m[1])
		default:
			out = append(out, m[0])
		}
	}
	return out
}

// The README's job in its order, line by line as it stands there, on the simulated
// rig: the calibration is used, the result counts (the simulated hand pumps faster
// than a standard has it), is judged and reported.
func TestTheJobInItsOrder(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes half a minute; the tests without -short run it")
	}
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(text), "```\ngo run ./cmd/draghand demo     # a whole pull on the simulated rig, live: no hardware, no set-up\ngo test ./...                  # all tests\n```") {
		t.Error("the README does not open with its two commands")
	}
	_, block, found := strings.Cut(string(text), "<!-- the job -->\n```\n")
	block, _, closed := strings.Cut(block, "```")
	if !found || !closed {
		t.Fatal("the README has no job")
	}
	dir := t.TempDir()
	saved := regexp.MustCompile(`(?m)^record +(\S+)`)
	record, said := "", map[string]string{}
	var verbs []string
	for line := range strings.Lines(block) {
		args := shellWords(strings.ReplaceAll(line, "RECORD", record))
		if len(args) < 2 || args[0] != "draghand" {
			t.Fatalf("%q is no command", line)
		}
		verb := args[1]
		verbs = append(verbs, verb)
		if verb == "calibrate" {
			calibrateByLoads(t, dir, args[1:])
			continue
		}
		into := ""
		if n := len(args); args[n-2] == ">" {
			args, into = args[:n-2], args[n-1]
		}
		cmd := exec.CommandContext(t.Context(), program(t), args[1:]...)
		cmd.Dir, cmd.Env = dir, append(os.Environ(), home(dir)...)
		var told strings.Builder
		cmd.Stderr = &told
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("%s%v\n%s%s", line, err, out, told.String())
		}
		said[verb] += string(out) + told.String()
		if into != "" {
			if err := os.WriteFile(filepath.Join(dir, into), out, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if verb == "watch" {
			m := saved.FindStringSubmatch(string(out) + told.String())
			if m == nil {
				t.Fatalf("%sno record:\n%s", line, said[verb])
			}
			record = filepath.Base(m[1])
		}
	}
	if got := strings.Join(verbs, " "); got != "rig rig calibrate watch checkbar plan watch finish results export watch finish watch finish list compare compare" {
		t.Errorf("the order is %s", got)
	}
	for verb, wants := range map[string][]string{
		"watch":    {"calibration of "},
		"checkbar": {"no limits yet: 1 of 5 bars"},
		"plan":     {"12"},
		"finish":   {"counts "},
		"results":  {"strength ", "± ", "counts     with remarks: the pace is over the window", "pass: "},
		"list":     {"M1-1 ", "M1-2 ", "M1-3 "},
		"compare": {
			"M1 (simulated): 3 bars count, mean 43", "Count on ", "90/95 bound of 3 bars, k 6.16", "CAUTION: fewer than 5 bars",
			"replaces no code and no licensed practice",
		},
	} {
		for _, want := range wants {
			if !strings.Contains(said[verb], want) {
				t.Errorf("%s does not say %q:\n%s", verb, want, said[verb])
			}
		}
	}
	count := regexp.MustCompile(`Count on \d+\.\d ksi`).FindString(said["compare"])
	for name, wants := range map[string][]string{
		"report.html": {"simulated 50 kN cell", "This pull counts, with remarks", "JCGM 106"},
		"melt.html":   {count, "M1-1", "M1-2", "M1-3", "simulated"},
	} {
		page, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range wants {
			if want == "" || !strings.Contains(string(page), want) {
				t.Errorf("%s does not say %q", name, want)
			}
		}
	}
	t.Logf("%s", said["compare"])
	heads, err := filepath.Glob(filepath.Join(dir, "draghand", "pulls", record, "pull.json"))
	if err != nil || len(heads) != 1 {
		t.Fatalf("records %v, %v", heads, err)
	}
	head, err := os.ReadFile(heads[0])
	if err != nil {
		t.Fatal(err)
	}
	var kept struct {
		Results struct {
			Counts      string `json:"counts"`
			Calibration *struct {
				InRange bool `json:"in_range"`
			} `json:"calibration"`
		} `json:"results"`
	}
	if err := json.Unmarshal(head, &kept); err != nil {
		t.Fatal(err)
	}
	if kept.Results.Counts != "with-remarks" || kept.Results.Calibration == nil || !kept.Results.Calibration.InRange {
		t.Errorf("results in pull.json: %+v", kept.Results)
	}
}

// calibrateByLoads runs a calibration in words and answers each question with the next of
// its loads.
func calibrateByLoads(t *testing.T, dir string, args []string) {
	t.Helper()
	loads := regexp.MustCompile(`loads=([^& ]*)`).FindStringSubmatch(strings.Join(args, " "))
	if loads == nil {
		t.Fatalf("no loads in %q", args)
	}
	k := &talk{t: t, cmd: start(t, dir, args...)}
	k.cmd.Dir, k.cmd.Stdout = dir, k
	var err error
	if k.in, err = k.cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	if err := k.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	for _, load := range strings.Split(loads[1], "/") {
		k.point("what does the reference show?", strings.Replace(load, "kN", " kN", 1), "the reference shows ")
	}
	k.hear("the load is off")
	k.tell("save")
	k.hear("saved as ")
	k.tell("quit")
	if err := k.cmd.Wait(); err != nil {
		t.Fatalf("ended with %v:\n%s", err, k.text)
	}
}
