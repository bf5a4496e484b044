package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"draghand/internal/record"
)

// A file that stood there is put aside by a whole one only, or by what is intact of
// a damaged record; nothing half-written is left beside it.
func TestExportPutInPlace(t *testing.T) {
	full := errors.New("no space left on device")
	damage := &record.DamageError{Line: 4, Reason: "not a number"}
	for name, c := range map[string]struct {
		err  error
		want string
	}{
		"whole":       {nil, "new"},
		"damaged":     {damage, "new"},
		"disk full":   {full, "good"},
		"full, early": {errors.Join(full, io.ErrShortWrite), "good"},
	} {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join(t.TempDir(), "x.html")
			if err := os.WriteFile(file, []byte("good"), 0o644); err != nil {
				t.Fatal(err)
			}
			err := putInPlace(file, func(w io.Writer) error {
				if _, err := io.WriteString(w, "new"); err != nil {
					t.Fatal(err)
				}
				return c.err
			})
			if !errors.Is(err, c.err) {
				t.Errorf("error %v, want %v", err, c.err)
			}
			if b, err := os.ReadFile(file); err != nil || string(b) != c.want {
				t.Errorf("the file holds %q, %v; want %q", b, err, c.want)
			}
			if left, err := os.ReadDir(filepath.Dir(file)); err != nil || len(left) != 1 {
				t.Errorf("%v stand there, %v", left, err)
			}
		})
	}
}
