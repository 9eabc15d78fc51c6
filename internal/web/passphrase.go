package web

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/crypto/argon2"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yard"
)

// PassphraseFile is the name of the file in a yard's folder that holds the
// hash of the pass-phrase.
const PassphraseFile = "passphrase"

// Parameters of argon2id: the second recommended option of RFC 9106, section
// 4, for machines short of memory: 3 passes over 64 MiB, 4 lanes, a salt of
// 128 bit and a tag of 256 bit.
const (
	hashPasses = 3
	hashMemory = 64 << 10 // KiB
	hashLanes  = 4
	saltSize   = 16
	tagSize    = 32
)

// leastPassphrase is how many characters a pass-phrase has at least; longest
// keeps hashing from being handed more than a form's worth.
const (
	leastPassphrase   = 12
	longestPassphrase = 1024
)

// HashPassphrase returns the argon2id hash of a pass-phrase with a fresh salt,
// in the usual text form "$argon2id$v=19$m=65536,t=3,p=4$salt$tag". A
// pass-phrase of fewer than 12 characters is refused with a *fleet.Error.
func HashPassphrase(phrase string) (string, error) {
	if n := len([]rune(phrase)); n < leastPassphrase || len(phrase) > longestPassphrase {
		return "", &fleet.Error{Kind: fleet.Invalid, Msg: message.Of("the pass-phrase has %d characters", n),
			Hint: message.Of("take at least %d: four or five words that do not belong together", leastPassphrase)}
	}
	salt := make([]byte, saltSize)
	if _, err := rand.Read(salt); err != nil {
		return "", err
	}
	tag := argon2.IDKey([]byte(phrase), salt, hashPasses, hashMemory, hashLanes, tagSize)
	enc := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, hashMemory, hashPasses, hashLanes,
		enc.EncodeToString(salt), enc.EncodeToString(tag)), nil
}

// CheckPassphrase reports whether a pass-phrase is the one that was hashed.
// The time it takes does not depend on how much of it is right.
func CheckPassphrase(hash, phrase string) (bool, error) {
	salt, tag, err := splitHash(hash)
	if err != nil {
		return false, err
	}
	if len(phrase) > longestPassphrase {
		return false, nil
	}
	got := argon2.IDKey([]byte(phrase), salt, hashPasses, hashMemory, hashLanes, tagSize)
	return subtle.ConstantTimeCompare(got, tag) == 1, nil
}

// splitHash reads the text form. Only the parameters this program writes are
// taken, so that a changed file cannot make a login cost more.
func splitHash(hash string) (salt, tag []byte, err error) {
	broken := &fleet.Error{Kind: fleet.Invalid, Where: PassphraseFile,
		Msg:  "the file does not hold a pass-phrase's hash",
		Hint: "set the pass-phrase again with: undertray passphrase"}
	want := fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$", argon2.Version, hashMemory, hashPasses, hashLanes)
	rest, ok := strings.CutPrefix(hash, want)
	if !ok {
		return nil, nil, broken
	}
	a, b, _ := strings.Cut(rest, "$")
	salt, err1 := base64.RawStdEncoding.DecodeString(a)
	tag, err2 := base64.RawStdEncoding.DecodeString(b)
	if err1 != nil || err2 != nil || len(salt) != saltSize || len(tag) != tagSize {
		return nil, nil, broken
	}
	return salt, tag, nil
}

// ReadPassphrase returns the hash kept in a yard's folder, "" where there is
// none. A file that holds anything else is an error.
func ReadPassphrase(dir string) (string, error) {
	name := filepath.Join(dir, PassphraseFile)
	src, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	if err != nil {
		return "", &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: "the file cannot be read",
			Hint: "check that you may read it", Err: err}
	}
	hash := strings.TrimSpace(string(src))
	_, _, err = splitHash(hash)
	return hash, err
}

// WritePassphrase keeps a hash in a yard's folder, readable by its owner only.
func WritePassphrase(dir, hash string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return yard.Unwritable(dir, err)
	}
	return yard.Replace(filepath.Join(dir, PassphraseFile), []byte(hash+"\n"), 0o600)
}
