package yamltree

import (
	"bytes"
	"regexp"
	"strings"
)

// SetTop puts a line "key: value" in the place of what a YAML file says under one of its
// top keys, and takes that away for no value. All else stays as it is written, comments
// and order too. A key that is not there yet goes behind the first of those named, or to
// the end. Text must be a block mapping at its top, as settings and sheets are.
func SetTop(text []byte, key, value string, behind ...string) []byte {
	lines := bytes.SplitAfter(text, []byte("\n"))
	line := ""
	if value != "" {
		line = key + ": " + value + "\n"
	}
	if from, to := topBlock(lines, key); from < to {
		note := remark.FindString(string(bytes.TrimRight(lines[from], "\r\n")))
		if note != "" && to == from+1 && line != "" {
			line = strings.TrimSuffix(line, "\n") + note + "\n"
		}
		return joined(lines[:from], line, lines[to:])
	}
	at := len(lines)
	for _, k := range behind {
		if from, to := topBlock(lines, k); from < to {
			at = to
			break
		}
	}
	if at > 0 && len(lines[at-1]) > 0 && !bytes.HasSuffix(lines[at-1], []byte("\n")) && line != "" {
		line = "\n" + line
	}
	return joined(lines[:at], line, lines[at:])
}

// remark is a comment behind a value.
var remark = regexp.MustCompile(`\s+#.*$`)

// topBlock is where a top key stands, with all that belongs to it: from, up to to.
func topBlock(lines [][]byte, key string) (from, to int) {
	for i, l := range lines {
		if !bytes.HasPrefix(l, []byte(key+":")) {
			continue
		}
		end := i + 1
		for j := end; j < len(lines); j++ {
			switch l := lines[j]; {
			case len(bytes.TrimSpace(l)) == 0:
				continue
			case l[0] == ' ' || l[0] == '\t' || l[0] == '-' && !bytes.HasPrefix(l, []byte("---")):
				end = j + 1
				continue
			}
			break
		}
		return i, end
	}
	return 0, 0
}

func joined(before [][]byte, line string, after [][]byte) []byte {
	return bytes.Join([][]byte{bytes.Join(before, nil), []byte(line), bytes.Join(after, nil)}, nil)
}
