package tui

import (
	"bytes"
	"path/filepath"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist/job"
	"fettle/tui/paint"
)

// paper writes something of the job to a file that can be printed. It proposes
// a file in the job's folder, where everybody on the job finds it.
func (m *model) paper(name, file string, put func(*job.Job) *job.Record) tea.Cmd {
	j := m.work.job
	if j == nil {
		m.say(paint.InkNote, "A preview: there is nothing to print.")
		return nil
	}
	e := newEntry(m, name, "Write it where?", nil)
	e.word = "Write it"
	e.about = []string{"A page for a browser, which prints it. A name that ends in .md makes plain text of it. What was written there before is replaced."}
	e.judge = func(text string) verdict {
		if !paperKind(text) {
			return verdict{refused: true, ink: paint.InkCaution, text: "A file whose name ends in .html or .md."}
		}
		return verdict{}
	}
	e.accept = func(text string) tea.Cmd {
		path, env := m.typedPath(text), m.opt.Env
		return m.keeper.later(func() tea.Msg {
			var b bytes.Buffer
			r := put(j)
			write := r.WriteHTML
			if strings.HasSuffix(path, ".md") {
				write = r.WriteMarkdown
			}
			err := write(&b)
			if err == nil {
				err = job.WriteFile(path, b.Bytes(), env)
			}
			return onPaper{e, path, err}
		})
	}
	e.start(m.path(filepath.Join(j.Dir(), file)))
	m.push(e)
	return nil
}

// paperKind tells whether a file's name says which kind of paper it is.
func paperKind(name string) bool {
	ext := filepath.Ext(strings.Trim(name, `'" `))
	return ext == ".html" || ext == ".md"
}

// onPaper is whether the file was written.
type onPaper struct {
	e    *entry
	path string
	err  error
}

func (p onPaper) settle(m *model) tea.Cmd {
	if p.err != nil {
		p.e.failed = "Not written: " + p.err.Error() + "."
		return nil
	}
	if m.top() != screen(p.e) {
		m.say(paint.InkDone, "Written: "+m.path(p.path))
		return nil
	}
	m.drop(p.e)
	about := "Open it in a browser and print it from there, or copy it to a telephone."
	if strings.HasSuffix(p.path, ".md") {
		about = "It is plain text."
	}
	m.push(newPage(m, "Written", m.path(p.path), about))
	return nil
}
