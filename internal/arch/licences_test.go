package arch

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the list of licences")

// licencesFile lists what ships in the program, and under which licence.
const licencesFile = "../../docs/licences.md"

// texts are sentences that a licence's own text has and no other's.
var texts = []struct{ licence, says string }{
	{"Apache-2.0", "Apache License Version 2.0"},
	{"MPL-2.0", "Mozilla Public License Version 2.0"},
	{"GPL", "GNU GENERAL PUBLIC LICENSE"},
	{"BSD-3-Clause", "Neither the name of"},
	{"BSD-2-Clause", "Redistribution and use in source and binary forms"},
	{"ISC", "Permission to use, copy, modify, and/or distribute this software"},
	{"Unlicense", "This is free and unencumbered software released into the public domain"},
	{"MIT", "Permission is hereby granted, free of charge, to any person obtaining a copy"},
}

// ships are the licences under which something may ship: open ones that ask for
// no more than to be named.
var ships = []string{"Apache-2.0", "BSD-3-Clause", "BSD-2-Clause", "ISC", "MIT", "Unlicense"}

// TestLicences: every module that is built into the program carries the text of
// a licence that lets it ship, and the list says which.
func TestLicences(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "-f",
		"{{with .Module}}{{if not .Main}}{{.Path}}\t{{.Dir}}{{end}}{{end}}",
		"undertray.example/undertray/cmd/undertray").Output()
	if err != nil {
		t.Fatal(err)
	}
	modules := strings.Split(strings.TrimSpace(string(out)), "\n")
	modules = slices.DeleteFunc(modules, func(m string) bool { return m == "" })
	slices.Sort(modules)
	modules = slices.Compact(modules)
	var list strings.Builder
	list.WriteString("# Licences\n\nWhat is built into the program beside Go's own library (BSD-3-Clause), and the " +
		"licence whose text it carries.\n" +
		"`go test ./internal/arch -run Licences -update` writes this list.\n\n| module | licence |\n|---|---|\n")
	for _, m := range modules {
		path, dir, _ := strings.Cut(m, "\t")
		licence := licenceOf(t, dir)
		if !slices.Contains(ships, licence) {
			t.Errorf("%s: licence %q", path, licence)
		}
		fmt.Fprintf(&list, "| %s | %s |\n", path, licence)
	}
	if len(modules) < 10 {
		t.Errorf("only %d modules were found", len(modules))
	}
	if *update {
		if err := os.WriteFile(licencesFile, []byte(list.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(licencesFile)
	if err != nil || string(want) != list.String() {
		t.Errorf("%s does not say what ships (%v): run this test with -update and look at the difference",
			licencesFile, err)
	}
}

// licenceOf returns the licence whose text lies in a module's folder, or "".
func licenceOf(t *testing.T, dir string) string {
	t.Helper()
	for _, pattern := range []string{"LICENSE*", "LICENCE*", "COPYING*", "License*", "UNLICENSE*"} {
		names, err := filepath.Glob(filepath.Join(dir, pattern))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			src, err := os.ReadFile(name)
			if err != nil {
				continue // a folder
			}
			text := strings.Join(strings.Fields(string(src)), " ")
			for _, l := range texts {
				if strings.Contains(text, l.says) {
					return l.licence
				}
			}
		}
	}
	return ""
}
