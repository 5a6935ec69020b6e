package tui

import (
	"io/fs"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"

	"fettle/checklist/job"
	"fettle/checklist/workshop"
	"fettle/tui/paint"
)

// Options is what the bench screen takes from outside.
type Options struct {
	Env     job.Env
	Jobs    string            // folder that holds the jobs; new ones are laid down in it
	Beside  string            // folder whose own jobs are listed as well; may be empty
	Open    string            // folder of a job to open at once; empty for the home screen
	Preview string            // procedure file to show while it is written; nothing else is opened then
	Answers map[string]string // answers that stand in a preview, by setting
	Config  string            // folder with the person's own tools; may be empty
	Home    string            // the person's own folder, written ~ on the screen; may be empty
	Recipes fs.FS             // bundled procedures
	Demo    []byte            // story of the demo, whose procedure is among Recipes; nil for no demo
	NoMouse bool              // leave mouse and taps to the terminal
	ASCII   bool              // draw with ASCII characters only
	// Renderer knows the colours of the terminal; nil means no colour.
	Renderer *lipgloss.Renderer
	// Still keeps the screen from looking at the folder by itself now and then.
	Still bool
}

// refreshEvery is how often an open job looks for entries of other devices and
// how often times left are worked out again.
const refreshEvery = 5 * time.Second

// act is something that can be done: its key, the word on its button, and what
// it does. Keys, buttons and help all come from the acts of the screen shown.
type act struct {
	key  key.Binding
	word string
	main bool
	bare bool   // a key only: a button that does the same is there
	off  string // why it cannot be done now; empty where it can
	do   func() tea.Cmd
	// early says that it was pressed too soon to count.
	early bool
}

// hint is the key to press for a: where text is being typed, one that is no
// character.
func (a act) hint(typing bool) string {
	h := a.key.Help().Key
	if !typing || utf8.RuneCountInString(h) > 1 {
		return h
	}
	for _, k := range a.key.Keys() {
		if utf8.RuneCountInString(k) > 1 {
			return k
		}
	}
	return ""
}

// screen is one page of the program. Screens are plain values held by the
// model; the model alone receives messages.
type screen interface {
	// title is what stands in the head of the screen.
	title() string
	// acts are what can be done here, most useful first; the main one is drawn large.
	acts() []act
	// draw paints the body.
	draw(*frame)
	// key takes a key that is none of the acts'; false means it meant nothing.
	key(tea.KeyMsg) (tea.Cmd, bool)
	// wheel scrolls by n lines.
	wheel(n int)
	// typing tells whether plain characters are text here and not keys.
	typing() bool
}

// model is the program.
type model struct {
	opt      Options
	look     *paint.Look
	theme    paint.Theme
	renderer *lipgloss.Renderer
	keys     keyMap
	w, h     int
	touch    bool
	mouse    bool
	stack    []screen
	person   string
	foot     note
	kept     bool // foot is the word of an entry, and stands until the next key or press
	saving   bool
	half     string       // why the last entry is in one place only; empty where it is in both
	ahead    []tea.KeyMsg // pressed while an entry was being saved
	guard    guard
	work     *work // the job that is open
	keeper   *keeper
	shop     workshop.Tools               // the person's own tools
	answered map[string]map[string]string // answers to the sums, by sum and question
	said     map[string][]string          // answers in a person's own words, by question
	shown    *frame
	text     string
	// behind tells whether the terminal still has to take what was drawn before;
	// nil for one that always has. caughtUp comes when it has.
	behind func() bool
	out    picture
}

// picture is what was handed out to be drawn, and what a press on it answers.
type picture struct {
	text string
	spot spot
}

// caughtUp says that a slow terminal has taken all that was drawn.
type caughtUp struct{}

// note is the line at the foot of the screen.
type note struct {
	ink  paint.Ink
	text string
}

// New makes the bench screen's model.
func New(o Options) tea.Model { return newModel(o) }

func newModel(o Options) *model {
	if o.Env.Now == nil {
		o.Env.Now = time.Now
	}
	r := o.Renderer
	if r == nil {
		r = paint.PlainRenderer()
	}
	m := &model{
		opt: o, look: paint.NewLook(r, o.ASCII, paint.Calm), renderer: r, keys: newKeyMap(),
		mouse: !o.NoMouse, keeper: &keeper{}, guard: guard{now: time.Now},
	}
	m.stack = []screen{newHome(m)}
	if o.Preview != "" {
		m.stack[0] = newPreview(m, o.Preview)
	}
	return m
}

