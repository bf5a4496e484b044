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
	return shelf.List(ctx, c.shelf(), shelf.Options{Cache: shelfCache(c.shelf())})
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
