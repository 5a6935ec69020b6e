package cli

import (
	"io"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"time"
)

// Env is everything a command takes from outside: streams, clock, environment
// and the two folders that belong to this user on this device.
type Env struct {
	Stdin          io.Reader
	Stdout, Stderr io.Writer
	Getenv         func(string) string
	Now            func() time.Time
	// ConfigDir holds what the user writes: workshop.toml (own drills, taps, spanners).
	ConfigDir string
	// StateDir holds what the program keeps: the device's name and the private
	// copy of every entry made on it. Never synced, never inside a job folder.
	StateDir string
}

// System is the environment of the real program.
func System() Env {
	// A look-up needs no clock, so nothing is asked before the first one does.
	here := sync.OnceValue(func() *time.Location { return zone(os.Getenv) })
	return Env{
		Stdin: os.Stdin, Stdout: os.Stdout, Stderr: os.Stderr,
		Getenv:    os.Getenv,
		Now:       func() time.Time { return time.Now().In(here()) },
		ConfigDir: configDir(os.Getenv),
		StateDir:  stateDir(os.Getenv),
	}
}

func configDir(getenv func(string) string) string {
	if dir := getenv("FETTLE_CONFIG"); dir != "" {
		return dir
	}
	dir, err := os.UserConfigDir()
	if err != nil {
		return ""
	}
	return filepath.Join(dir, "fettle")
}

// stateDir follows each system's own place for state that is not settings:
// XDG_STATE_HOME on Unix, the local application data elsewhere.
func stateDir(getenv func(string) string) string {
	if dir := getenv("FETTLE_STATE"); dir != "" {
		return dir
	}
	switch runtime.GOOS {
	case "windows":
		if dir := getenv("LocalAppData"); dir != "" {
			return filepath.Join(dir, "fettle")
		}
	case "darwin":
		if home, err := os.UserHomeDir(); err == nil {
			return filepath.Join(home, "Library", "Application Support", "fettle")
		}
	default:
		if dir := getenv("XDG_STATE_HOME"); filepath.IsAbs(dir) {
			return filepath.Join(dir, "fettle")
		}
		if home, err := os.UserHomeDir(); err == nil {
			return filepath.Join(home, ".local", "state", "fettle")
		}
	}
	return ""
}
