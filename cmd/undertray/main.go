// Command undertray keeps a few ageing vehicles dependable at home.
package main

import (
	"os"

	"undertray.example/undertray/internal/cli"
)

func main() {
	os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
