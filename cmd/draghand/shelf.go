package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"

	"github.com/adrg/xdg"

	"draghand/internal/shelf"
)

// listShelf lists the records of the shelf, by what its cache still knows.
func (c *common) listShelf(ctx context.Context) ([]shelf.Entry, error) {
	return listFolder(ctx, c.shelf())
}

// listFolder lists the records in any folder, by what its cache still knows.
func listFolder(ctx context.Context, dir string) ([]shelf.Entry, error) {
	return shelf.List(ctx, dir, shelf.Options{Cache: shelfCache(dir)})
}

// shelfCache is the file that holds what was listed of a shelf before, one a folder, in
// the cache folder of the account; empty: there is none.
func shelfCache(dir string) string {
	abs, err := filepath.Abs(dir)
	if err != nil || !filepath.IsAbs(xdg.CacheHome) {
		return ""
	}
	sum := sha256.Sum256([]byte(abs))
	return filepath.Join(xdg.CacheHome, "draghand", "shelf-"+hex.EncodeToString(sum[:8]))
}
