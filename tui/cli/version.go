package cli

import (
	"runtime/debug"
	"slices"
	"strings"
)

// committed is the day of the commit that was built; "" where the build does not know.
func committed() string {
	info, _ := debug.ReadBuildInfo()
	if info == nil {
		return ""
	}
	for _, s := range info.Settings {
		if day, _, ok := strings.Cut(s.Value, "T"); ok && s.Key == "vcs.time" {
			return day
		}
	}
	return ""
}

// version says which build this is, as Go stamps it: the module's version, else
// the revision and its day, else that it is not known.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	words := []string{info.Main.Version}
	if !slices.ContainsFunc(info.Settings, func(s debug.BuildSetting) bool { return s.Key == "vcs.revision" }) && info.Main.Version == "(devel)" {
		words[0] = "unstamped" // built without what says which commit it is
	}
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
