//go:build linux

package tui

import (
	"fettle/tui/paint"
	"fettle/tui/terminal"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// tmux is a real terminal: a server of its own, a window of one size, and the
// program in it. Nothing sleeps: a test waits until the screen shows what it
// expects, and prints the screen where that never happens.
type tmux struct {
	t      *testing.T
	name   string // of the test's servers; every start has one of its own
	socket string
	dir    string // home of everything the program keeps
	w, h   int
}

// patience is how long a screen may take to show what a test waits for.
const patience = 15 * time.Second

func newTmux(t *testing.T) *tmux {
	t.Helper()
	if _, err := exec.LookPath("tmux"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("tmux is missing")
		}
		t.Skip("tmux is missing")
	}
	t.Parallel() // most of the time goes by waiting
	x := &tmux{t: t, dir: t.TempDir(), name: fmt.Sprintf("fettle-%d-%s", os.Getpid(), strings.ReplaceAll(t.Name(), "/", "-"))}
	t.Cleanup(func() {
		x.kill()
		// What ran in it may still be leaving.
		for end := time.Now().Add(patience); os.RemoveAll(x.dir) != nil && time.Now().Before(end); {
			time.Sleep(8 * time.Millisecond)
		}
	})
	return x
}

// kill ends the server; it may be gone already.
func (x *tmux) kill() {
	if x.socket != "" {
		_ = exec.Command("tmux", "-L", x.socket, "kill-server").Run()
	}
}

func (x *tmux) cmd(args ...string) string {
	x.t.Helper()
	cmd := exec.Command("tmux", append([]string{"-L", x.socket, "-f", "/dev/null"}, args...)...)
	out, err := cmd.CombinedOutput()
	require.NoError(x.t, err, "tmux %v: %s", args, out)
	return string(out)
}

// start opens a window and runs a shell command in it, where fettle is the
// program and PID a file for its process.
func (x *tmux) start(w, h int, shell string) {
	x.t.Helper()
	x.kill()
	x.w, x.h = w, h
	x.socket = fmt.Sprintf("%s-%dx%d", x.name, w, h)
	bin := buildProgram(x.t)
	env := fmt.Sprintf("cd %s; HOME=%s FETTLE_STATE=%s/state LANG=C.UTF-8 LC_ALL=C.UTF-8; export HOME FETTLE_STATE LANG LC_ALL; PATH=%s:$PATH; ",
		x.dir, x.dir, x.dir, filepath.Dir(bin))
	x.cmd("new-session", "-d", "-x", strconv.Itoa(w), "-y", strconv.Itoa(h), env+shell)
}

const plainly = "echo $$ >pid; exec fettle"

func (x *tmux) pid() int {
	x.t.Helper()
	text, err := os.ReadFile(filepath.Join(x.dir, "pid"))
	require.NoError(x.t, err)
	pid, err := strconv.Atoi(strings.TrimSpace(string(text)))
	require.NoError(x.t, err)
	return pid
}

func (x *tmux) screen() string { return strings.TrimRight(x.cmd("capture-pane", "-p"), "\n") }

// until waits until the screen is as wanted.
func (x *tmux) until(what string, ok func(screen string) bool) string {
	x.t.Helper()
	var s string
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(8 * time.Millisecond) {
		if s = x.screen(); ok(s) {
			return s
		}
	}
	x.t.Fatalf("the screen never showed %s:\n%s", what, s)
	return ""
}

func (x *tmux) sees(text string) string {
	x.t.Helper()
	return x.until(fmt.Sprintf("%q", text), func(s string) bool { return strings.Contains(s, text) })
}

func (x *tmux) keys(names ...string) { x.cmd(append([]string{"send-keys"}, names...)...) }

func (x *tmux) write(text string) {
	if rest, ok := strings.CutSuffix(text, ";"); ok { // tmux would end its command there
		text = rest + `\;`
	}
	x.cmd("send-keys", "-l", text)
}

func report(x, y int) string { return fmt.Sprintf("\x1b[<0;%d;%dM", x+1, y+1) }

