package catalogue

import (
	"cmp"

	"undertray/internal/yamltree"
)

// lastKey names the value under a path in messages.
func lastKey(path string) string { return cmp.Or(yamltree.LastKey(path), "the file") }
