package cli

import (
	"runtime/debug"
	"strings"
)

// version says which build this is, as Go stamps it: the module's version, else
// the revision and its day.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	words := []string{info.Main.Version}
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision" && len(s.Value) >= 12 && !strings.Contains(info.Main.Version, s.Value[:12]):
			words = append(words, s.Value[:12])
		case s.Key == "vcs.time":
			words = append(words, s.Value)
		case s.Key == "vcs.modified" && s.Value == "true" && !strings.Contains(info.Main.Version, "+dirty"):
			words = append(words, "changed since")
		}
	}
	return strings.Join(append(words, info.GoVersion), " ")
}
