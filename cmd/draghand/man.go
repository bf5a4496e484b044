package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

func manCommand(w world) *cobra.Command {
	var to string
	cmd := &cobra.Command{
		Use:   "man [--to DIR]",
		Short: "the manual pages",
		Long: `man prints the main manual page, which names all verbs. With --to it writes that
page and one for every verb into a folder.

The pages depend on the program alone; SOURCE_DATE_EPOCH sets their date.`,
		Example: `  draghand man | man -l -
  draghand man --to ~/.local/share/man/man1`,
		Args: none,
		RunE: func(cmd *cobra.Command, _ []string) error {
			date, err := pageDate(w.getenv("SOURCE_DATE_EPOCH"))
			if err != nil {
				return err
			}
			root := cmd.Root()
			plainPages(root)
			header := doc.GenManHeader{Section: "1", Date: &date, Source: "draghand " + version(), Manual: "draghand"}
			if to == "" {
				var b bytes.Buffer
				if err := doc.GenMan(root, &header, &b); err != nil {
					return failf(exitFailed, "this is a fault in the program", "make a manual page: %w", err)
				}
				_, err := w.out.Write(b.Bytes())
				return err
			}
			if err := os.MkdirAll(to, 0o755); err != nil {
				return failf(exitSave, "choose another folder", "write the manual pages: %w", err)
			}
			if err := doc.GenManTree(root, &header, to); err != nil {
				return failf(exitSave, "choose another folder, or free this one", "write the manual pages: %w", err)
			}
			pages, err := filepath.Glob(filepath.Join(to, "draghand*.1"))
			if err != nil {
				return err
			}
			fmt.Fprintf(w.out, "%d manual pages in %s; read one with: man -l %s\n", len(pages), clean(to), clean(filepath.Join(to, "draghand.1")))
			return nil
		},
	}
	cmd.Flags().StringVar(&to, "to", "", "write the pages of all verbs into this folder (default: print the main page)")
	return cmd
}

// pagesOf is the date on the pages where nothing sets another: that of this
// version, so that two builds of it give the same pages.
func pagesOf() time.Time { return time.Date(2026, time.November, 25, 0, 0, 0, 0, time.UTC) }

// pageDate reads SOURCE_DATE_EPOCH, seconds since 1970 (reproducible-builds.org).
func pageDate(epoch string) (time.Time, error) {
	if epoch == "" {
		return pagesOf(), nil
	}
	s, err := strconv.ParseInt(epoch, 10, 64)
	t := time.Unix(s, 0).UTC()
	if err != nil || t.Year() < 1970 || t.Year() > 9999 {
		return t, failf(exitUsage, "set it to seconds since 1970, or not at all", "SOURCE_DATE_EPOCH=%q is no date", epoch)
	}
	return t, nil
}

// plainPages takes out of the pages what depends on who calls and what speaks of
// the generator.
func plainPages(cmd *cobra.Command) {
	cmd.DisableAutoGenTag = true
	if f := cmd.PersistentFlags().Lookup("no-color"); f != nil {
		f.DefValue = "false" // NO_COLOR may have set it
	}
	for _, c := range cmd.Commands() {
		plainPages(c)
	}
}
