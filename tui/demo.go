package tui

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/tui/paint"
)

// DemoName is the folder of the demo among the jobs.
const DemoName = "bramble-demo"

// LayDemo lays the demo down as the job in dir: an invented engine half-way
// through a refit, with its history. told is the story, recipes holds its
// procedure; dir must not be there yet.
func LayDemo(dir string, told []byte, recipes fs.FS, env job.Env) error {
	story, err := job.ReadStory(told)
	if err != nil {
		return err
	}
	src, err := fs.ReadFile(recipes, story.Procedure)
	if err != nil {
		return err
	}
	proc, found := checklist.Read(story.Procedure, src)
	if found.HasStop() {
		return errors.New(found[0].Message)
	}
	above := filepath.Dir(dir)
	refuse := func(err error) error {
		return &job.FolderError{Dir: above, Problem: "the demo cannot be laid down there: it " + job.Trouble(err), Err: err}
	}
	if err := os.MkdirAll(above, 0o777); err != nil {
		return refuse(err)
	}
	// Beside the job's place: from there it can be renamed into it.
	backstage, err := os.MkdirTemp(above, ".demo-")
	if err != nil {
		return refuse(err)
	}
	// What cannot be tidied away lies hidden beside the demo and hurts nobody: the demo is
	// laid down or it is not, whatever becomes of that.
	defer os.RemoveAll(backstage)
	var disk *job.FolderError
	if err := story.Play(dir, backstage, proc, checklist.NewLibrary(recipes), env); errors.As(err, &disk) && disk.Err != nil && !errors.Is(err, fs.ErrExist) {
		return refuse(disk.Err)
	} else if err != nil {
		return err
	}
	return nil
}

// layDemo lays the demo down among the jobs and opens it.
func (m *model) layDemo() tea.Cmd {
	o, dir := m.opt, filepath.Join(m.opt.Jobs, DemoName)
	m.say(paint.InkQuiet, "Laying down the demo")
	return m.keeper.later(func() tea.Msg {
		return demoLaid{dir, LayDemo(dir, o.Demo, o.Recipes, o.Env)}
	})
}

// demoLaid is the folder of the demo, or why it is not there.
type demoLaid struct {
	dir string
	err error
}

func (d demoLaid) settle(m *model) tea.Cmd {
	m.foot = note{}
	if d.err != nil {
		m.push(newPage(m, "There is no demo", d.err.Error()))
		return nil
	}
	return tea.Batch(m.openJob(d.dir), m.reread())
}
