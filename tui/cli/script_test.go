package cli

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

// The scripts in testdata/script run the real command line in a fresh folder
// each, with a clock that stands still at FAKE_NOW (or 2026-03-01T09:00:00Z).

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"fettle": func() {
		env := System()
		env.Now = func() time.Time {
			now, err := time.Parse(time.RFC3339, os.Getenv("FAKE_NOW"))
			if err != nil {
				now = time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
			}
			if os.Getenv("TZ") != "" {
				now = now.In(zone(os.Getenv))
			}
			return now
		}
		os.Exit(Run(os.Args[1:], env))
	}})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:           filepath.Join("..", "..", "testdata", "script"),
		UpdateScripts: os.Getenv("FETTLE_UPDATE") != "",
		Setup: func(env *testscript.Env) error {
			env.Setenv("FETTLE_STATE", filepath.Join(env.WorkDir, ".state"))
			env.Setenv("FETTLE_CONFIG", filepath.Join(env.WorkDir, ".config"))
			env.Setenv("FETTLE_JOBS", env.WorkDir)
			env.Setenv("HOME", env.WorkDir)
			refits, err := filepath.Abs(filepath.Join("..", "..", "testdata", "refit"))
			env.Setenv("REFITS", refits)
			return err
		},
	})
}