// find is where text stands on the screen.
func find(screen, text string) (x, y int, ok bool) {
	for y, line := range strings.Split(screen, "\n") {
		if i := strings.Index(line, text); i >= 0 {
			return paint.TextWidth(line[:i]), y, true
		}
	}
	return 0, 0, false
}

// tap presses text where it stands.
func (x *tmux) tap(text string) {
	x.t.Helper()
	s := x.sees(text)
	at, y, _ := find(s, text)
	x.write(report(at, y))
	x.write(strings.TrimSuffix(report(at, y), "M") + "m")
}

// tapKey presses a key of the drawn keypad.
func (x *tmux) tapKey(label string) {
	x.t.Helper()
	re := regexp.MustCompile(`│ *` + regexp.QuoteMeta(label) + ` *│`)
	s := x.until("the key "+label, re.MatchString)
	for y, line := range strings.Split(s, "\n") {
		if loc := re.FindStringIndex(line); loc != nil {
			x.write(report(paint.TextWidth(line[:loc[0]])+2, y))
			return
		}
	}
}

var mainButton = regexp.MustCompile(`┃ *([^┃]*?) *┃`)

// large is the word on the large button.
func large(screen string) string {
	if m := mainButton.FindStringSubmatch(screen); m != nil {
		return m[1]
	}
	return ""
}

// saving reports whether an entry is on its way to the disk.
func saving(screen string) bool { return strings.Contains(screen, "Saving") }

// stands waits until the screen is as wanted and stays so for a few looks: a
// terminal may be caught half-way through a picture.
func (x *tmux) stands(what string, ok func(screen string) bool) string {
	x.t.Helper()
	last, same := "", 0
	return x.until(what, func(s string) bool {
		if s == last {
			same++
		} else {
			last, same = s, 0
		}
		return same >= 2 && ok(s)
	})
}

// changed waits until another picture than before stands and nothing is being saved.
func (x *tmux) changed(before string) string {
	x.t.Helper()
	return x.stands("anything but\n"+before, func(s string) bool { return s != before && !saving(s) })
}

// hand works the program in one of the two ways: keys or taps.
type hand interface {
	main(x *tmux)                     // press the large button
	value(x *tmux, text string)       // type into the field
	choose(x *tmux, text string)      // take one of the choices
	begin(x *tmux, engine, by string) // from the first screen to the first step
	word(x *tmux, text string)        // spell a name
}

type keysOnly struct{}

// Another key in between, one that does nothing, shows that enter was let go.
func (keysOnly) main(x *tmux)               { x.keys("F12", "Enter") }
func (keysOnly) value(x *tmux, text string) { x.write(text) }
func (keysOnly) word(x *tmux, text string)  { x.write(text) }
func (keysOnly) choose(x *tmux, text string) {
	for range 9 {
		s := x.screen()
		x.keys("Down")
		s = x.changed(s)
		if strings.Contains(s, "› "+text) {
			x.keys("F12", "Enter")
			x.changed(s)
			return
		}
	}
	x.t.Fatalf("no choice %q:\n%s", text, x.screen())
}
func (keysOnly) begin(x *tmux, engine, by string) {
	x.sees("Repack a valve-spindle")
	x.keys("w")
	x.sees("Your name")
	x.write(by)
	x.keys("Enter")
	x.until("the procedure chosen", func(s string) bool { return strings.Contains(s, "› Repack a valve-spindle") })
	x.keys("Enter")
	x.sees("needed: press enter")
	x.keys("Enter")
	x.sees("as the owner calls it")
	x.write(engine)
	x.sees(engine)
	x.keys("Enter")
	x.until("the start offered", func(s string) bool { return large(s) == "Start" })
	x.keys("s")
	x.sees("BEFORE YOU START")
}

type tapsOnly struct{}

