package checklist

import (
	"fmt"
	"strings"
)

// The description of the format. Unknown keys are found by it, and the
// reference and the JSON Schema are written from it, so that the three cannot
// tell different stories.

// Form is what a key may hold.
type Form int

const (
	FormText    Form = iota // a text of several lines
	FormLine                // a text of one line
	FormScalar              // a text of one line, or a number or true/false standing for one
	FormWord                // a text that is one of a list of words
	FormName                // letters, digits, - and _
	FormNames               // a list of names
	FormFigures             // a list of figures: part.figure
	FormLines               // a list of texts
	FormEntries             // FormLines whose entries may be tables of text and when
	FormFormat              // the number of the format
	FormTable
	FormTables // an array of tables
	FormNamed  // a table of tables that have names
	FormWhen   // a list of conditions
	FormValues // a table of setting names with one value each
)

// Key describes one key of a table.
type Key struct {
	Name     string
	Form     Form
	Needed   bool
	Template bool // may hold ${...}
	Words    []string
	Table    string   // description of the table it holds
	Kinds    []string // only where the table's kind is one of these
	About    string
	Example  string
}

// Keys describes the keys of one kind of table. It makes a new list at
// every call; only mistakes, the reference and the schema ask for it.
func Keys(table string) []Key {
	switch table {
	case "procedure":
		return []Key{
			{Name: "format", Form: FormFormat, Needed: true, About: "The edition of this format. It is looked at first: in another edition keys mean other things.", Example: `format = 2`},
			{Name: "id", Form: FormName, Needed: true, About: "Names the procedure in a job: lower-case letters, digits and hyphens.", Example: `id = "blower-gland"`},
			{Name: "title", Form: FormLine, Needed: true, About: "What the procedure does, in a few words.", Example: `title = "Repack a blower-valve gland"`},
			{Name: "about", Form: FormText, Template: true, About: "A few sentences for the person who chooses it."},
			{Name: "accept", Form: FormTables, Table: "accept", About: "Why rules do not apply to the procedure as a whole."},
			{Name: "before", Form: FormTable, Table: "before", About: "What must be so, and lie ready, before the first step."},
			{Name: "settings", Form: FormNamed, Table: "setting", About: "The questions asked before a job starts, in this order."},
			{Name: "fasteners", Form: FormNamed, Table: "fastener", About: "Threads, screws, studs and nuts, each one or a circle of equal ones."},
			{Name: "seals", Form: FormNamed, Table: "seal", About: "What keeps steam and water in."},
			{Name: "tests", Form: FormNamed, Table: "test", About: "Pressure tests, with what the local code says about them."},
			{Name: "figures", Form: FormNamed, Table: "figure", About: "What the procedure works out by itself: the clearance of a bore and a spindle, the mean of three readings."},
			{Name: "stage", Form: FormTables, Needed: true, Table: "stage", About: "The work, under headings."},
		}
	case "before":
		return []Key{
			{Name: "conditions", Form: FormEntries, Template: true, About: "The state the engine must be in."},
			{Name: "persons", Form: FormEntries, Template: true, About: "Who must be there."},
			{Name: "equipment", Form: FormEntries, Template: true, About: "Tools, gauges, lamps."},
			{Name: "supplies", Form: FormEntries, Template: true, About: "What is used up."},
			{Name: "spares", Form: FormEntries, Template: true, About: "Parts that may be needed."},
			{Name: "warnings", Form: FormEntries, Template: true, About: "What can hurt somebody."},
			{Name: "cautions", Form: FormEntries, Template: true, About: "What can do damage."},
			{Name: "notes", Form: FormEntries, Template: true, About: "What is worth knowing."},
		}
	case "entry":
		return []Key{
			{Name: "text", Form: FormText, Needed: true, Template: true, About: "The entry itself."},
			{Name: "when", Form: FormWhen, About: "Only where this holds."},
		}
	case "setting":
		return []Key{
			{Name: "ask", Form: FormLine, Needed: true, About: "The question, as the fitter reads it."},
			{Name: "why", Form: FormText, About: "Help under the question."},
			{Name: "kind", Form: FormWord, Needed: true, Words: Kinds(), About: "What the answer is.", Example: `kind = "length"`},
			{Name: "default", Form: FormScalar, Template: true, About: "The answer where none is given. It may come from another setting. \"\" is for an answer that may stay open: it reads \"not known\", and a key made of it counts as not given."},
			{Name: "choices", Form: FormLines, Kinds: []string{"choice"}, About: "The answers to choose from."},
			{Name: "low", Form: FormScalar, Template: true, About: "The smallest answer that makes sense."},
			{Name: "high", Form: FormScalar, Template: true, About: "The largest answer that makes sense."},
			{Name: "when", Form: FormWhen, About: "Only where this holds of other settings: elsewhere it is not asked and its default stands.", Example: `when = ["sealing = o-ring"]`},
		}
	case "fastener":
		return []Key{
			{Name: "label", Form: FormLine, About: "What it is called in headings. Without it, its name."},
			{Name: "thread", Form: FormScalar, Needed: true, Template: true, About: "The thread, as people write it: M4, 2 BA, 1/4 x 40 ME.", Example: `thread = "${nut_thread}"`},
			{Name: "head", Form: FormScalar, Template: true, Words: []string{"hex", "socket", "countersunk", "cheese"}, About: "The head."},
			{Name: "length", Form: FormScalar, Template: true, About: "Length of the screw under its head; over all where it is countersunk."},
			{Name: "count", Form: FormScalar, Template: true, About: "How many equal ones."},
			{Name: "grade", Form: FormScalar, Template: true, About: "What the screw is made of: A2-70, 8.8, phosphor bronze."},
			{Name: "into", Form: FormScalar, Template: true, About: "The metal that is tapped: gunmetal, copper, steel."},
			{Name: "engagement", Form: FormScalar, Template: true, About: "Height of thread the tapping drill should leave, in percent. Without it, the drill of the rule."},
			{Name: "hole", Form: FormLines, Template: true, About: "wet (it breaks through to water or steam) or dry, and blind where it ends in the metal.", Example: `hole = ["wet", "blind"]`},
			{Name: "circle", Form: FormScalar, Template: true, About: "Diameter of the circle the fasteners stand on."},
			{Name: "start", Form: FormScalar, Template: true, About: "Angle of the first of them on the circle: 0 is to the right, 90 on top, counted anticlockwise. Without it, 0."},
			{Name: "lubricant", Form: FormScalar, Template: true, About: "What is on the thread when it is tightened."},
			{Name: "joint", Form: FormScalar, Template: true, About: "Name of the seal that these fasteners clamp."},
			{Name: "cover", Form: FormScalar, Template: true, About: "Thickness of what the screw goes through."},
			{Name: "washer", Form: FormScalar, Template: true, About: "Thickness of the washers under the head."},
			{Name: "depth", Form: FormScalar, Template: true, About: "Depth of full thread in the hole, from the joint face."},
			{Name: "edge", Form: FormScalar, Template: true, About: "From the centre of the hole to the nearest edge of the tapped part."},
			{Name: "spanner", Form: FormScalar, Template: true, About: "Across flats of what is turned, where no standard says it or yours differs."},
			{Name: "drill_off", Form: FormScalar, Template: true, About: "Of a broken screw: how far its first drill turned out to be off the middle. Its last drill gets smaller by twice as much."},
			{Name: "utilisation", Form: FormScalar, Template: true, About: "Share of the yield stress to tighten to: 0.1 to 0.9."},
			{Name: "when", Form: FormWhen, About: "Only where this holds: elsewhere no rule looks at it."},
			{Name: "accept", Form: FormTables, Table: "accept", About: "Why a rule does not apply here; shown to the fitter."},
		}
	case "seal":
		return []Key{
			{Name: "label", Form: FormLine, About: "What it is called in headings. Without it, its name."},
			{Name: "kind", Form: FormWord, Needed: true, Words: SealKinds(), About: "What sort of seal."},
			{Name: "material", Form: FormScalar, Template: true, About: "What it is made of."},
			{Name: "zone", Form: FormScalar, Template: true, Words: zoneWords(), About: "Where it lives."},
			{Name: "pressure", Form: FormScalar, Template: true, About: "Working pressure of the boiler, gauge. Its temperature is judged at 1.1 times this."},
			{Name: "test", Form: FormScalar, Template: true, About: "Test pressure the joint has to hold, gauge; from the local code."},
			{Name: "measured", Form: FormScalar, Template: true, Kinds: sealKinds[:], About: "Temperature measured at the seal in service, where it is known."},
			{Name: "sheet_limit", Form: FormScalar, Template: true, Kinds: sealKinds[:], About: "Temperature limit on the data sheet or container; it replaces the figures of the program."},
			{Name: "oil", Form: FormScalar, Template: true, Kinds: sealKinds[:], About: "yes where cylinder oil can reach the seal."},
			{Name: "spindle", Form: FormScalar, Template: true, Kinds: []string{"packing", "o-ring"}, About: "Spindle diameter where the packing bears."},
			{Name: "box", Form: FormScalar, Template: true, Kinds: []string{"packing", "o-ring"}, About: "Bore of the packing box, or of what an O-ring seals in."},
			{Name: "depth", Form: FormScalar, Template: true, Kinds: []string{"packing", "o-ring"}, About: "Depth of the box that packing may fill; of an O-ring's groove."},
			{Name: "use", Form: FormScalar, Template: true, Kinds: []string{"o-ring"}, About: "face, radial, sliding or turning. Without it, sliding on a spindle and face elsewhere."},
			{Name: "section", Form: FormScalar, Template: true, Kinds: []string{"o-ring"}, About: "Thickness of the ring's cord."},
			{Name: "inside", Form: FormScalar, Template: true, Kinds: []string{"o-ring"}, About: "Inside diameter of the free ring."},
			{Name: "width", Form: FormScalar, Template: true, Kinds: []string{"o-ring"}, About: "Width of the groove, along the spindle."},
			{Name: "metals", Form: FormLines, Template: true, Kinds: []string{"sealant"}, About: "The two metals it lies between.", Example: `metals = ["gunmetal", "stainless"]`},
			{Name: "gap", Form: FormScalar, Template: true, Kinds: []string{"sealant"}, About: "The widest gap it has to fill, on the radius."},
			{Name: "shop", Form: FormScalar, Template: true, Kinds: []string{"sealant"}, About: "The lowest temperature until it is cured."},
			{Name: "primer", Form: FormScalar, Template: true, Kinds: []string{"sealant"}, About: "yes where passive metals (stainless, zinc, chrome) are primed."},
			{Name: "sheet_time", Form: FormScalar, Template: true, Kinds: []string{"sealant"}, About: "Time to full cure on the container; it replaces the planning figure."},
			{Name: "use_by", Form: FormScalar, Template: true, Kinds: []string{"sealant"}, About: "Last day of the container: its own date, or that of its opening and what its sheet gives, whichever comes first. A step that seals after it is asked about."},
			{Name: "nut", Form: FormScalar, Template: true, Kinds: []string{"packing"}, About: "Name of the fastener whose thread presses the follower."},
			{Name: "inner", Form: FormScalar, Template: true, Kinds: []string{"gasket"}, About: "Inside diameter of the ring."},
			{Name: "outer", Form: FormScalar, Template: true, Kinds: []string{"gasket"}, About: "Outside diameter of the ring."},
			{Name: "bore", Form: FormScalar, Template: true, Kinds: []string{"gasket"}, About: "Bore the pressure acts on, where it is not the inside of the gasket."},
			{Name: "thickness", Form: FormScalar, Template: true, Kinds: []string{"gasket"}, About: "Thickness once clamped."},
			{Name: "when", Form: FormWhen, About: "Only where this holds: elsewhere no rule looks at it."},
			{Name: "accept", Form: FormTables, Table: "accept", About: "Why a rule does not apply here; shown to the fitter."},
		}
	case "test":
		return []Key{
			{Name: "label", Form: FormLine, About: "What it is called in headings. Without it, its name."},
			{Name: "code", Form: FormScalar, Template: true, About: "Name of the local code."},
			{Name: "edition", Form: FormScalar, Template: true, About: "Its edition or year."},
			{Name: "pressure", Form: FormScalar, Needed: true, Template: true, About: "Working pressure of the boiler, gauge.", Example: `pressure = "${pressure}"`},
			{Name: "multiple", Form: FormScalar, Needed: true, Template: true, About: "Multiple of the working pressure, from the code: the program never chooses it.", Example: `multiple = "${multiple}"`},
			{Name: "target", Form: FormScalar, Template: true, About: "Test pressure, gauge. Without it the product; more than the product is refused."},
			{Name: "hold", Form: FormScalar, Template: true, About: "How long it is held, from the code."},
			{Name: "drop_allowed", Form: FormScalar, Template: true, About: "Fall of pressure that the code allows over that time; 0 bar where it allows none. Without it, a fall is asked about and judged by nobody here."},
			{Name: "operator", Form: FormScalar, Template: true, About: "Who pumps."},
			{Name: "inspector", Form: FormScalar, Template: true, About: "Who certifies."},
			{Name: "witness", Form: FormScalar, Template: true, About: "Who watches."},
			{Name: "preliminary", Form: FormScalar, Template: true, About: "yes for a test that certifies nothing."},
			{Name: "gauge", Form: FormScalar, Template: true, About: "Full scale of the test gauge."},
			{Name: "when", Form: FormWhen, About: "Only where this holds: elsewhere no rule looks at it."},
			{Name: "accept", Form: FormTables, Table: "accept", About: "Why a rule does not apply here; shown to the fitter."},
		}
	case "stage":
		return []Key{
			{Name: "title", Form: FormLine, Needed: true, Template: true, About: "The heading."},
			{Name: "about", Form: FormText, Template: true, About: "A few sentences under the heading."},
			{Name: "when", Form: FormWhen, About: "Only where this holds."},
			{Name: "step", Form: FormTables, Needed: true, Table: "step", About: "The steps, in the order of working."},
		}
	case "step":
		return []Key{
			{Name: "id", Form: FormName, Needed: true, About: "Names the step in a job, and in the after of others."},
			{Name: "kind", Form: FormWord, Needed: true, Words: StepKinds(), About: "What sort of work; strip is taking apart."},
			{Name: "title", Form: FormLine, Template: true, About: "A few words for lists. Without it, the start of do."},
			{Name: "do", Form: FormText, Needed: true, Template: true, About: "What to do, in full sentences."},
			{Name: "why", Form: FormText, Template: true, About: "The reason, for whoever asks."},
			{Name: "after", Form: FormNames, About: "Steps that come first. Without it the step before comes first; [] means none."},
			{Name: "parts", Form: FormNames, About: "The fasteners, seals and tests that the step deals with. The rules of the trade go by it, and the kind of step chooses which of their figures are shown."},
			{Name: "figures", Form: FormFigures, About: "Which figures are shown, in this order, instead of those that the kind of step chooses; [] shows none.", Example: `figures = ["packing.rings", "packing.ring_length"]`},
			{Name: "when", Form: FormWhen, About: "Only where this holds."},
			{Name: "hold", Form: FormLine, Template: true, About: "Who must release the step before work goes on, once what it reads has been read. Any words: a person, a role, an answer. Where that answer is left open, the person your code names."},
			{Name: "witness", Form: FormLine, Template: true, About: "Who is told and may watch."},
			{Name: "wait", Form: FormScalar, Template: true, About: "A time that must pass. A step of kind wait is done when it is over, from when somebody began it; what comes after any other step waits for it.", Example: `wait = "24 h"`},
			{Name: "quadrant", Form: FormScalar, Template: true, About: "A lever that swings between two stops: the angle from shut to open, in degrees, at most 180. It is drawn with the step, and what a reading in ° with a nominal value finds is drawn into it.", Example: `quadrant = "${swing}"`},
			{Name: "closes", Form: FormLine, About: "The opening this step closes: what was put into it, by the tally, has to be out again. Without it in the whole file, sealing and testing close everything.", Example: `closes = "dome"`},
			{Name: "call", Form: FormTable, Table: "call", About: "Another procedure that is done here, as a job inside the job.", Example: `call = { procedure = "damaged-hole", set = { metal = "copper" }, ask = "Does a hole fail?" }`},
			{Name: "reading", Form: FormTables, Table: "reading", About: "What is measured or observed."},
			{Name: "warnings", Form: FormLines, Template: true, About: "What can hurt somebody. Stands before the step."},
			{Name: "cautions", Form: FormLines, Template: true, About: "What can do damage. Stands before the step."},
			{Name: "notes", Form: FormLines, Template: true, About: "What is worth knowing."},
			{Name: "accept", Form: FormTables, Table: "accept", About: "Why a rule does not apply here; shown to the fitter."},
		}
	case "call":
		return []Key{
			{Name: "procedure", Form: FormName, Needed: true, About: "The id of the other procedure. The step is not done before it is; with ask it is started as often as the answer is yes, and never where it is no.", Example: `procedure = "damaged-hole"`},
			{Name: "set", Form: FormValues, Template: true, About: "Settings of the called procedure that are known here. Its other settings are asked when it is started.", Example: `set = { old_thread = "${thread}", metal = "copper" }`},
			{Name: "ask", Form: FormLine, Template: true, About: "The question whether it is called. Without it, it always is.", Example: `ask = "Does a hole turn and turn?"`},
		}
	case "reading":
		return []Key{
			{Name: "name", Form: FormName, Needed: true, About: "Names the reading: in ${...}, in conditions and in sums."},
			{Name: "ask", Form: FormLine, Needed: true, Template: true, About: "What to read."},
			{Name: "kind", Form: FormWord, Needed: true, Words: Kinds(), About: "What it is.", Example: `kind = "length"`},
			{Name: "unit", Form: FormScalar, About: "What a bare figure is in: " + unitsInWords() + ". Without it the first of them; a pressure and a time have to say it. What is counted, and a number, may be called by a noun: rings, drops/min.", Example: `unit = "mm"`},
			{Name: "nominal", Form: FormScalar, Template: true, About: "What is wanted: of a setting that the reading replaces, the answer as it was before."},
			{Name: "within", Form: FormScalar, Template: true, About: "How far from nominal either way: in the unit, or in percent of nominal.", Example: `within = "±0.05"`},
			{Name: "plus", Form: FormScalar, Template: true, About: "How far above nominal, likewise.", Example: `plus = "0.02"`},
			{Name: "minus", Form: FormScalar, Template: true, About: "How far below nominal, likewise.", Example: `minus = "0.05"`},
			{Name: "low", Form: FormScalar, Template: true, About: "The smallest value that is right: always a value, never an offset."},
			{Name: "high", Form: FormScalar, Template: true, About: "The largest value that is right, likewise."},
			{Name: "choices", Form: FormLines, Template: true, Kinds: []string{"choice"}, About: "The answers to choose from."},
			{Name: "sets", Form: FormName, About: "The setting whose answer it replaces: texts and figures after it follow what was measured, while its own limits stay with the value from before.", Example: `sets = "rod"`},
			{Name: "times", Form: FormScalar, About: fmt.Sprintf("How often it is read, 2 to %d. Every figure has to lie within the limits.", mostTimes), Example: `times = 3`},
			{Name: "each", Form: FormName, About: "The fastener for every one of which it is read: a table of one figure for each screw of a ring.", Example: `each = "cover"`},
			{Name: "takes", Form: FormWord, Words: Takes(), About: "Which of several figures counts where one is asked for."},
			{Name: "outside", Form: FormWord, Words: []string{"stop", "warn", "ask", "note"}, About: "What a reading outside its limits is. Without it, warn."},
			{Name: "danger", Form: FormLine, Template: true, About: "What then stands on this engine: the step stops until somebody decided about it and the inspector has released that, and every later job on the engine shows it.", Example: `danger = "Nothing holds this spindle from inside."`},
			{Name: "when", Form: FormWhen, About: "Only where this holds."},
		}
	case "figure":
		return []Key{
			{Name: "label", Form: FormLine, About: "What it is called on the screen. Without it, its name."},
			{Name: "is", Form: FormLine, Needed: true, About: "The sum: names of settings, readings, figures and part.figure, and figures with a unit, with + - * / and brackets, smallest(...), largest(...), mean(...). The signs stand between blanks; what does not go together (a length and a pressure) is a mistake.", Example: `is = "bore_now - rod_now"`},
			{Name: "unit", Form: FormLine, About: "The unit it is shown in. Without it the usual one."},
			{Name: "low", Form: FormScalar, Template: true, About: "The smallest value that is right."},
			{Name: "high", Form: FormScalar, Template: true, About: "The largest value that is right."},
			{Name: "outside", Form: FormWord, Words: []string{"stop", "warn", "ask", "note"}, About: "What a value outside its limits is. Without it, warn. It stands at the step whose reading completes the figure."},
			{Name: "when", Form: FormWhen, About: "Only where this holds."},
			{Name: "accept", Form: FormTables, Table: "accept", About: "Why a rule does not apply here; shown to the fitter."},
		}
	case "accept":
		return []Key{
			{Name: "rule", Form: FormName, Needed: true, About: "The rule, by the name the finding shows in brackets."},
			{Name: "because", Form: FormText, Needed: true, About: "Why it does not apply, in words the fitter and the inspector can judge."},
		}
	}
	return nil
}

// describe is the description of one key of a table.
func describe(table, name string) (Key, bool) {
	for _, k := range Keys(table) {
		if k.Name == name {
			return k, true
		}
	}
	return Key{}, false
}

func zoneWords() []string {
	return []string{"cold feed", "saturated", "superheated", "smokebox", "cab"}
}

// unitsInWords lists the units of every kind that has several.
func unitsInWords() string {
	var words []string
	for _, kind := range Kinds() {
		if units := Units(kind); len(units) > 0 {
			words = append(words, strings.Join(units, ", "))
		}
	}
	return strings.Join(words, "; ")
}
