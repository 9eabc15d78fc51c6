package journal

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
)

// Sum is a checksum: the first 16 bytes of the SHA-256 of what it is of.
type Sum [16]byte

// SumOf returns the checksum of an entry's canonical form, as the journal keeps it.
func SumOf(body []byte) Sum { return sumOf(body) }

func sumOf(body []byte) Sum {
	full := sha256.Sum256(body)
	return Sum(full[:16])
}

// sum returns the checksum of what stands beside an attachment's content.
func (a *AttachmentInfo) sum() Sum {
	return sumOf(fmt.Appendf(nil, "%s\n%s\n%s\n%d", a.Hash, a.Name, a.Media, a.Size))
}

// with returns the checksum of a set of entries with one more: the order in
// which they are added does not matter.
func (s Sum) with(o Sum) Sum {
	for i := range s {
		s[i] ^= o[i]
	}
	return s
}

// MarshalText writes it in hexadecimal digits.
func (s Sum) MarshalText() ([]byte, error) { return hex.AppendEncode(nil, s[:]), nil }

// UnmarshalText reads what MarshalText writes.
func (s *Sum) UnmarshalText(text []byte) error {
	b, err := hex.DecodeString(string(text))
	if err != nil || len(b) != len(s) {
		return fmt.Errorf("%.40q is not a checksum of %d hexadecimal digits", text, 2*len(s))
	}
	copy(s[:], b)
	return nil
}

// String returns it in hexadecimal digits.
func (s Sum) String() string { return hex.EncodeToString(s[:]) }

// Head is what a journal held at some moment of its life: how many entries, and
// the digest of them all, which does not depend on their order. Two journals
// with equal heads hold the same entries.
type Head struct {
	Entries int64 `json:"entries"`
	Digest  Sum   `json:"digest"`
}

// With returns the head after one more entry.
func (h Head) With(body []byte) Head {
	return Head{h.Entries + 1, h.Digest.with(sumOf(body))}
}
