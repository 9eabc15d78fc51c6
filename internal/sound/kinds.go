package sound

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"net/http"
	"strings"
	"unicode/utf8"

	"undertray.example/undertray/internal/message"
)

var order = binary.LittleEndian

// kind is a sort of file, known by how it begins.
type kind struct {
	name   message.Text // within a sentence
	demux  string       // reader of ffmpeg that is to read it, and no other
	at     int
	begins string
	read   func(context.Context, *file, *kind) (*Sound, error)
}

// kinds are those with a mark of their own; the marks are those of the formats'
// specifications (from memory, checked in tests against files of ffmpeg).
var kinds []kind

func init() {
	kinds = []kind{
		{"RF64 file", "wav", 0, "RF64", readOther},
		{"RF64 file", "wav", 0, "BW64", readOther},
		{"WAV file", "wav", 8, "WAVE", readWAV},
		{"AIFF file", "aiff", 8, "AIFF", readAIFF},
		{"AIFF file", "aiff", 8, "AIFC", readAIFF},
		{"CAF file", "caf", 0, "caff", readCAF},
		{"FLAC file", "flac", 0, "fLaC", readFLAC},
		{"Ogg file", "ogg", 0, "OggS", readOgg},
		{"MP4 file", "mov", 4, "ftyp", readOther},
		{"QuickTime file", "mov", 4, "moov", readOther},
		{"QuickTime file", "mov", 4, "mdat", readOther},
		{"QuickTime file", "mov", 4, "wide", readOther},
		{"WebM file", "matroska", 0, "\x1a\x45\xdf\xa3", readOther},
		{"AMR file", "amr", 0, "#!AMR", readOther},
		{"WMA file", "asf", 0, "\x30\x26\xb2\x75\x8e\x66\xcf\x11", readOther},
		{"AVI file", "avi", 8, "AVI ", readOther},
		{"Wave64 file", "w64", 0, "riff\x2e\x91\xcf\x11", readOther},
		{"AU file", "au", 0, ".snd", readOther},
		{"WavPack file", "wv", 0, "wvpk", readOther},
		{"MPEG film", "mpeg", 0, "\x00\x00\x01\xba", readOther},
	}
}

// recognise says what a file is by its beginning; one that is not read here has
// no reader and a name that says what it looks like.
func recognise(head []byte) *kind {
	for i := range kinds {
		k := &kinds[i]
		if len(head) >= k.at && bytes.HasPrefix(head[k.at:], []byte(k.begins)) {
			return k
		}
	}
	if k := mpegAudio(head); k != nil {
		return k
	}
	if len(head) > 188 && head[0] == 0x47 && head[188] == 0x47 {
		return &kind{name: "MPEG film", demux: "mpegts", read: readOther}
	}
	return &kind{name: looksLike(head)}
}

// mpegAudio knows MP3 and bare AAC by an ID3 tag or by two frames one after the
// other (ISO/IEC 11172-3 and 13818-7, from memory).
func mpegAudio(head []byte) *kind {
	if bytes.HasPrefix(head, []byte("ID3")) {
		if at := id3(head); at > 0 && at+4 <= len(head) {
			switch {
			case bytes.HasPrefix(head[at:], []byte("fLaC")):
				return &kind{name: "FLAC file", demux: "flac", read: readFLAC}
			case head[at] == 0xff && head[at+1]&0xf6 == 0xf0:
				return &kind{name: "AAC file", demux: "aac", read: readOther}
			}
		}
		return &kind{name: "MP3 file", demux: "mp3", read: readOther}
	}
	if len(head) < 7 || head[0] != 0xff {
		return nil
	}
	if head[1]&0xf6 == 0xf0 { // ADTS
		n := int(head[3]&3)<<11 | int(head[4])<<3 | int(head[5])>>5
		if n >= 7 && (n+1 >= len(head) || head[n] == 0xff && head[n+1]&0xf6 == 0xf0) {
			return &kind{name: "AAC file", demux: "aac", read: readOther}
		}
		return nil
	}
	if head[1]&0xe0 == 0xe0 && head[1]&0x06 != 0 && head[1]&0x18 != 0x08 && head[2]&0xf0 != 0xf0 &&
		head[2]&0x0c != 0x0c {
		return &kind{name: "MP3 file", demux: "mp3", read: readOther}
	}
	return nil
}

// id3 is the length of an ID3 tag at the beginning, header included.
func id3(head []byte) int {
	if len(head) < 10 {
		return 0
	}
	n := 0
	for _, b := range head[6:10] {
		n = n<<7 | int(b&0x7f)
	}
	return n + 10
}

// looksLike says in words what a file that is no sound begins like.
func looksLike(head []byte) message.Text {
	switch t := http.DetectContentType(head); {
	case strings.HasPrefix(t, "image/"):
		return message.Of("it is a picture (%s)", strings.ToUpper(strings.TrimPrefix(t, "image/")))
	case t == "application/pdf":
		return "it is a PDF"
	case strings.Contains(t, "zip"):
		return "it is a packed archive; unpack it first"
	case strings.HasPrefix(t, "text/html"):
		return "it is a web page"
	case strings.HasPrefix(t, "text/") && utf8.Valid(bytes.ToValidUTF8(head, nil)):
		return "it is text"
	}
	if len(bytes.Trim(head, "\x00")) == 0 {
		return "it holds nothing but zeros"
	}
	begins := fmt.Sprintf("% x", head[:min(8, len(head))])
	return message.Of("it begins with %s, which no sound file read here does", begins)
}
