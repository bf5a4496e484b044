package rig

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/adrg/xdg"
)

func TestLoad(t *testing.T) {
	config, here := t.TempDir(), t.TempDir()
	t.Cleanup(xdg.Reload) // after the variable is back
	t.Setenv("XDG_CONFIG_HOME", config)
	xdg.Reload()
	t.Chdir(here)
	rigs := filepath.Join(config, "draghand", "rigs")
	if err := os.MkdirAll(rigs, 0o755); err != nil {
		t.Fatal(err)
	}
	write := func(path, text string) {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(filepath.Join(rigs, "shop.toml"), Example())
	write(filepath.Join(here, "mine.toml"), Example())
	write(filepath.Join(here, "bad.toml"), "[rig]\nname = 1\n")
	write(filepath.Join(here, "big.toml"), Example()+strings.Repeat("#\n", MaxFile/2))
	if err := os.Mkdir(filepath.Join(here, "folder"), 0o755); err != nil {
		t.Fatal(err)
	}

	for _, name := range []string{"shop", "shop.toml", "mine.toml", "./mine.toml", filepath.Join(rigs, "shop.toml")} {
		if r, err := Load(name); err != nil || r.Name != "example rig (simulated)" {
			t.Errorf("Load(%q) = %v", name, err)
		}
	}
	for name, want := range map[string]string{
		"elsewhere":    filepath.Join("draghand", "rigs", "elsewhere.toml"),
		"sub/shop":     "no such file",
		"../shop":      "no such file",
		"..":           "",
		"":             "",
		"folder":       "directory",
		"bad.toml":     "bad.toml:2: rig.name: is the bare number 1, not text in quotes",
		"big.toml":     "larger than",
		".hidden.toml": "no such file",
	} {
		_, err := Load(name)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("Load(%q) = %v, want %q", name, err, want)
		}
	}
	if _, err := Load("elsewhere"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("Load of nothing = %v, want fs.ErrNotExist", err)
	}
	if _, err := Parse("x", bytes.Repeat([]byte("x"), MaxFile+1)); err == nil {
		t.Error("Parse takes more than MaxFile")
	}
}
