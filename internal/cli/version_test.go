package cli

import (
	"runtime/debug"
	"strings"
	"testing"
)

// TestVersion: the words name what the build wrote down, and say so where it wrote nothing.
func TestVersion(t *testing.T) {
	build := &debug.BuildInfo{Main: debug.Module{Version: "v1.2.3"}, Settings: []debug.BuildSetting{
		{Key: "vcs.revision", Value: "0123456789abcdef"}, {Key: "vcs.time", Value: "2026-11-30T12:00:00Z"},
		{Key: "vcs.modified", Value: "true"}}}
	want := "undertray v1.2.3\n" +
		"revision 0123456789ab of 2026-11-30T12:00:00Z, with changes that were not committed\nbuilt by go"
	if got := versionWords(build, true); !strings.HasPrefix(got, want) {
		t.Errorf("%q, want %q and more", got, want)
	}
	if got := versionWords(&debug.BuildInfo{Main: debug.Module{Version: "(devel)"}}, true); !strings.HasPrefix(got,
		"undertray development\nbuilt by go") {
		t.Errorf("%q", got)
	}
	if got := versionWords(nil, false); !strings.HasPrefix(got, "undertray not known\n") {
		t.Errorf("%q", got)
	}
}
