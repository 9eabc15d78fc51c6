package journal

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
)

// scratch keeps what took long to work out under a digest of all that it was worked out
// from and of the program that did: nothing is ever found that was made of something
// else. It is kept in memory and in a file beside the folds, a line each with a checksum.
// It is disposable: of what is lost or spoilt nothing is found, and it is worked out anew.
type scratch struct {
	path string // "": in memory alone

	mu   sync.Mutex
	read bool
	kept map[string][]byte
}

const (
	scratchFile = "learnt"
	// mostScratch is how many lines are kept, of about 200 bytes each. One more, and all
	// are given up: what is still asked for soon stands there again.
	mostScratch = 4000
)

// scratchIn keeps in the folder of a yard; "": in memory alone.
func scratchIn(dir string) *scratch {
	s := &scratch{kept: map[string][]byte{}}
	if dir != "" && Program() != "" {
		s.path = filepath.Join(dir, keptFolder, scratchFile)
	}
	return s
}

func scratchKey(from string) string {
	return fmt.Sprintf("%x", sha256.Sum256(fmt.Appendf(nil, "%q %s", Program(), from)))
}

func scratchLine(key string, what []byte) []byte {
	return fmt.Appendf(nil, "%s %x %s\n", key, sha256.Sum256(append([]byte(key), what...)), what)
}

// Recall returns what Remember kept under the same, or nil. Nobody changes it.
func (s *scratch) Recall(from string) []byte {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.load()
	return s.kept[scratchKey(from)]
}

// Remember keeps what was worked out from something; it holds no line break.
func (s *scratch) Remember(from string, what []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.load()
	how := os.O_APPEND
	if len(s.kept) >= mostScratch {
		clear(s.kept)
		how = os.O_TRUNC
	}
	key := scratchKey(from)
	s.kept[key] = what
	if s.path == "" || bytes.ContainsRune(what, '\n') || os.MkdirAll(filepath.Dir(s.path), 0o700) != nil {
		return
	}
	file, err := os.OpenFile(s.path, os.O_CREATE|os.O_WRONLY|how, 0o600)
	if err != nil {
		return
	}
	_, _ = file.Write(scratchLine(key, what)) // a line that is not whole is not found
	_ = file.Close()
}

// load reads the file, once. The caller holds the lock.
func (s *scratch) load() {
	if s.read {
		return
	}
	s.read = true
	file, err := os.Open(s.path)
	if s.path == "" || err != nil {
		return
	}
	defer file.Close()
	for lines := bufio.NewScanner(file); lines.Scan(); {
		key, rest, _ := strings.Cut(lines.Text(), " ")
		_, what, _ := strings.Cut(rest, " ")
		if string(scratchLine(key, []byte(what))) == lines.Text()+"\n" {
			s.kept[key] = []byte(what)
		}
	}
}
