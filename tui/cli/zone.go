package cli

import (
	"strings"
	"time"
	_ "time/tzdata" // a tablet has no zones on its disk

	"github.com/thlib/go-timezone-local/tzlocal"
)

// zone is the time zone of this device, by a name that other devices know: from TZ,
// else as the system says it. A job keeps it. Where there is no such name it is the
// zone that Go found, and no job keeps that.
func zone(getenv func(string) string) *time.Location {
	names := []func() string{
		func() string { return strings.TrimPrefix(getenv("TZ"), ":") },
		systemZone,
		func() string { name, _ := tzlocal.LocalTZ(); return name },
	}
	for _, ask := range names {
		if name := ask(); name != "" && name != "Local" {
			if at, err := time.LoadLocation(name); err == nil {
				return at
			}
		}
	}
	if time.Local.String() == time.UTC.String() {
		return time.FixedZone("", 0) // Go found none either, and calls that UTC
	}
	return time.Local
}
