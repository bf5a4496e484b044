package feed

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// The chooser names what is there: boards on USB first, then the computer's own
// ports, but not those of its names that have nothing behind them.
func TestQuietPorts(t *testing.T) {
	root := t.TempDir()
	for name, text := range map[string]string{
		"dev/ttyS0": "", "dev/ttyS1": "", "dev/ttyS2": "", "dev/ttyACM0": "", "dev/ttyUSB0": "", "dev/tty1": "", "dev/ptmx": "",
		"sys/class/tty/ttyS0/type": "4\n", "sys/class/tty/ttyS1/type": "0\n", // S2: nothing is said of it
	} {
		path := filepath.Join(root, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	got, err := quietPorts(root)
	if err != nil {
		t.Fatal(err)
	}
	var want []string
	for _, n := range []string{"dev/ttyACM0", "dev/ttyUSB0", "dev/ttyS0"} {
		want = append(want, filepath.Join(root, n))
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}
