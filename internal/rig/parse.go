package rig

import "errors"

// Parse reads a rig file's text.
func Parse(name string, text []byte) (*Rig, error) { return nil, errors.New("not built yet") }

// Load reads a rig file.
func Load(path string) (*Rig, error) { return nil, errors.New("not built yet") }

// Validate checks a rig.
func (r *Rig) Validate() error { return nil }

// Example is the commented example.
func Example() string { return "" }
