//go:build unix

package main

import (
	"bytes"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func try(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	code = run(t.Context(), args, &out, &errs)
	return code, out.String(), errs.String()
}

func TestPicture(t *testing.T) {
	dir := t.TempDir()
	one, two := filepath.Join(dir, "new", "one.png"), filepath.Join(dir, "two.png")
	code, out, errs := try(t, "-cols", "30", "-rows", "4", "-text", "-until", "ready", "-shot", one, "-keys", "go<enter>", "-until", "got go", "-o", two,
		"--", "sh", "-c", `stty -echo; printf 'ready \342\232\227\n'; read x; echo "got $x"; read y`)
	if code != done {
		t.Fatalf("code %d, stderr %q", code, errs)
	}
	if !strings.Contains(out, "ready") || !strings.Contains(out, "got go") {
		t.Errorf("text %q", out)
	}
	if n := strings.Count(errs, "U+2697"); n != 2 {
		t.Errorf("stderr %q names the undrawable character %d times, want once a picture", errs, n)
	}
	for _, name := range []string{one, two} {
		f, err := os.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		c, err := png.DecodeConfig(f)
		if f.Close(); err != nil || c.Width != 300 || c.Height != 80 {
			t.Errorf("%s: %v, %d×%d, want 300×80", name, err, c.Width, c.Height)
		}
	}
}

func TestPictureRefuses(t *testing.T) {
	for _, c := range []struct {
		name string
		args []string
		code int
		says string
	}{
		{"help", []string{"-help"}, done, "-until TEXT"},
		{"no command", []string{"-o", "x.png"}, misuse, "needs a command"},
		{"unknown flag", []string{"-nope", "sh"}, misuse, "-nope"},
		{"bad key", []string{"-keys", "<nokey>", "sh"}, misuse, "nokey"},
		{"bad pause", []string{"-after", "soon", "sh"}, misuse, "soon"},
		{"bad size", []string{"-resize", "wide", "sh"}, misuse, "80x24"},
		{"no columns", []string{"-cols", "0", "sh"}, misuse, "columns"},
		{"no such program", []string{"no-such-program-here"}, failed, "no-such-program-here"},
		{"text never comes", []string{"-timeout", "1s", "-until", "shown", "-until", "never", "--", "sh", "-c", "echo shown; read x"}, failed, "shown"},
		{"picture cannot be written", []string{"-until", "a", "-o", "/dev/null/x.png", "echo", "a"}, failed, "picture"},
	} {
		code, _, errs := try(t, c.args...)
		if code != c.code || !strings.Contains(errs, c.says) {
			t.Errorf("%s: code %d, stderr %q; want %d and %q", c.name, code, errs, c.code, c.says)
		}
	}
}