// Two taps on one spot in a row are taken for one; this finger, faster than
// any hand, first touches the head, where nothing lies.
func (tapsOnly) tap(x *tmux, text string) {
	x.t.Helper()
	x.write(report(0, 0))
	x.tap(text)
}
func (tapsOnly) main(x *tmux) {
	x.write(report(0, 0))
	for y, line := range strings.Split(x.screen(), "\n") {
		if at := mainButton.FindStringIndex(line); at != nil {
			x.write(report(paint.TextWidth(line[:at[0]])+2, y))
			return
		}
	}
}
func (tapsOnly) value(x *tmux, text string) {
	for _, r := range text {
		x.tapKey(string(r))
	}
}
func (tapsOnly) choose(x *tmux, text string) {
	for y, line := range strings.Split(x.screen(), "\n") {
		if strings.Trim(line, " ›▌") == text {
			x.write(report(4, y))
			return
		}
	}
	x.t.Fatalf("no choice %q:\n%s", text, x.screen())
}
func (h tapsOnly) word(x *tmux, word string) {
	key := func(label string) bool {
		return regexp.MustCompile(`│ *` + regexp.QuoteMeta(label) + ` *│`).MatchString(x.screen())
	}
	for i, r := range word {
		label := string(r)
		if !key(label) { // a rare letter
			x.tapKey("Other")
		}
		x.tapKey(label)
		x.sees("› " + word[:i+1])
	}
}
func (h tapsOnly) begin(x *tmux, engine, by string) {
	x.sees("Repack a valve-spindle")
	h.tap(x, "Who")
	x.sees("Your name")
	h.word(x, by)
	h.tap(x, "Keep")
	h.tap(x, "Repack a valve-spindle")
	h.tap(x, "needed: press enter")
	h.word(x, engine)
	h.tap(x, "Keep")
	x.until("the start offered", func(s string) bool { return large(s) == "Start" })
	h.tap(x, "Start")
	x.sees("BEFORE YOU START")
}

var (
	counter = regexp.MustCompile(`(\d+) of (\d+)\s*$`)
	wanted  = regexp.MustCompile(`(-?[\d.]+)(?: \S+)? wanted`)
	between = regexp.MustCompile(`(-?[\d.]+)(?: \S+)? to -?[\d.]+`)
	atLeast = regexp.MustCompile(`at (?:least|most) (-?[\d.]+)`)
)

// good is a reading within its limits, taken from what the screen says.
func good(screen string) string {
	flat := strings.Join(strings.Fields(screen), " ")
	if strings.Contains(flat, "none allowed") {
		return "0"
	}
	for _, re := range []*regexp.Regexp{wanted, between, atLeast} {
		if m := re.FindStringSubmatch(flat); m != nil {
			return m[1]
		}
	}
	return "1"
}

// count is how many steps are done.
func count(screen string) (done, total int) {
	for _, line := range strings.Split(screen, "\n")[:3] {
		if m := counter.FindStringSubmatch(line); m != nil {
			done, _ = strconv.Atoi(m[1])
			total, _ = strconv.Atoi(m[2])
		}
	}
	return done, total
}

// walk works the job until enough steps are done, or all of them.
func (x *tmux) walk(h hand, enough int) string {
	x.t.Helper()
	s := x.stands("a large button", func(s string) bool { return large(s) != "" && !saving(s) })
	for range 1000 {
		switch word := large(s); word {
		case "All done":
			return s
		case "To the steps", "Done", "Go on", "Read on", "Reading", "Release":
			if done, _ := count(s); done >= enough && !strings.Contains(s, "Who releases") {
				return s
			}
			if strings.Contains(s, "Who releases this hold") {
				if strings.Contains(s, "  Tom\n") {
					h.choose(x, "Tom")
					s = x.changed(s)
					continue
				}
				if _, taps := h.(tapsOnly); taps {
					h.(tapsOnly).tap(x, "Keypad") // what is released comes before the letters
					x.sees("No pad")
				}
				h.word(x, "Tom")
				s = x.sees("› Tom")
			}
			h.main(x)
			s = x.changed(s)
		case "Keep":
			if strings.Contains(s, "too soon") {
				time.Sleep(time.Second) // what stands under the finger next sleeps for a while
			}
			before := s
			if strings.Contains(s, "  yes\n") {
				h.choose(x, "yes")
			} else if strings.Contains(s, "by whom") || strings.Contains(s, "Who said") || strings.Contains(s, "Whose hand") {
				h.word(x, "Tom")
				before = x.sees("› Tom")
				h.main(x)
			} else {
				v := good(s)
				h.value(x, v)
				before = x.sees("› " + v)
				h.main(x)
			}
			s = x.changed(before)
		default:
			x.t.Fatalf("no way on:\n%s", s)
		}
	}
	x.t.Fatalf("the job never ends:\n%s", s)
	return ""
}

