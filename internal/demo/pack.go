package demo

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"

	"undertray.example/undertray/internal/fleet"
)

// packName is the stories' entries as JSON Lines behind a line with the digest
// of what they were told from. With the stories told anew the first page of the
// demo takes nearly twice as long (bench/pages.sh). The stories remain what is
// written and read by people; go generate packs them anew, and a test fails when
// that was forgotten.
const packName = "data/journal.pack"

//go:generate go test . -run TestPackIsCurrent -update

var errStale = errors.New("the packed journal was made from other stories")

// packed returns the entries as packed, or an error where the pack is missing
// or stale.
func packed() ([]*fleet.Entry, error) {
	src, err := data.ReadFile(packName)
	if err != nil {
		return nil, err
	}
	lines := bufio.NewScanner(bytes.NewReader(src))
	lines.Buffer(nil, 1<<20)
	want, err := digest()
	if err != nil {
		return nil, err
	}
	if !lines.Scan() || lines.Text() != want {
		return nil, errStale
	}
	var all []*fleet.Entry
	for lines.Scan() {
		e, err := fleet.DecodeStored(lines.Bytes())
		if err != nil {
			return nil, fmt.Errorf("%s: %w", packName, err)
		}
		all = append(all, e)
	}
	return all, lines.Err()
}

// digest identifies the stories and sheets by name and content.
func digest() (string, error) {
	h := sha256.New()
	err := fs.WalkDir(data, "data", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || name == packName {
			return err
		}
		src, err := data.ReadFile(name)
		if err != nil {
			return err
		}
		fmt.Fprintf(h, "%s %d\n", name, len(src))
		h.Write(src)
		return nil
	})
	return hex.EncodeToString(h.Sum(nil)), err
}
