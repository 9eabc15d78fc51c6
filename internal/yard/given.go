package yard

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
)

// GivenFile holds what calendars were given out last, in the yard's folder. Without it visits that have moved since
// come as new ones.
const GivenFile = "calendar.json"

var giving sync.Mutex

// Give hands what is kept of calendars given out to a function, nil where nothing is, and keeps what that returns
// instead, nil for no change. Its errors are that function's, or of kind Unavailable.
func Give(dir string, give func(before []byte) (next []byte, err error)) error {
	giving.Lock()
	defer giving.Unlock()
	name := filepath.Join(dir, GivenFile)
	before, err := os.ReadFile(name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return unreadable(name, err)
	}
	next, err := give(before)
	if err != nil || next == nil {
		return err
	}
	return Replace(name, next, 0o600)
}
