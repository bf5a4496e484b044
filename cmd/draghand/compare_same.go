package main

import (
	"path/filepath"

	"draghand/internal/compare"
	"draghand/internal/finish"
	"draghand/internal/record"
)

// pullOf is a recomputed record as a comparison takes it, with what tells it from
// others: where it lies, whatever way led there, and what was read.
func pullOf(r *finish.Reckoned) compare.Pull {
	if r.Rec == nil {
		p := compare.Unreadable(r.Dir, r.Err)
		p.Place = trueFolder(r.Dir)
		return p
	}
	p := compare.PullOf(r.Rec, r.Results, r.Damage)
	p.Place = trueFolder(r.Dir)
	if p.Read == "" {
		if sum, err := r.Rec.SamplesSum(); err == nil { // else its damage is told
			p.Identify(&r.Rec.Head, sum)
		}
	}
	return p
}

// printOf tells what was read of a record from what was of others; empty where nobody
// knows.
func printOf(dir string) string {
	rec, err := record.Open(dir)
	if err != nil {
		return ""
	}
	sum, err := rec.SamplesSum()
	if err != nil {
		return ""
	}
	return compare.Fingerprint(&rec.Head, sum)
}

// trueFolder is a folder from the root on, without links where they can be followed;
// empty where nobody knows where it is.
func trueFolder(dir string) string {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return ""
	}
	if real, err := filepath.EvalSymlinks(abs); err == nil {
		return real
	}
	return abs
}
