package catalogue

import "strings"

// join extends a path.
func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// lastKey returns the last part of a path that is not an index.
func lastKey(path string) string {
	parts := strings.Split(path, ".")
	for i := len(parts) - 1; i >= 0; i-- {
		if p := parts[i]; p != "" && (p[0] < '0' || p[0] > '9') {
			return p
		}
	}
	return "the file"
}
