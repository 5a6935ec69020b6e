package tui

import "github.com/charmbracelet/bubbles/key"

// keyMap holds every key the program knows. The help screen, the hints on the
// buttons and what a key does all come from it.
type keyMap struct {
	Up, Down, PageUp, PageDown, Top, Bottom key.Binding
	Next, Prev                              key.Binding
	Do, Back, Start                         key.Binding
	Lookup, Sums, Find, Help, More          key.Binding
	Steps, Current                          key.Binding
	Reading, Note, Skip, Undo, Reopen       key.Binding
	Earlier, PutRight, PutAway, Let         key.Binding
	SetClock                                key.Binding
	Finding, Findings, Bring, Gates, Test   key.Binding
	Call, CallOff                           key.Binding
	Add, Decide, Blank, Shop                key.Binding
	Begin, Lines, Search, Result, Sign      key.Binding
	Drawing, Tight, Slack, Send             key.Binding
	Sources, Notices, Mistakes              key.Binding
	Who, Fingers, Sunlight, Mouse, Refresh  key.Binding
	Photo, Figure, Print                    key.Binding
	Whole                                   key.Binding
	Demo, Quit, Stop, TakeBack              key.Binding
}

func newKeyMap() keyMap {
	bind := func(help, text string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(help, text))
	}
	return keyMap{
		Up:       bind("up", "one up", "up", "k"),
		Down:     bind("down", "one down", "down", "j"),
		PageUp:   bind("pgup", "a page up", "pgup", "b"),
		PageDown: bind("pgdn", "a page down", "pgdown", " "),
		Top:      bind("home", "to the top", "home"),
		Bottom:   bind("end", "to the end", "end"),
		Next:     bind("right", "next step", "right", "l", "tab"),
		Prev:     bind("left", "step before", "left", "h", "shift+tab"),
		Do:       bind("enter", "the large button", "enter"),
		Back:     bind("esc", "back", "esc"),
		Start:    bind("s", "start the job", "s"),
		Lookup:   bind("t", "look up a thread", "t", "ctrl+t"),
		Sums:     bind("c", "look something else up, or work it out", "c", "f3"),
		Find:     bind("/", "find anything: steps, threads, jobs, sums", "/", "f5"),
		Help:     bind("?", "what can be done here", "?", "f1"),
		More:     bind("m", "everything that can be done here, as buttons", "m", "f2"),
		Steps:    bind("s", "list of steps", "s"),
		Current:  bind("g", "go to the next open step", "g"),
		Reading:  bind("r", "enter or correct a reading", "r"),
		Note:     bind("n", "write a note", "n"),
		Skip:     bind("x", "skip the step, with a reason", "x"),
		Undo:     bind("u", "undo the last entry of this step", "u"),
		Reopen:   bind("E", "open the done step again, with the reason", "E"),
		Earlier:  bind("b", "what the step waits for was put on earlier: say when", "b"),
		SetClock: bind("ctrl+x", "it is another day: the clock is to be set", "ctrl+x"),
		PutRight: bind("A", "the answers of the start: put a wrong one right", "A"),
		PutAway:  bind("P", "put the finished job away, or bring it back", "P"),
		Let:      bind("L", "let the gate pass, with a name and a reason", "L"),
		Finding:  bind("d", "record something that is not as it should be", "d"),
		Findings: bind("a", "all findings of the job, and what was decided", "a"),
		Bring:    bind("p", "parts and tools to bring next time", "p"),
		Gates:    bind("e", "what keeps the step shut, who may let it pass; what is inside", "e"),
		Test:     bind("v", "the sheet of the pressure test with water", "v"),
		Call:     bind(">", "the other procedure that this step calls", ">"),
		CallOff:  bind("x", "call off a job that was called by mistake", "x"),
		Add:      bind("n", "add a line", "n"),
		Blank:    bind("v", "a blank is put on", "v"),
		Shop:     bind("s", "how warm the shop is", "s"),
		Begin:    bind("b", "begin a test", "b"),
		Lines:    bind("s", "fill in the lines of the sheet", "s"),
		Search:   bind("g", "search for what makes the pressure fall", "g"),
		Result:   bind("o", "close the test with its result", "o"),
		Sign:     bind("n", "put a name on the test", "n"),
		Decide:   bind("e", "decide about it again", "e"),
		Sources:  bind("f", "where the figures come from", "f"),
		Notices:  bind("i", "the record: folder, notices, differences", "i"),
		Drawing:  bind(".", "the drawing that helps with this step", "."),
		Tight:    bind("+", "one more screw of the ring is tight in this pass", "+", "="),
		Slack:    bind("-", "one screw of the ring less", "-"),
		Send:     bind("f8", "send a figure into the note or the answer below", "f8", "ctrl+s"),
		Mistakes: bind("i", "everything that is wrong with the file", "i"),
		Photo:    bind("ctrl+p", "a picture that goes with it", "ctrl+p"),
		Figure:   bind("ctrl+g", "a further figure that was measured", "ctrl+g"),
		Print:    bind("p", "on paper: a page in a file, to print", "p"),
		Who:      bind("w", "who is working", "w"),
		Fingers:  bind("z", "large rows for fingers, on or off", "z", "f6"),
		Sunlight: bind("y", "black on white for bright light, on or off", "y", "f7"),
		Mouse:    bind("ctrl+o", "leave taps to the terminal, so that text can be marked and copied", "ctrl+o"),
		Refresh:  bind("ctrl+r", "read the folder again", "ctrl+r"),
		Whole:    bind("f9", "all of what the line at the foot says", "f9"),
		Demo:     bind("d", "lay down the demo: an invented engine half-way through a refit", "d"),
		Quit:     bind("q", "leave fettle", "q"),
		Stop:     bind("ctrl+c", "leave fettle at once", "ctrl+c"),
		TakeBack: bind("ctrl+z", "undo, wherever you are", "ctrl+z"),
	}
}
