package cli

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"
)

// versionWords say which program this is, as the build wrote it down: version, revision and its time, Go and machine.
func versionWords(build *debug.BuildInfo, ok bool) string {
	version, revision, of, changed := "not known", "", "", false
	if ok {
		if version = build.Main.Version; version == "" || version == "(devel)" {
			version = "development"
		}
		for _, s := range build.Settings {
			switch s.Key {
			case "vcs.revision":
				revision = s.Value[:min(12, len(s.Value))]
			case "vcs.time":
				of = s.Value
			case "vcs.modified":
				changed = s.Value == "true"
			}
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "undertray %s\n", version)
	if revision != "" {
		fmt.Fprintf(&b, "revision %s of %s", revision, of)
		if changed {
			b.WriteString(", with changes that were not committed")
		}
		b.WriteByte('\n')
	}
	fmt.Fprintf(&b, "built by %s for %s/%s\n", runtime.Version(), runtime.GOOS, runtime.GOARCH)
	return b.String()
}
