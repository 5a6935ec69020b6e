package paper

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"

	"fettle/checklist"
	"fettle/checklist/source"
	"fettle/threads"
	"fettle/threads/quantity"
)

// Starter is what [WriteStarter] needs to know.
type Starter struct {
	ID     string // lower-case letters, digits and hyphens
	Title  string // empty: made from the id
	Seal   string // one of [StarterSeals]; empty: packing
	Thread string // of the nut or the screws; empty: a usual one
}

// StarterSeals lists the seals a starter can be written for.
func StarterSeals() []string { return []string{"packing", "o-ring", "gasket", "sealant", "none"} }

// WriteStarter writes a small procedure to begin from: complete, commented and
// without a mistake, for one fitting with the given seal. starters holds one TOML
// file for each seal, a whole procedure of its own, into which the thread and the
// sizes that go with it are put. The error says which field cannot be used, or that
// thread and seal do not go together.
func WriteStarter(starters fs.FS, s Starter) (string, error) {
	thread, err := s.check()
	if err != nil {
		return "", err
	}
	src, err := fs.ReadFile(starters, s.Seal+".toml")
	if err != nil {
		return "", err
	}
	values := map[string]string{"id": s.ID, "title": s.Title, "settings.thread.default": thread.String()}
	switch s.Seal {
	case "packing":
		glandValues(values, thread)
		fallthrough
	case "o-ring":
		spanner := quantity.Length(math.Ceil(thread.Major.MM() * 1.5))
		if size, _, ok := thread.Spanner(); ok {
			spanner = size
		}
		values["settings.spanner.default"] = mm(spanner.MM())
	case "gasket":
		gasketValues(values, thread)
	}
	for key, text := range values {
		values[key] = source.Quote(text)
	}
	root, keys, err := source.Decode(string(src))
	if err != nil {
		return "", err
	}
	places, located := source.Locate(string(src), root, keys)
	if !located {
		return "", errors.New("the starter " + s.Seal + " has no places")
	}
	out, err := source.Replace(string(src), places, values)
	if err != nil {
		return "", err
	}
	// Not every thread goes with every fitting: a taper thread holds no cover.
	if _, ds := checklist.Read(s.ID+".toml", []byte(out)); len(ds) > 0 {
		return "", fmt.Errorf("%s does not go with a fitting like this: %s", thread, ds[0].Message)
	}
	return out, nil
}

// check looks at what was asked for and fills in what was not.
func (s *Starter) check() (threads.Thread, error) {
	var none threads.Thread
	if s.ID == "" || strings.ToLower(s.ID) != s.ID || !source.PlainName(s.ID) || len(s.ID) > 60 {
		return none, fmt.Errorf("%s is no name for a procedure: use lower-case letters, digits and hyphens, like blower-gland", source.Shown(s.ID))
	}
	if s.Title == "" {
		s.Title = source.UpperFirst(strings.NewReplacer("-", " ", "_", " ").Replace(s.ID))
	}
	title, refused := source.Clean(strings.TrimSpace(s.Title), false)
	if refused >= 0 || len([]rune(title)) > source.MaxLine || title == "" {
		return none, fmt.Errorf("the title has to be one line of at most %d characters", source.MaxLine)
	}
	s.Title = title
	if s.Seal == "" {
		s.Seal = "packing"
	}
	if !slices.Contains(StarterSeals(), s.Seal) {
		return none, errors.New(source.Shown(s.Seal) + " is no seal to start with; " + source.DidYouMean(s.Seal, StarterSeals()))
	}
	if s.Thread == "" {
		s.Thread = "M4"
		if s.Seal == "packing" || s.Seal == "o-ring" {
			s.Thread = "1/2 x 26 brass"
		}
	}
	thread, err := threads.Parse(s.Thread)
	if err != nil {
		return none, errors.New(source.PlainError(err))
	}
	return thread, nil
}

func mm(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) + " mm" }

// glandValues sizes a gland for the thread: the usual 3/16 in the usual 3/8, or less
// where the box has to lie inside the core of a smaller thread; and four rings. A
// thread too small for a nut is that of two screws that draw the follower.
func glandValues(values map[string]string, thread threads.Thread) {
	const usual, least = 12, 4 // box, in thirty-seconds of an inch
	box := int((thread.MinorExternal() - 1).Inches() * 32)
	if box < least {
		box = usual
		values["settings.thread.ask"] = "Thread of the two screws that draw the follower"
		values["fasteners.nut.count"] = "2"
		values["stage[2].step[1].do"] = "Give each gland screw a quarter turn with the ${nut.spanner} spanner. Wait, then undo it."
		values["stage[3].step[4].do"] = "Screws in evenly by fingers, work the spindle, then an eighth of a turn. Two fingers still turn the spindle."
	}
	box = min(box, usual)
	rings := quantity.Length(2 * 25.4 / 32 * float64(box-box/2))
	values["settings.rod.default"], values["settings.box.default"] = fraction(box/2), fraction(box)
	values["seals.packing.depth"] = mm(math.Ceil(rings.MM()))
}

// fraction writes thirty-seconds of an inch as they are said.
func fraction(thirtySeconds int) string {
	below := 32
	for thirtySeconds%2 == 0 {
		thirtySeconds, below = thirtySeconds/2, below/2
	}
	return fmt.Sprintf("%d/%d in", thirtySeconds, below)
}

// gasketValues sizes a ring that six such screws of bronze can press as hard as
// fitters want.
func gasketValues(values map[string]string, thread threads.Thread) {
	major := thread.Major.MM()
	bore, outer := math.Round(5*major), math.Round(2*6*major)/2
	cover, gasket := math.Ceil(2*major), 0.5
	into := math.Ceil(2 * major)
	for key, v := range map[string]float64{
		"fasteners.cover.circle": math.Ceil(outer + thread.Clearance().Medium.MM() + 1.5), "fasteners.cover.length": math.Ceil(cover + gasket + into),
		"fasteners.cover.cover": cover, "fasteners.cover.depth": into + 2,
		"seals.gasket.inner": bore, "seals.gasket.outer": outer, "seals.gasket.thickness": gasket,
	} {
		values[key] = mm(v)
	}
}
