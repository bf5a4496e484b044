package rig

import (
	_ "embed" // the example
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/adrg/xdg"
)

//go:embed example.toml
var example string

// Example is the commented rig file that a person starts from: a simulated rig
// of our own.
func Example() string { return example }

// Load reads a rig file by its path, or by its bare name from the folder
// draghand/rigs of the XDG config folders: "shop" is draghand/rigs/shop.toml.
// The error of a file that cannot be opened wraps fs.ErrNotExist or
// fs.ErrPermission; that of a bad one is a *FileError.
func Load(path string) (*Rig, error) {
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) && bareName(path) {
		named := filepath.Join("draghand", "rigs", strings.TrimSuffix(path, ".toml")+".toml")
		found, xerr := xdg.SearchConfigFile(named)
		if xerr != nil {
			return nil, fmt.Errorf("rig file %q is neither here nor at %s: %w", path, filepath.Join(xdg.ConfigHome, named), fs.ErrNotExist)
		}
		path = found
		file, err = os.Open(path)
	}
	if err != nil {
		return nil, fmt.Errorf("rig file: %w", err)
	}
	defer file.Close() //nolint:errcheck // only read
	text, err := io.ReadAll(io.LimitReader(file, MaxFile+1))
	if err != nil {
		return nil, fmt.Errorf("rig file: %w", err)
	}
	return Parse(path, text)
}

// bareName says whether the path is a name to look up: no folder, no dots that
// lead out of one.
func bareName(path string) bool {
	return path != "" && path == filepath.Base(path) && !strings.HasPrefix(path, ".")
}