// Init starts the first reads of the disk.
func (m *model) Init() tea.Cmd {
	if p, ok := m.stack[0].(*preview); ok {
		return p.look()
	}
	return tea.Batch(m.begin(), m.clock())
}

type clockMsg struct{}

func (m *model) clock() tea.Cmd {
	if m.opt.Still {
		return nil
	}
	return tea.Tick(refreshEvery, func(time.Time) tea.Msg { return clockMsg{} })
}

// Update takes one message and settles the next picture.
func (m *model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	cmd := m.update(msg)
	m.settle() // what a press would answer hangs on what the picture shows
	m.guard.look(m.spot())
	return m, cmd
}

// View is the picture settled last. A terminal that is behind gets none that
// would only queue up: it goes on showing the one before until it has caught up.
func (m *model) View() string {
	if m.behind == nil || !m.behind() {
		m.out = picture{m.text, m.guard.shown}
	}
	return m.out.text
}

// unseen tells whether a press would answer something that no picture has shown.
func (m *model) unseen() bool { return m.behind != nil && m.out.spot != m.guard.shown }

func (m *model) update(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = max(0, msg.Width), max(0, msg.Height)
	case tea.KeyMsg:
		return m.press(msg)
	case tea.MouseMsg:
		return m.point(tea.MouseEvent(msg))
	case clockMsg:
		return tea.Batch(m.clock(), m.refresh())
	case result:
		return msg.settle(m)
	}
	return nil
}

// result is the answer of a command: what to do with it back in Update.
type result interface{ settle(*model) tea.Cmd }

// shape is how much room there is across.
func (m *model) shape() paint.Shape { return paint.Layout(m.w, m.h, m.touch).Shape }

func (m *model) top() screen { return m.stack[len(m.stack)-1] }

func (m *model) push(s screen) { m.stack = append(m.stack, s) }

// drop removes s and whatever lies over it.
func (m *model) drop(s screen) {
	for i, have := range m.stack {
		if have == s && i > 0 {
			m.stack = m.stack[:i]
			return
		}
	}
}

func (m *model) say(k paint.Ink, text string) { m.foot = note{k, text} }

// press handles a key.
func (m *model) press(k tea.KeyMsg) tea.Cmd {
	if key.Matches(k, m.keys.Stop) {
		return tea.Interrupt
	}
	if m.saving {
		// Typed ahead of what comes next; the question on the screen has been
		// answered and closes.
		if len(m.ahead) < mostAhead {
			m.ahead = append(m.ahead, k)
		}
		return nil
	}
	m.kept = false
	top := m.top()
	if key.Matches(k, m.keys.TakeBack) { // nobody may be there to wake what it put to sleep
		if e, ok := top.(*entry); ok {
			e.takeBack()
			return nil
		}
		return m.undo()
	}
	text := k.Type == tea.KeyRunes || k.Type == tea.KeySpace
	if k.Paste && !top.typing() {
		m.say(paint.InkQuiet, "Nothing to paste into here.")
		return nil
	}
	asks, _ := top.(*entry)
	picks := asks != nil && asks.only && !asks.narrows() // each letter is a key by itself
	if k.Type == tea.KeyRunes && len(k.Runes) > 1 && !k.Paste && (picks || !top.typing()) {
		// A slow line hands over several keys in one piece.
		var cmds []tea.Cmd
		for _, r := range k.Runes {
			cmds = append(cmds, m.press(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}, Alt: k.Alt}))
		}
		return tea.Batch(cmds...)
	}
	acts := m.allActs()
	main := slices.ContainsFunc(acts, func(a act) bool { return a.main && key.Matches(k, a.key) })
	gives := asks != nil && asks.gives(k)
	if !m.guard.takes(k, main && m.work != nil, gives, m.unseen()) {
		return nil
	}
	if !(text && !k.Alt && top.typing()) {
		for _, a := range acts {
			if key.Matches(k, a.key) {
				return m.run(a)
			}
		}
	}
	cmd, _ := top.key(k)
	return cmd
}

// mostAhead is how many keys are kept while an entry is being saved.
const mostAhead = 200

// catchUp takes the keys that were pressed while an entry was being saved.
func (m *model) catchUp() tea.Cmd {
	keys := m.ahead
	m.ahead = nil
	var cmds []tea.Cmd
	for _, k := range keys {
		m.guard.look(m.spot())
		cmds = append(cmds, m.press(k)) // waits again behind one that saves
	}
	return tea.Batch(cmds...)
}

