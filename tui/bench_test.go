package tui

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"fettle/checklist/job"
	"fettle/tui/paint"
)

// bench is the screen without a terminal: commands run at once, the clock
// stands until it is moved.
type bench struct {
	t    *testing.T
	m    *model
	dir  string
	now  time.Time
	hand time.Time     // the clock of keys and taps
	pace time.Duration // from one key or tap to the next
	quit bool
	// watch, where it is set, is called after every message.
	watch func()
}

func newBench(t *testing.T, w, h int, change ...func(*Options)) *bench {
	t.Helper()
	b := &bench{t: t, dir: t.TempDir(), now: time.Date(2026, 3, 1, 19, 0, 0, 0, time.UTC), pace: 2 * time.Second}
	b.begin(b.options(change...), w, h)
	return b
}

func (b *bench) options(change ...func(*Options)) Options {
	o := Options{
		Env:     job.Env{Now: func() time.Time { return b.now }, StateDir: filepath.Join(b.dir, "state")},
		Jobs:    filepath.Join(b.dir, "jobs"),
		Home:    b.dir,
		Recipes: os.DirFS(filepath.Join("testdata", "procedures")),
		Still:   true,
	}
	for _, c := range change {
		c(&o)
	}
	return o
}

// again is the program started anew on the same folders.
func (b *bench) again() {
	b.begin(b.options(), b.m.w, b.m.h)
}

func (b *bench) begin(o Options, w, h int) {
	b.t.Helper()
	b.m = newModel(o)
	b.m.guard.now = func() time.Time { return b.hand }
	b.run(b.m.Init())
	b.size(w, h)
}

func (b *bench) send(msg tea.Msg) {
	b.t.Helper()
	switch msg.(type) {
	case tea.KeyMsg, tea.MouseMsg:
		b.hand = b.hand.Add(b.pace)
	}
	_, cmd := b.m.Update(msg)
	b.check()
	b.run(cmd)
	if b.watch != nil {
		b.watch()
	}
}

// run executes a command and everything that follows from it.
func (b *bench) run(cmd tea.Cmd) {
	b.t.Helper()
	if cmd == nil {
		return
	}
	switch msg := cmd().(type) {
	case nil:
	case tea.BatchMsg:
		for _, c := range msg {
			b.run(c)
		}
	case tea.QuitMsg, tea.InterruptMsg:
		b.quit = true
	default:
		if v := reflect.ValueOf(msg); v.Kind() == reflect.Slice && v.Type().Elem() == reflect.TypeFor[tea.Cmd]() {
			for i := range v.Len() {
				b.run(v.Index(i).Interface().(tea.Cmd))
			}
			return
		}
		b.send(msg)
	}
}

// check holds after every message: the picture has the size of the screen.
func (b *bench) check() {
	b.t.Helper()
	checkSize(b.t, b.m)
}

func checkSize(t *testing.T, m *model) {
	t.Helper()
	if m.w == 0 || m.h == 0 {
		return
	}
	lines := strings.Split(m.View(), "\n")
	if len(lines) != m.h {
		t.Fatalf("%d lines on a screen of %d", len(lines), m.h)
	}
	for _, l := range lines {
		if n := ansi.StringWidth(l); n > m.w {
			t.Fatalf("a line of %d cells on a screen of %d: %q", n, m.w, l)
		}
	}
}

func (b *bench) size(w, h int) { b.send(tea.WindowSizeMsg{Width: w, Height: h}) }

