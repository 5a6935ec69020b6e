package tui

import (
	"fmt"
	"net/url"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist/job"
	"fettle/checklist/workshop"
	"fettle/threads/quantity"
	"fettle/tui/paint"
)

// evidence is what goes with a finding beside its words: further figures and
// pictures. Both can be added to from the question for the words.
type evidence struct {
	m *model
	q *inquiry
	n *job.NewFinding
	// said repeats what was answered; to is the question it stands over.
	said func() string
	to   *entry
}

// offer puts the two on the question e.
func (v *evidence) offer(e *entry) {
	k := v.m.keys
	v.to = e
	e.more = []act{
		{key: k.Photo, word: "Photo", do: v.photo},
		{key: k.Figure, word: "Figure", do: v.figure},
	}
	v.show()
}

// offerPhotos puts only the pictures on a question that makes its own entry.
func (m *model) offerPhotos(e *entry) *evidence {
	about := strings.Join(e.about, " ")
	v := &evidence{m: m, q: &inquiry{m: m, name: e.name}, n: &job.NewFinding{}, said: func() string { return about }, to: e}
	e.more = []act{{key: m.keys.Photo, word: "Photo", do: v.photo}}
	return v
}

// show brings what stands over the question up to date.
func (v *evidence) show() {
	about := []string{v.said()}
	for _, name := range sortedNames(v.n.Readings) {
		about = append(about, name+": "+v.n.Readings[name])
	}
	for _, p := range v.n.Photos {
		about = append(about, "Photo: "+filepath.Base(p))
	}
	v.to.about = about
}

// picturesOffered is how many pictures are offered at most, the newest.
const picturesOffered = 30

// photo asks for a picture once it is known which lie near.
func (v *evidence) photo() tea.Cmd {
	j := v.m.work.job
	if j == nil {
		v.m.say(paint.InkNote, "A preview: nothing is kept.")
		return nil
	}
	var also []string
	if drop := v.m.shop.Photos; drop != "" {
		also = append(also, v.m.fromHome(drop))
	}
	from, now := v.m.top(), v.m.opt.Env.Now()
	return v.m.keeper.later(func() tea.Msg {
		list, err := j.Pictures(picturesOffered, also...)
		return pictures{v, from, list, err, now}
	})
}

// pictures are those that can be picked.
type pictures struct {
	v    *evidence
	from screen
	list []job.Picture
	err  error
	now  time.Time
}

func (p pictures) settle(m *model) tea.Cmd {
	v := p.v
	if m.top() != p.from {
		return nil // gone back meanwhile
	}
	paths := map[string]string{} // by what is shown
	var e *entry
	defer func() { e.pad = e.pad && len(p.list) > 0 }() // where none lies near, it is said first where to put them
	cmd := v.q.put("Which picture?", func(set *entry) {
		e = set
		e.word = "Take it"
		for _, pic := range p.list {
			name := filepath.Base(pic.Path)
			if _, twice := paths[name]; twice {
				name = m.path(pic.Path)
			}
			if slices.Contains(v.n.Photos, pic.Path) {
				continue
			}
			paths[name] = pic.Path
			e.choices = append(e.choices, choice{name, fmt.Sprintf("%s, %s, in %s", ago(p.now.Sub(pic.At)), sizeText(pic.Size), m.path(filepath.Dir(pic.Path)))})
		}
		for _, taken := range v.n.Photos {
			name := "Leave out " + filepath.Base(taken)
			paths[name] = taken
			e.choices = append(e.choices, choice{text: name})
		}
		e.about = []string{"The newest first; or type or paste where it lies. It is copied into the job."}
		if len(p.list) == 0 {
			e.about = []string{"Type or paste where it lies. It is copied into the job.",
				"Pictures put into " + m.path(m.work.job.Dir()) + " are listed here, and those in the folder that photos names in " + workshop.FileName + "."}
		}
		if p.err != nil {
			e.about = append(e.about, p.err.Error())
		}
	}, func(text string) tea.Cmd {
		path, listed := paths[text]
		if !listed {
			path = m.typedPath(text)
		}
		if at := slices.Index(v.n.Photos, path); at >= 0 {
			if listed {
				v.n.Photos = slices.Delete(v.n.Photos, at, at+1)
			}
			m.drop(e)
			v.show()
			return nil
		}
		env := m.opt.Env
		return m.keeper.later(func() tea.Msg { return photoChecked{v, e, path, job.CheckPhoto(path, env)} })
	})
	return cmd
}

// photoChecked is whether a picture can be taken.
type photoChecked struct {
	v    *evidence
	e    *entry
	path string
	err  error
}

func (c photoChecked) settle(m *model) tea.Cmd {
	if m.top() != screen(c.e) {
		return nil // gone back meanwhile, or taken by the press before
	}
	if c.err != nil {
		c.e.failed = "Not taken: " + c.err.Error() + "."
		return nil
	}
	c.v.n.Photos = append(c.v.n.Photos, c.path)
	m.drop(c.e)
	c.v.show()
	return nil
}

// typedPath is the file that a typed or pasted text means. Terminals and file
// managers paste a path in quotes, with its spaces escaped, or as an address.
func (m *model) typedPath(text string) string {
	text = strings.TrimSpace(text)
	if n := len(text); n > 1 && (text[0] == '\'' || text[0] == '"') && text[n-1] == text[0] {
		text = text[1 : n-1]
	} else if filepath.Separator == '/' {
		text = strings.ReplaceAll(text, `\ `, " ")
	}
	if u, err := url.Parse(text); err == nil && u.Scheme == "file" {
		text = filepath.FromSlash(u.Path)
	}
	return m.fromHome(text)
}

