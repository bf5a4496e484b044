package rig

import (
	"os"
	"strings"
	"testing"
)

// TestDocs: docs/rig-file.md names every table and key, its whole file parses,
// and the messages it shows are those the program gives.
func TestDocs(t *testing.T) {
	text, err := os.ReadFile("../../docs/rig-file.md")
	if err != nil {
		t.Fatal(err)
	}
	doc := string(text)
	for table, list := range keys {
		head := "# [" + table + "]"
		if table == "limit" {
			head = "# [[limit]]"
		}
		_, section, ok := strings.Cut(doc, head+"\n")
		if !ok {
			t.Errorf("no section %q", head)
			continue
		}
		section, _, _ = strings.Cut(section, "\n## ")
		for _, k := range list {
			if !strings.Contains(section, "`"+k+"`") {
				t.Errorf("%s: key %s is not described", head, k)
			}
		}
	}
	blocks := 0
	for rest := doc; ; blocks++ {
		_, after, ok := strings.Cut(rest, "```toml\n")
		if !ok {
			break
		}
		var block string
		block, rest, _ = strings.Cut(after, "```")
		mustParse(t, block)
	}
	if blocks == 0 {
		t.Error("no whole file")
	}
	shown, err := os.ReadFile("testdata/TestFiveFaults.golden")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(doc) {
		if strings.HasPrefix(line, "five-faults.toml:") && !strings.Contains(string(shown), line) {
			t.Errorf("the message shown is none the program gives: %s", line)
		}
	}
}