// keys presses keys: a name as bubbletea writes it, or text behind a colon.
func (b *bench) keys(names ...string) {
	b.t.Helper()
	special := map[string]tea.KeyType{
		"enter": tea.KeyEnter, "esc": tea.KeyEsc, "up": tea.KeyUp, "down": tea.KeyDown, "left": tea.KeyLeft,
		"right": tea.KeyRight, "pgdown": tea.KeyPgDown, "pgup": tea.KeyPgUp, "backspace": tea.KeyBackspace,
		"home": tea.KeyHome, "end": tea.KeyEnd, "tab": tea.KeyTab,
		"ctrl+t": tea.KeyCtrlT, "ctrl+k": tea.KeyCtrlK, "ctrl+u": tea.KeyCtrlU, "ctrl+f": tea.KeyCtrlF, "ctrl+g": tea.KeyCtrlG, "ctrl+p": tea.KeyCtrlP, "ctrl+o": tea.KeyCtrlO,
		"ctrl+c": tea.KeyCtrlC, "ctrl+r": tea.KeyCtrlR, "ctrl+x": tea.KeyCtrlX, "ctrl+z": tea.KeyCtrlZ,
		"f1": tea.KeyF1, "f2": tea.KeyF2, "f4": tea.KeyF4, "f8": tea.KeyF8, "f9": tea.KeyF9,
	}
	for _, name := range names {
		if text, ok := strings.CutPrefix(name, ":"); ok {
			for _, r := range text {
				k := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}}
				if r == ' ' {
					k.Type = tea.KeySpace
				}
				b.send(k)
			}
			continue
		}
		if k, ok := special[name]; ok {
			b.send(tea.KeyMsg{Type: k})
			continue
		}
		require.Len(b.t, []rune(name), 1, "no key %q", name)
		b.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(name)})
	}
}

// tap presses the middle of the place of that name.
func (b *bench) tap(names ...string) {
	b.t.Helper()
	for _, name := range names {
		at, ok := b.place(name)
		require.True(b.t, ok, "nothing called %q to tap on\n%s", name, b.text())
		b.send(tea.MouseMsg{X: at.X + at.W/2, Y: at.Y + at.H/2, Action: tea.MouseActionPress, Button: tea.MouseButtonLeft})
		b.send(tea.MouseMsg{X: at.X + at.W/2, Y: at.Y + at.H/2, Action: tea.MouseActionRelease, Button: tea.MouseButtonLeft})
	}
}

func (b *bench) place(name string) (paint.Rect, bool) {
	for _, t := range b.m.shown.targets {
		if t.name == name {
			return t.at, true
		}
	}
	return paint.Rect{}, false
}

// text is the screen without colours.
func (b *bench) text() string { return ansi.Strip(b.m.View()) }

func (b *bench) sees(texts ...string) {
	b.t.Helper()
	flat := strings.Join(strings.Fields(b.text()), " ")
	for _, s := range texts {
		if !strings.Contains(flat, s) {
			b.t.Fatalf("%q is not on the screen\n%s", s, b.text())
		}
	}
}

func (b *bench) lacks(texts ...string) {
	b.t.Helper()
	flat := strings.Join(strings.Fields(b.text()), " ")
	for _, s := range texts {
		if strings.Contains(flat, s) {
			b.t.Fatalf("%q is on the screen\n%s", s, b.text())
		}
	}
}

// started is a bench with the test job just laid down, showing its first page.
func started(t *testing.T, w, h int, change ...func(*Options)) *bench {
	t.Helper()
	b := newBench(t, w, h, change...)
	b.keys("w", ":Ana", "enter")
	b.keys("enter")                      // the only procedure
	b.keys("enter", ":Bramble", "enter") // the engine
	for range 5 {
		b.keys("down")
	}
	b.keys("enter", ":Tom", "enter") // the owner
	b.keys("s")
	b.sees("BEFORE YOU START")
	b.keys("end", "home") // read to its end
	return b
}

// golden compares the screen with the file of that name; FETTLE_UPDATE rewrites it.
func (b *bench) golden(name string) {
	b.t.Helper()
	compareGolden(b.t, name, b.m.View()+"\n")
}

func compareGolden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", "golden", name+".txt")
	if os.Getenv("FETTLE_UPDATE") != "" {
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err, "FETTLE_UPDATE=1 writes it; then look at it")
	require.Equal(t, string(want), got, "%s differs; FETTLE_UPDATE=1 rewrites it; then look at it", file)
}

func coloured(o *Options) { o.Renderer = colourRenderer() }

func asciiOnly(o *Options) { o.ASCII = true }
