package catalogue

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
)

// packName is the built-in catalogue in packed form. Its first line says which
// files it was made from and holds everything but the kinds; each further line
// is one kind as written, so that a kind can be decoded by itself.
const packName = "data/catalogue.pack"

// header is the first line of the packed form.
type header struct {
	Digest string   `json:"digest"`
	Kinds  []string `json:"kinds"`
	words
}

// digest identifies files by name and content.
func digest(files []File) string {
	h := sha256.New()
	for _, f := range files {
		fmt.Fprintf(h, "%s %d\n", f.Name, len(f.Source))
		h.Write(f.Source)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// unpack returns the catalogue in packed form, or nil if it was not made from
// the files with this digest.
func unpack(packed []byte, want string) *Catalogue {
	lines := bytes.Split(bytes.TrimSuffix(packed, []byte("\n")), []byte("\n"))
	var h header
	if err := json.Unmarshal(lines[0], &h); err != nil || h.Digest != want || len(h.Kinds) != len(lines)-1 {
		return nil
	}
	c := newCatalogue(h.words)
	for i, id := range h.Kinds {
		line := lines[i+1]
		c.put(id, func() *Kind {
			k := new(Kind)
			if err := json.Unmarshal(line, k); err != nil {
				panic("catalogue: the packed form of " + id + " cannot be read, run go generate: " + err.Error())
			}
			return k
		})
	}
	return c
}