// run does a, or says why not.
func (m *model) run(a act) tea.Cmd {
	if a.off != "" {
		m.say(paint.InkCaution, a.off)
		return nil
	}
	m.foot = note{}
	return a.do()
}

// point handles the mouse and a finger. It acts on the press: a release may
// never come.
func (m *model) point(e tea.MouseEvent) tea.Cmd {
	switch {
	case !m.mouse:
		return nil
	case e.Button == tea.MouseButtonWheelUp:
		m.turn(e, -3)
		return nil
	case e.Button == tea.MouseButtonWheelDown:
		m.turn(e, 3)
		return nil
	case e.Action != tea.MouseActionPress || e.Button != tea.MouseButtonLeft:
		return nil
	case m.unseen(): // the finger is on the picture before
		return nil
	case !m.guard.takesTap(paint.Point{X: e.X, Y: e.Y}, m.onMain(paint.Point{X: e.X, Y: e.Y})):
		return nil
	}
	var do func() tea.Cmd
	if m.shown != nil {
		for _, t := range m.shown.targets {
			if t.at.Holds(paint.Point{X: e.X, Y: e.Y}) {
				do = t.do
				break
			}
		}
	}
	m.kept = false
	if !m.touch { // the first tap shows that fingers are about
		m.touch = true
		if e, ok := m.top().(*entry); ok {
			e.fingers()
		}
	}
	if do == nil {
		return nil
	}
	return do()
}

// onMain tells whether p lies on the large button.
func (m *model) onMain(p paint.Point) bool {
	_, last := paint.Layout(m.w, m.h, m.touch).Buttons(0)
	return last.Holds(p)
}

// turn scrolls by n lines what the wheel turns over.
func (m *model) turn(e tea.MouseEvent, n int) {
	if parts, ok := m.top().(interface {
		wheelAt(paint.Point, paint.Areas, int) bool
	}); ok && m.shown != nil && parts.wheelAt(paint.Point{X: e.X, Y: e.Y}, m.shown.Areas, n) {
		return
	}
	m.top().wheel(n)
}

// allActs are the acts of the screen shown, then those that always work.
func (m *model) allActs() []act {
	acts := m.top().acts()
	add := func(a act) {
		same := func(b act) bool { return b.key.Help().Key == a.key.Help().Key }
		if !slices.ContainsFunc(acts, same) { // the screen's own meaning of a key comes first
			acts = append(acts, a)
		}
	}
	if len(m.stack) > 1 {
		back := func(a act) bool { return a.main && a.word == "Back" }
		add(act{key: m.keys.Back, word: "Back", bare: slices.ContainsFunc(acts, back), do: m.back})
	}
	switch m.top().(type) {
	case *helpScreen, *moreScreen, *page: // nothing but to read, choose and go back
		return acts
	}
	if _, there := m.top().(*lookupScreen); !there {
		add(act{key: m.keys.Lookup, word: "Thread", do: m.lookUp})
	}
	if _, there := m.top().(*sumsScreen); !there {
		add(act{key: m.keys.Sums, word: "Sums", do: m.sums})
	}
	if _, there := m.top().(*findScreen); !there {
		add(act{key: m.keys.Find, word: "Find", do: m.find})
	}
	add(act{key: m.keys.Help, word: "Help", do: m.help})
	add(act{key: m.keys.More, word: "More", bare: true, do: m.more})
	if text := m.foot.text; m.footCut() {
		add(act{key: m.keys.Whole, word: "Whole line", do: func() tea.Cmd { return m.whole(text) }})
	}
	add(act{key: m.keys.Fingers, word: "Fingers", do: func() tea.Cmd { m.touch = !m.touch; return nil }})
	add(act{key: m.keys.Sunlight, word: "Sunlight", do: m.toggleSunlight})
	add(act{key: m.keys.Mouse, word: "Mouse", do: m.toggleMouse})
	return acts
}

func (m *model) back() tea.Cmd {
	if len(m.stack) > 1 {
		m.stack = m.stack[:len(m.stack)-1]
	}
	m.foot = note{}
	return nil
}

func (m *model) help() tea.Cmd {
	m.push(newHelp(m, m.allActs(), m.top().typing()))
	return nil
}

func (m *model) toggleSunlight() tea.Cmd {
	m.theme = !m.theme
	m.look = paint.NewLook(m.renderer, m.opt.ASCII, m.theme)
	for _, s := range m.stack {
		if step, ok := s.(*stepScreen); ok {
			step.drawn = steplist{} // laid out for the other look
		}
	}
	return nil
}

