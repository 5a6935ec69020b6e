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

// surroundings are what the program takes from the environment, for help and manual.
func surroundings() [][2]string {
	return [][2]string{
		{"FETTLE_JOBS", "Folder that holds the jobs; else jobs in the folder the program is started in."},
		{"FETTLE_CONFIG", "Folder of workshop.toml, the list of own tools."},
		{"FETTLE_STATE", "Folder of what this device keeps: its name, and its own copy of every entry."},
		{"TZ", "Time zone of this device, such as Europe/London. A job keeps that of its start."},
		{"NO_COLOR", "Set to anything: no colours."},
	}
}

// keptFiles are the files that the program keeps, for the manual.
func keptFiles() [][2]string {
	return [][2]string{
		{"jobs/NAME/", "A job: job.toml, procedure.toml, a log for each device, photos."},
		{"~/.config/fettle/workshop.toml", "The list of own drills, taps and spanners."},
		{"~/.local/state/fettle/", "This device's own copy of every entry. Never share it between devices."},
	}
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
