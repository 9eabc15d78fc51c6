// Command manpages writes the manual pages of undertray, one for each command, made from what
// its help says, into a folder:
//
//	go run ./cmd/manpages DIR
//
// SOURCE_DATE_EPOCH sets the day they bear, so that they can be made alike again.
package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra/doc"

	"undertray.example/undertray/internal/cli"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "manpages: called as: go run ./cmd/manpages DIR")
		os.Exit(2)
	}
	if err := write(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "manpages:", err)
		os.Exit(1)
	}
}

// write writes all pages into a folder, which is made.
func write(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	head := doc.GenManHeader{Section: "1", Source: "undertray", Manual: "Undertray"}
	return doc.GenManTree(cli.Commands(), &head, dir)
}
