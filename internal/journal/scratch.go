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
	size int // of all that is kept, in bytes
}

const (
	scratchFile = "learnt"
	// mostScratch is how many lines are kept, and mostBytes how much they hold: a plan of
	// three vehicles takes 60 kB. One more, and all are given up: what is still asked for
	// soon stands there again.
	mostScratch, mostBytes = 4000, 8 << 20
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
	if len(s.kept) >= mostScratch || s.size+len(what) > mostBytes {
		clear(s.kept)
		s.size, how = 0, os.O_TRUNC
	}
	key := scratchKey(from)
	s.put(key, what)
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

func (s *scratch) put(key string, what []byte) {
	s.size += len(what) - len(s.kept[key])
	s.kept[key] = what
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
	lines := bufio.NewScanner(file)
	lines.Buffer(nil, mostBytes)
	for lines.Scan() {
		key, rest, _ := strings.Cut(lines.Text(), " ")
		_, what, _ := strings.Cut(rest, " ")
		if string(scratchLine(key, []byte(what))) == lines.Text()+"\n" {
			s.put(key, []byte(what))
		}
	}
}