func (m *model) toggleMouse() tea.Cmd {
	m.mouse = !m.mouse
	if m.mouse {
		m.say(paint.InkNote, "Taps work again.")
		return tea.EnableMouseCellMotion
	}
	m.say(paint.InkNote, "Taps are the terminal's: mark and copy text. ctrl+o brings them back.")
	return tea.DisableMouse
}

// settle draws the next picture and remembers where it can be pressed.
func (m *model) settle() {
	if m.w == 0 || m.h == 0 {
		m.shown, m.text = nil, ""
		return
	}
	f := &frame{Canvas: paint.NewCanvas(m.w, m.h, m.look), Areas: paint.Layout(m.w, m.h, m.touch), typing: m.top().typing()}
	m.head(f)
	m.top().draw(f)
	m.bar(f)
	m.footLine(f)
	m.shown, m.text = f, f.String()
}

func (m *model) head(f *frame) {
	who := m.person
	if s, ok := m.top().(*stepScreen); ok {
		who = s.company()
	}
	at := f.Head
	if who != "" && at.W >= 30 {
		x := f.Right(at.Cut(at.W/2, 0, 0, 0), paint.InkQuiet, who)
		at = at.Cut(0, 0, at.X+at.W-x+2, 0)
	}
	title := m.top().title()
	if paint.TextWidth(f.Look.Clean(title)) > at.W {
		switch m.top().(type) {
		case *stepScreen, *stepsScreen: // whose engine it is stands on the first page
			title = m.work.filled.Title
		}
	}
	f.Label(at, paint.InkStrong, title)
	f.Label(f.Rule, paint.InkQuiet, strings.Repeat(m.look.G.Rule, f.Rule.W))
}

// bar draws the buttons. What finds no place lies behind More.
func (m *model) bar(f *frame) {
	main, rest := split(m.allActs())
	places, last := f.Buttons(len(rest))
	if main != nil {
		shown := *main
		shown.do = func() tea.Cmd { return m.run(*main) }
		shown.early = m.guard.early
		f.button(last, shown)
	}
	if n := onBar(places, rest); n < len(rest) && len(places) > 0 {
		more := act{key: m.keys.More, word: "More", do: m.more}
		rest = append([]act{more}, rest[:n]...)
	}
	for i, at := range places {
		a := rest[i]
		shown := a
		shown.do = func() tea.Cmd { return m.run(a) }
		f.button(at, shown)
	}
}

// split parts the act of the large button from the others that have a button.
func split(acts []act) (main *act, rest []act) {
	for _, a := range acts {
		switch {
		case a.main && main == nil:
			main = &a
		case !a.bare:
			rest = append(rest, a)
		}
	}
	return main, rest
}

// onBar is how many of the acts find a place: the first goes to More where
// there are too few.
func onBar(places []paint.Rect, rest []act) int {
	if len(places) < len(rest) {
		return max(0, len(places)-1)
	}
	return len(rest)
}

// more offers what has no button on the bar.
func (m *model) more() tea.Cmd {
	acts := m.allActs()
	_, rest := split(acts)
	places, _ := paint.Layout(m.w, m.h, m.touch).Buttons(len(rest))
	m.push(newMore(m, acts, rest[onBar(places, rest):]))
	return nil
}

// footCut tells whether the line at the foot is too short for what was said.
func (m *model) footCut() bool {
	return paint.TextWidth(m.look.Clean(m.foot.text)) > paint.Layout(m.w, m.h, m.touch).Foot.W
}

// whole shows all of what was said at the foot.
func (m *model) whole(text string) tea.Cmd {
	m.push(newPage(m, "What was said", text))
	return nil
}

func (m *model) footLine(f *frame) {
	at := f.Foot
	text, k := m.foot.text, m.foot.ink
	if m.saving {
		text, k = m.look.G.Busy+" Saving", paint.InkBrand
	}
	if !m.saving && m.footCut() && at.W > 24 {
		// All of it is a press away, on the line itself too.
		x := f.Right(at, paint.InkKey, " "+m.keys.Whole.Help().Key+" all")
		f.Label(at.Cut(0, 0, at.X+at.W-x, 0), k, text)
		f.target(f.Foot, "Whole line", func() tea.Cmd { return m.whole(text) })
		return
	}
	hint := act{key: m.keys.Help}.hint(f.typing) + " help"
	if m.guard.early {
		hint = "Too soon: press again."
	}
	if at.W > 24 && paint.TextWidth(text)+paint.TextWidth(hint) < at.W { // what is said comes first
		f.Right(at, paint.InkQuiet, hint)
	}
	f.Label(at, k, text)
}
