//go:build !android

package cli

// systemZone is what only Android has to be asked.
func systemZone() string { return "" }