// The bundled gland procedure from its start to its last step, by keys alone
// and by taps alone, on the three sizes; half-way the program is killed, and
// nothing that it had shown as saved is missing when it is opened again.
func TestWholeJob(t *testing.T) {
	for _, run := range []struct {
		name string
		hand hand
		w, h int
	}{
		{"keys", keysOnly{}, 80, 24},
		{"taps", tapsOnly{}, 40, 20},
	} {
		t.Run(run.name, func(t *testing.T) {
			x := newTmux(t)
			x.start(run.w, run.h, plainly)
			run.hand.begin(x, "Bramble", "Ana")
			s := x.walk(run.hand, 12)
			done, total := count(s)
			require.GreaterOrEqual(t, done, 12)
			require.Greater(t, total, 18)

			require.NoError(t, syscall.Kill(x.pid(), syscall.SIGKILL))
			x.gone()
			x.start(160, 45, plainly)
			s = x.sees("JOBS UNDER WAY")
			require.Contains(t, s, fmt.Sprintf("%d of %d", done, total))
			require.Contains(t, s, "Bramble")
			if _, taps := run.hand.(tapsOnly); taps {
				x.tap("Bramble")
			} else {
				x.keys("Enter")
			}
			x.until("the job", func(s string) bool { n, _ := count(s); return n == done })
			s = x.walk(run.hand, 1000)
			done, total = count(s)
			require.Equal(t, total, done)
		})
	}
}

// gone waits until the server has no session left.
func (x *tmux) gone() {
	x.t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(8 * time.Millisecond) {
		if exec.Command("tmux", "-L", x.socket, "has-session").Run() != nil {
			return
		}
	}
	x.t.Fatal("the window never closed")
}

func (x *tmux) named() {
	x.t.Helper()
	x.sees("START A NEW JOB")
	x.keys("w")
	x.sees("Your name")
	x.write("Ana")
	x.sees("› Ana")
	x.keys("Enter")
	x.sees("START A NEW JOB")
}

func TestTornTapOnARealTerminal(t *testing.T) {
	x := newTmux(t)
	x.start(60, 24, plainly)
	x.named()
	s := x.screen()
	at, y, ok := find(s, "Who")
	require.True(t, ok)
	whole := report(at, y)
	for _, cut := range []int{1, 2, 3, 5, 7} {
		x.write(whole[:cut])
		x.write(whole[cut:])
		s = x.sees("Your name")
		require.Contains(t, s, "› Ana", "cut at %d", cut)
		require.NotContains(t, s, "<0", "cut at %d", cut)
		x.keys("Escape")
		x.sees("START A NEW JOB")
	}
	// A gap longer than the program waits for the rest: the pieces arrive as
	// keys. The pause is the input here, not a wait for the screen.
	x.keys("w")
	x.sees("› Ana")
	for _, piece := range []string{"\x1b[", "<0;9", "9;99M"} {
		x.write(piece)
		time.Sleep(terminal.SequenceWait + 60*time.Millisecond)
	}
	x.write("b")
	s = x.sees("› b")
	require.NotContains(t, s, "99")
}

func TestWheelFloodDoesNotHoldTypingUp(t *testing.T) {
	x := newTmux(t)
	x.start(80, 24, plainly)
	x.named()
	x.write(strings.Repeat("\x1b[<65;10;10M", 600))
	began := time.Now()
	x.keys("w")
	x.sees("Your name")
	require.Less(t, time.Since(began), patience/3)
}

