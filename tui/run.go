package tui

import (
	"errors"
	"fettle/tui/terminal"
	"os"
	"os/signal"
	"runtime"
	"strings"
	"sync"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/mattn/go-isatty"
)

// ErrInterrupted says that the person left with ctrl+c.
var ErrInterrupted = errors.New("interrupted")

// lastSave is how long the program waits at its end for entries that are
// still on their way to the disk.
const lastSave = 3 * time.Second

// lastPicture is how long it waits for a slow terminal to take what restores it.
const lastPicture = time.Second

// Drawable says whether a screen can be drawn: input and output must be a
// terminal that knows more than lines. The error says what stands against it.
func Drawable(in, out *os.File, getenv func(string) string) error {
	term := getenv("TERM")
	switch {
	case !isTerminal(in) || !isTerminal(out):
		return errors.New("the bench screen needs a terminal, and this is none")
	case term == "dumb", term == "" && runtime.GOOS != "windows":
		return errors.New("the bench screen needs more than this terminal can do (TERM=" + term + ")")
	}
	return nil
}

func isTerminal(f *os.File) bool {
	return f != nil && (isatty.IsTerminal(f.Fd()) || isatty.IsCygwinTerminal(f.Fd()))
}

// OnlyASCII says whether the terminal's language settings leave nothing but
// ASCII to draw with: no UTF-8, or a language whose terminals draw lines and
// circles two cells wide.
func OnlyASCII(getenv func(string) string) bool {
	if runtime.GOOS == "windows" || runtime.GOOS == "android" {
		return false
	}
	locale := ""
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if locale = getenv(name); locale != "" {
			break
		}
	}
	lower := strings.ToLower(locale)
	for _, language := range []string{"ja", "zh", "ko"} {
		if strings.HasPrefix(lower, language) {
			return true
		}
	}
	return !strings.Contains(strings.ReplaceAll(lower, "-", ""), "utf8")
}

// Run shows the bench screen on the terminal in and out until the person
// leaves, the terminal goes away or the program is told to end. Everything
// that was shown as saved is on the disk by then.
func Run(o Options, in, out *os.File) error {
	if o.Renderer == nil {
		o.Renderer = lipgloss.NewRenderer(out)
	}
	m := newModel(o)
	filter := &terminal.Filter{Now: time.Now}

	var p *tea.Program
	gone := make(chan struct{})
	var once sync.Once
	leave := func() { once.Do(func() { close(gone) }) }

	screen := &terminal.Output{File: out}
	m.behind = screen.Behind

	opts := []tea.ProgramOption{
		tea.WithAltScreen(), tea.WithOutput(screen),
		tea.WithInput(terminal.OpenInput(in, leave)),
		tea.WithFilter(filter.Pass),
	}
	if !o.NoMouse {
		// Cell motion, not all motion: some touch terminals send nothing at all
		// when asked for every movement.
		opts = append(opts, tea.WithMouseCellMotion())
	}
	p = tea.NewProgram(m, opts...)
	screen.Drained = func() { p.Send(caughtUp{}) }

	hangup := make(chan os.Signal, 1)
	signal.Notify(hangup, terminal.HangupSignals()...)
	defer signal.Stop(hangup)
	over := make(chan struct{})
	defer close(over)
	go func() {
		select {
		case <-hangup:
		case <-gone:
		case <-over:
			return
		}
		p.Quit()
	}()

	_, err := p.Run()
	m.keeper.wait(lastSave)
	screen.Wait(lastPicture)
	switch {
	case errors.Is(err, tea.ErrInterrupted):
		return ErrInterrupted
	case errors.Is(err, tea.ErrProgramKilled) && !errors.Is(err, tea.ErrProgramPanic):
		return nil // the terminal is gone; nobody is left to tell
	}
	return err
}

// wait waits until nothing is under way, but not longer than d.
func (k *keeper) wait(d time.Duration) {
	idle := make(chan struct{})
	go func() {
		k.wg.Wait()
		close(idle)
	}()
	terminal.WaitFor(idle, d)
}
