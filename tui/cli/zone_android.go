package cli

import (
	"context"
	"os/exec"
	"strings"
	"time"
)

// systemZone asks Android, whose zone Go does not look for: it takes UTC instead.
func systemZone() string {
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	out, err := exec.CommandContext(ctx, "getprop", "persist.sys.timezone").Output()
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(out))
}