func TestPasteIntoAField(t *testing.T) {
	x := newTmux(t)
	x.start(80, 24, plainly)
	x.sees("START A NEW JOB")
	x.keys("w")
	x.sees("Your name")
	x.cmd("set-buffer", "Ana\nof \x1b[31mthe shed")
	x.cmd("paste-buffer", "-p")
	x.sees("› Ana of [31mthe shed")
}

func TestHangupLeavesCleanly(t *testing.T) {
	x := newTmux(t)
	x.start(80, 24, "trap : HUP; fettle; echo $? >code")
	x.named()
	x.cmd("kill-session")
	var code []byte
	for end := time.Now().Add(patience); len(code) == 0 && time.Now().Before(end); time.Sleep(8 * time.Millisecond) {
		code, _ = os.ReadFile(filepath.Join(x.dir, "code"))
	}
	require.Equal(t, "0\n", string(code))
}

func TestCtrlCSaysInterrupted(t *testing.T) {
	x := newTmux(t)
	x.start(80, 24, "fettle; echo left with $?; exec cat")
	x.named()
	x.keys("C-c")
	x.sees("left with 130")
}

// ctrl+z is what most people press to take something back; it does that, and never
// puts the program away with a job half open.
func TestCtrlZTakesBack(t *testing.T) {
	x := newTmux(t)
	x.start(80, 24, plainly)
	keysOnly{}.begin(x, "Bramble", "Ana")
	x.walk(keysOnly{}, 1)
	done, _ := count(x.screen())
	require.Equal(t, 1, done)
	x.keys("Left")
	x.until("the step that is done", func(s string) bool { return strings.Contains(s, "done: Ana") })
	x.keys("C-z")
	x.sees("Take back")
	x.keys("F12", "Enter")
	x.until("nothing done", func(s string) bool { n, _ := count(s); return n == 0 })
}

// ctrl+z puts nothing to sleep, where nobody may be there to wake it: it is undo.
func TestCtrlZIsUndo(t *testing.T) {
	for name, command := range map[string]string{
		"no shell above":    "exec fettle",
		"under job control": "PS1='bench> '; export PS1; exec bash --norc --noprofile -i",
	} {
		t.Run(name, func(t *testing.T) {
			x := newTmux(t)
			x.start(80, 24, command)
			if name == "under job control" {
				x.sees("bench>")
				x.write("fettle\n")
			}
			x.named()
			x.keys("C-z")
			x.sees("Nothing is open here that could be undone.")
			x.tap("Who")
			x.sees("Your name")
			x.keys("C-z")
			x.sees("Nothing was typed here.")
			x.write("Zoe")
			x.sees("› Zoe")
			x.keys("C-z")
			s := x.sees("› Ana")
			require.NotContains(t, s, "Stopped")
		})
	}
}

func TestResizeOnARealTerminal(t *testing.T) {
	x := newTmux(t)
	x.start(80, 24, plainly)
	x.named()
	for _, size := range [][2]int{{160, 45}, {34, 10}, {40, 20}, {200, 60}, {20, 8}, {80, 24}} {
		x.cmd("resize-window", "-x", strconv.Itoa(size[0]), "-y", strconv.Itoa(size[1]))
		x.until(fmt.Sprintf("a screen of %v", size), func(s string) bool {
			lines := strings.Split(s, "\n")
			head := strings.Contains(lines[0], "fettle")
			for _, l := range lines {
				if paint.TextWidth(l) > size[0] {
					return false
				}
			}
			return head && len(lines) <= size[1] && len(lines) > size[1]-3
		})
	}
}

func TestNoColorAndNoMouse(t *testing.T) {
	x := newTmux(t)
	x.start(80, 24, "NO_COLOR=1 fettle --no-mouse")
	x.named()
	codes := x.cmd("capture-pane", "-p", "-e")
	require.NotContains(t, codes, "\x1b[", "no colours, no reverse, no bold")
	at, y, _ := find(x.screen(), "Who")
	before := x.screen()
	x.write(report(at, y))
	x.keys("?")
	s := x.changed(before)
	require.Contains(t, s, "What can be done here", "the tap meant nothing, the key did")
}
