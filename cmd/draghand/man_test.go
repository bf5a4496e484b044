package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// pages writes the manual pages with an environment and reads them back.
func pages(t *testing.T, env map[string]string) map[string]string {
	t.Helper()
	dir := t.TempDir()
	if code, _, stderr := calls(env, "man", "--to", dir); code != exitDone {
		t.Fatalf("code %d: %s", code, stderr)
	}
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, f := range files {
		b, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		out[f.Name()] = string(b)
	}
	return out
}

// calls runs the program within this one.
func calls(env map[string]string, args ...string) (code int, stdout, stderr string) {
	var out, err bytes.Buffer
	code = run(args, world{in: strings.NewReader(""), out: &out, err: &err, getenv: func(k string) string { return env[k] }})
	return code, out.String(), err.String()
}

// verbs are the verbs that help names below one of the program's.
func verbs(t *testing.T, path ...string) []string {
	t.Helper()
	_, out, _ := calls(nil, append(path, "--help")...)
	_, list, found := strings.Cut(out, "Available Commands:\n")
	if !found {
		return nil
	}
	list, _, _ = strings.Cut(list, "\n\n")
	var names []string
	for _, l := range strings.Split(list, "\n") {
		name := strings.Fields(l)[0]
		if name == "help" {
			continue
		}
		names = append(names, strings.Join(append(path, name), " "))
		names = append(names, verbs(t, append(append([]string{}, path...), name)...)...)
	}
	return names
}

// Every verb has a page and an example, and no page is of anything else.
func TestManualPages(t *testing.T) {
	all := pages(t, nil)
	names := append([]string{""}, verbs(t)...)
	if len(names) < 15 {
		t.Fatalf("help names %q", names)
	}
	for _, name := range names {
		file := strings.TrimSuffix("draghand-"+strings.ReplaceAll(name, " ", "-"), "-") + ".1"
		page, ok := all[file]
		if !ok {
			t.Errorf("no page %s", file)
			continue
		}
		delete(all, file)
		for _, part := range []string{".SH NAME", ".SH SYNOPSIS", ".SH DESCRIPTION", ".SH EXAMPLE"} {
			// The completions are the library's, with their examples in the text.
			if !strings.Contains(page, part) && !(part == ".SH EXAMPLE" && strings.HasPrefix(name, "completion")) {
				t.Errorf("%s has no %s", file, part)
			}
		}
		if m := regexp.MustCompile(`(?i)auto generated|spf13|/tmp/|/root|/home`).FindString(page); m != "" {
			t.Errorf("%s holds %q", file, m)
		}
	}
	for file := range all {
		t.Errorf("%s is a page of no verb", file)
	}
}

// The same program gives the same pages, whoever asks and when.
func TestManualPagesReproducible(t *testing.T) {
	first := pages(t, nil)
	for name, env := range map[string]map[string]string{"as before": nil, "no colour": {"NO_COLOR": "1"}} {
		for file, page := range pages(t, env) {
			if page != first[file] {
				t.Errorf("%s: %s differs", name, file)
			}
		}
	}
	// 86,400 · 365 s after 1970 began 1971.
	if page := pages(t, map[string]string{"SOURCE_DATE_EPOCH": "31536000"})["draghand.1"]; !strings.Contains(page, `"Jan 1971"`) {
		t.Errorf("the date is not taken: %s", page[:100])
	}
	for _, bad := range []string{"x", "-5", "99999999999999"} {
		if code, _, stderr := calls(map[string]string{"SOURCE_DATE_EPOCH": bad}, "man"); code != exitUsage || strings.Count(stderr, "\n") != 2 {
			t.Errorf("%s: code %d, %s", bad, code, stderr)
		}
	}
}

// Without a folder it prints the main page, and a folder that cannot be made is
// said.
func TestManPrints(t *testing.T) {
	code, out, _ := calls(nil, "man")
	if code != exitDone || out != pages(t, nil)["draghand.1"] {
		t.Errorf("code %d:\n%s", code, out)
	}
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if code, _, stderr := calls(nil, "man", "--to", file); code != exitSave || !strings.Contains(stderr, "next:") {
		t.Errorf("code %d, %s", code, stderr)
	}
}

// The pages can be set: without a warning, and with the verb's name in them.
func TestManualPagesSet(t *testing.T) {
	groff, err := exec.LookPath("groff")
	if err != nil {
		if os.Getenv("DRAGHAND_NEED_GROFF") != "" {
			t.Fatal(err)
		}
		t.Skip("no groff here to set a manual page")
	}
	for file, page := range pages(t, nil) {
		var out, warned bytes.Buffer
		cmd := exec.Command(groff, "-man", "-Tutf8", "-K", "utf8", "-ww", "-rHY=0")
		cmd.Stdin, cmd.Stdout, cmd.Stderr = strings.NewReader(page), &out, &warned
		if err := cmd.Run(); err != nil {
			t.Errorf("%s: %v: %s", file, err, warned.String())
		}
		if warned.Len() > 0 {
			t.Errorf("%s: %s", file, warned.String())
		}
		text := regexp.MustCompile(`\x1b\[[0-9;]*m|.\x08`).ReplaceAllString(out.String(), "")
		if name := strings.TrimSuffix(file, ".1"); !strings.Contains(text, name+" ") || !strings.Contains(text, "EXAMPLE") && !strings.Contains(name, "completion") {
			t.Errorf("%s sets as\n%s", file, text)
		}
	}
}
