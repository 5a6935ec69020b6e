package cli

import (
	"errors"
	"fettle/checklist/job"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

const jobsHelp = "folder that holds the jobs (default: $FETTLE_JOBS, else ./jobs)"

// whole is a path from the root, or as it is where that cannot be told.
func whole(dir string) string {
	if abs, err := filepath.Abs(dir); err == nil {
		return abs
	}
	return dir
}

// jobsDir is the folder that holds the jobs: the one named on the command
// line, else the one in FETTLE_JOBS, else jobs in the folder fettle was
// started in, where a person looks for it and a sync tool can carry it. Jobs
// that lie directly in that folder are shown as well: commands put them there.
func jobsDir(env Env, named string) (dir, beside string) {
	if named != "" {
		return named, ""
	}
	if dir := env.Getenv("FETTLE_JOBS"); dir != "" {
		return dir, ""
	}
	return "jobs", "."
}

// folder is the job's folder: the one named, or the nearest that is a job.
func (c *jobCommands) folder() (string, error) {
	if c.dir != "" {
		return existing(c.env, c.jobs, c.dir)
	}
	here, err := os.Getwd()
	if err != nil {
		return "", unreadable(err)
	}
	for dir := here; ; dir = filepath.Dir(dir) {
		if info, err := os.Lstat(filepath.Join(dir, "job.toml")); err == nil && info.Mode().IsRegular() {
			return dir, nil
		}
		if dir == filepath.Dir(dir) {
			return "", usage(errors.New("this folder is in no job: name one with --job DIR (\"fettle job list\" finds them)"))
		}
	}
}

// newFolder is where a job that is named comes to lie: what holds a separator is a
// path, and so is the name of a folder that is here; any other is a name among the
// jobs of the bench screen.
func (c *jobCommands) newFolder() string {
	if c.dir == "" || filepath.Base(c.dir) != c.dir || c.dir == "." || c.dir == ".." {
		return c.dir
	}
	if _, err := os.Lstat(c.dir); err == nil {
		return c.dir
	}
	jobs, _ := jobsDir(c.env, c.jobs)
	return filepath.Join(jobs, c.dir)
}

// existing is the folder that is named, or where there is none of that name here,
// the job of that name among those of the bench screen, which lie in jobs or where
// jobsDir says. Only a folder in which this device has saved something is told as
// gone: any other was misspelt, and nobody is to be frightened.
func existing(env Env, jobs, dir string) (string, error) {
	if _, err := os.Lstat(dir); !errors.Is(err, fs.ErrNotExist) {
		return dir, nil
	}
	jobs, _ = jobsDir(env, jobs)
	places := []string{dir}
	if !filepath.IsAbs(dir) {
		there := filepath.Join(jobs, dir)
		if info, err := os.Lstat(filepath.Join(there, "job.toml")); err == nil && info.Mode().IsRegular() {
			return there, nil
		}
		places = append(places, there)
	}
	for _, place := range places {
		if _, err := job.Open(place, job.Env{Now: env.Now, StateDir: env.StateDir}); errors.Is(err, job.ErrLost) {
			return "", unreadable(err)
		}
	}
	return "", unreadable(fmt.Errorf("there is no folder %s, neither here nor in %s. \"fettle job list DIR\" names the jobs in a folder",
		job.Plain(dir), job.Plain(jobs)))
}