// fromHome is a path in which ~ stands for the person's own folder.
func (m *model) fromHome(path string) string {
	if rest, ok := strings.CutPrefix(path, "~"); ok && m.opt.Home != "" && (rest == "" || rest[0] == '/' || rest[0] == filepath.Separator) {
		path = filepath.Join(m.opt.Home, rest)
	}
	if abs, err := filepath.Abs(path); err == nil {
		return abs
	}
	return path
}

// ago says roughly how long ago something was.
func ago(d time.Duration) string {
	switch {
	case d < 2*time.Minute:
		return "just now"
	case d < 2*time.Hour:
		return fmt.Sprintf("%d min ago", int(d.Minutes()))
	case d < 48*time.Hour:
		return fmt.Sprintf("%d h ago", int(d.Hours()))
	}
	return fmt.Sprintf("%d days ago", int(d.Hours())/24)
}

func sizeText(bytes int64) string {
	if bytes < 1<<20 {
		return fmt.Sprintf("%d kB", (bytes+1023)>>10)
	}
	return fmt.Sprintf("%.1f MB", float64(bytes)/(1<<20))
}

// oftenMeasured are names of figures that often go with a kind of finding.
func oftenMeasured(k job.FindingKind) []string {
	switch k {
	case job.DamagedHole:
		return []string{"Good thread left", "Out of square"}
	case job.Sheared:
		return []string{"Stands out", "Below the face"}
	case job.WrongPart:
		return []string{"Diameter", "Length", "Threads per inch"}
	case job.WornPart:
		return []string{"Diameter", "Depth of wear", "Out of round"}
	case job.NoFit:
		return []string{"Gap", "Interference", "Out of line"}
	case job.Leaking:
		return []string{"Drops a minute", "Pressure when seen", "Fall of pressure"}
	}
	return []string{"Diameter", "Length", "Gap"}
}

// figure asks for a further figure: what it is, how much, and of what.
func (v *evidence) figure() tea.Cmd {
	var ask *entry
	done := func(name, value string) tea.Cmd {
		if v.n.Readings == nil {
			v.n.Readings = map[string]string{}
		}
		if v.n.Readings[name] = value; value == "" {
			delete(v.n.Readings, name)
		}
		v.m.drop(ask)
		v.show()
		return nil
	}
	return v.q.put("What was measured?", func(e *entry) {
		ask = e
		e.about = []string{"Type it, or choose."}
		for _, name := range sortedNames(v.n.Readings) {
			e.choices = append(e.choices, choice{name, v.n.Readings[name]})
		}
		for _, name := range oftenMeasured(v.n.What) {
			if _, have := v.n.Readings[name]; !have {
				e.choices = append(e.choices, choice{text: name})
			}
		}
		e.judge = func(name string) verdict {
			if name == "" {
				return verdict{refused: true}
			}
			if err := job.CheckFigureName(name); err != nil {
				return verdict{refused: true, ink: paint.InkWrong, text: err.Error()}
			}
			return verdict{}
		}
	}, func(name string) tea.Cmd {
		have, again := v.n.Readings[name]
		return v.q.put(name+": how much?", func(e *entry) {
			e.value, e.units = true, []string{"mm", "in", "thou", "bar", "psi", "°C", "N·m"}
			e.field.set(have)
			e.judge = func(text string) verdict {
				switch _, _, err := splitFigure(text); {
				case text == "" && again:
					return verdict{ink: paint.InkQuiet, text: "Empty: it is left out."}
				case text == "":
					return verdict{refused: true}
				case err != nil:
					return verdict{refused: true, ink: paint.InkWrong, text: err.Error()}
				}
				return verdict{}
			}
		}, func(text string) tea.Cmd {
			figure, unit, _ := splitFigure(text)
			if figure == "" || unit != "" {
				return done(name, text)
			}
			const bare = "none: a count, a mark"
			return v.q.put(name+": "+text+" of what?", func(e *entry) {
				e.unset = true
				e.about = []string{"The unit, typed or chosen."}
				for _, u := range []string{"mm", "in", "thou", "bar", "psi", "°C", "N·m", bare} {
					e.choices = append(e.choices, choice{text: u})
				}
			}, func(unit string) tea.Cmd {
				if unit == bare {
					return done(name, text)
				}
				return done(name, text+" "+unit)
			})
		})
	})
}

// splitFigure divides "12.5 mm" into its figure and its unit. The name of a
// gauge drill is a figure with its unit.
func splitFigure(text string) (figure, unit string, err error) {
	if text == "" {
		return "", "", nil
	}
	if _, err := quantity.ParseLength(text); err == nil && unicode.IsLetter([]rune(text)[0]) || strings.HasPrefix(text, "#") {
		return text, text, err
	}
	at := strings.IndexFunc(text, func(r rune) bool { return !unicode.IsDigit(r) && !strings.ContainsRune(" .,/+-", r) })
	if at < 0 {
		at = len(text)
	}
	figure, unit = strings.TrimSpace(text[:at]), strings.TrimSpace(text[at:])
	if _, err := quantity.ParseLength(figure); err != nil {
		return "", "", fmt.Errorf("a figure is wanted here, like 0.3, 12 1/4 or 5 bar")
	}
	return figure, unit, nil
}
