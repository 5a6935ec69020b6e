package trace

// Circuit is what is known of one kind of boiler: by which paths it loses water on
// test, where that shows, and which tests tell. Chances are 0 to 1, minutes at least
// 0. The figures carry their source beside them; the reader of circuit files has
// checked all of it.
type Circuit struct {
	ID, Title    string
	Figures      Figures
	Builds       []Named // how the regulator and superheater are built
	Arrangements []Named // how the regulator stands for the test
	Conditions   []Named // what may forbid a test
	Covers       []Cover
	Paths        []Path
	Places       []Place
	Tests        []Test
}

// Named is a word of the circuit and what people call it.
type Named struct{ Name, Called string }

// Cover hides several paths that look the same from outside: telling them apart takes
// it off.
type Cover struct {
	Named
	Paths []string
}

// Figures are the chances and times that belong to no single path or test.
type Figures struct {
	TwoAtOnce float64 // chance that two paths lose at once
	AgainWet  float64 // a wet place is wet again when it was dried
	AgainDry  float64 // a place taken for wet by mistake is taken for wet again
	Late      float64 // of what did not show in ten minutes, the share that shows in half an hour, times its chance
	HoldsAll  float64 // "it holds now" where everything that loses is shut off
	HoldsOne  float64 // where one of two is
	HoldsNone float64 // where nothing that loses is
	LetDown   float64 // minutes to let the pressure down
	PumpUp    float64 // minutes to fill, vent, pump up and settle
	Source    string
}

// Kind is the sort of a path of loss.
type Kind string

const (
	None      Kind = "none"      // no leak at all
	Rig       Kind = "rig"       // the test rig
	Through   Kind = "through"   // past a valve or pipe, seldom seen outside
	Seen      Kind = "seen"      // water outside
	Structure Kind = "structure" // the boiler itself: stop, the inspector
)

// Kinds lists them in the order in which they are ruled out.
func Kinds() []string {
	return []string{string(None), string(Rig), string(Through), string(Seen), string(Structure)}
}

// Path is one way by which pressure is lost.
type Path struct {
	Named
	Kind   Kind
	Often  float64 // parts of all cases
	AtHalf float64 // chance that it still loses at half the test pressure
	// Under lists the arrangements in which it has pressure on it, by build; a build
	// that is not named does not have it. nil: always.
	Under  map[string][]string
	Shows  []Share // chance that water shows at a place within ten minutes
	Source string
}

// under says whether the path has pressure on it.
func (p *Path) under(build, arrangement string) bool {
	if p.Under == nil {
		return true
	}
	for _, a := range p.Under[build] {
		if a == arrangement {
			return true
		}
	}
	return false
}

// Share is a chance that belongs to a path or a place.
type Share struct {
	Name   string
	Chance float64
}

// Place is where water can be seen.
type Place struct {
	Named
	Mistake float64 // chance that it is taken for wet while it is dry
	Source  string
}

// Means says what the answer to a test is about.
type Means string

const (
	Look  Means = "look"  // water at one place
	Walk  Means = "walk"  // a list of wet places
	Late  Means = "late"  // the same after half an hour at pressure
	Holds Means = "holds" // whether the gauge holds with these paths shut off or mended
	Says  Means = "says"  // a chance of yes for each path
	Half  Means = "half"  // whether it holds at half pressure
)

// Test is one thing to do and the question it answers.
type Test struct {
	Name      string
	Do, Ask   string
	Means     Means
	Places    []string // of a look, a walk, a late walk
	Paths     []string // of a holds
	Says      []Share  // of a says: chance of yes by path
	Otherwise float64  // of a says: chance of yes for every other path
	All       bool     // of a says: a yes needs all that loses, else one of them
	Minutes   float64  // for the test itself
	Each      float64  // of a walk: minutes more for every place not looked at before
	Unsure    float64  // chance of "cannot tell"
	Working   bool     // made at working pressure
	Only      []string // arrangements in which it can be made; none: all
	Down      bool     // the pressure is let down first and pumped up after
	Apart     bool     // takes things apart: never proposed
	Repair    bool     // mends what it tests
	Open      []string // what stands open for it
	Blanks    []string // what is blanked for it
	Needs     []string
	Dangers   []string
	Forbidden []string // conditions that forbid it
	After     []string // tests whose answer comes first
	Wet       []string // only once water was seen at one of these places
	Source    string
}
