package checklist

// The description of the format. Unknown keys are found by it, and the
// reference and the JSON Schema are written from it, so that the three cannot
// tell different stories.

// form is what a key may hold.
type form int

const (
	formText    form = iota // a text of several lines
	formLine                // a text of one line
	formScalar              // a text of one line, or a number or true/false standing for one
	formWord                // a text that is one of a list of words
	formName                // letters, digits, - and _
	formNames               // a list of names
	formFigures             // a list of figures: part.figure
	formLines               // a list of texts, or one text
	formEntries             // formLines whose entries may be tables of text and when
	formFormat              // the number of the format
	formTable
	formTables // an array of tables
	formNamed  // a table of tables that have names
	formWhen   // a table of setting names with one value or a list
	formValues // a table of setting names with one value each
)

// key describes one key of a table.
type key struct {
	name     string
	form     form
	needed   bool
	template bool // may hold ${...}
	words    []string
	table    string   // description of the table it holds
	kinds    []string // only where the table's kind is one of these
	about    string
	example  string
}

// tableKeys describes the keys of one kind of table. It makes a new list at
// every call; only mistakes, the reference and the schema ask for it.
func tableKeys(table string) []key {
	switch table {
	case "procedure":
		return []key{
			{name: "format", form: formFormat, needed: true, about: "The version of this format. Looked at first.", example: `format = 1`},
			{name: "id", form: formName, needed: true, about: "Names the procedure in a job: lower-case letters, digits and hyphens.", example: `id = "blower-gland"`},
			{name: "title", form: formLine, needed: true, about: "What the procedure does, in a few words.", example: `title = "Repack a blower-valve gland"`},
			{name: "about", form: formText, template: true, about: "A few sentences for the person who chooses it."},
			{name: "preliminary", form: formTable, table: "preliminary", about: "What must be so, and lie ready, before the first step."},
			{name: "settings", form: formNamed, table: "setting", about: "The questions asked before a job starts, in this order."},
			{name: "fasteners", form: formNamed, table: "fastener", about: "Threads, screws, studs and nuts, each one or a circle of equal ones."},
			{name: "seals", form: formNamed, table: "seal", about: "What keeps steam and water in."},
			{name: "tests", form: formNamed, table: "test", about: "Pressure tests, with what the local code says about them."},
			{name: "stage", form: formTables, needed: true, table: "stage", about: "The work, under headings."},
		}
	case "preliminary":
		return []key{
			{name: "conditions", form: formEntries, template: true, about: "The state the engine must be in."},
			{name: "persons", form: formEntries, template: true, about: "Who must be there."},
			{name: "equipment", form: formEntries, template: true, about: "Tools, gauges, lamps."},
			{name: "supplies", form: formEntries, template: true, about: "What is used up."},
			{name: "spares", form: formEntries, template: true, about: "Parts that may be needed."},
			{name: "warnings", form: formEntries, template: true, about: "What can hurt somebody."},
			{name: "cautions", form: formEntries, template: true, about: "What can do damage."},
			{name: "notes", form: formEntries, template: true, about: "What is worth knowing."},
			{name: "accept", form: formTables, table: "accept", about: "Why a rule does not apply to the procedure as a whole."},
		}
	case "entry":
		return []key{
			{name: "text", form: formText, needed: true, template: true, about: "The entry itself."},
			{name: "when", form: formWhen, about: "Only where a setting has this value."},
		}
	case "setting":
		return []key{
			{name: "ask", form: formLine, needed: true, about: "The question, as the fitter reads it."},
			{name: "why", form: formText, about: "Help under the question."},
			{name: "kind", form: formWord, needed: true, words: SettingKinds(), about: "What the answer is."},
			{name: "default", form: formScalar, template: true, about: "The answer where none is given. It may come from another setting. \"\" is for an answer that may stay open: it reads \"not known\", and a key made of it counts as not given."},
			{name: "choices", form: formLines, kinds: []string{"choice"}, about: "The answers to choose from."},
			{name: "low", form: formScalar, template: true, about: "The smallest answer that makes sense."},
			{name: "high", form: formScalar, template: true, about: "The largest answer that makes sense."},
			{name: "when", form: formWhen, about: "Only where another setting has this value: elsewhere it is not asked and its default stands.", example: `when = { sealing = "o-ring" }`},
		}
	case "fastener":
		return []key{
			{name: "label", form: formLine, about: "What it is called in headings. Without it, its name."},
			{name: "thread", form: formScalar, needed: true, template: true, about: "The thread, as people write it: M4, 2 BA, 1/4 x 40 ME.", example: `thread = "${nut_thread}"`},
			{name: "head", form: formScalar, template: true, words: []string{"hex", "socket", "countersunk", "cheese"}, about: "The head."},
			{name: "length", form: formScalar, template: true, about: "Length of the screw under its head; over all where it is countersunk."},
			{name: "count", form: formScalar, template: true, about: "How many equal ones."},
			{name: "grade", form: formScalar, template: true, about: "What the screw is made of: A2-70, 8.8, phosphor bronze."},
			{name: "into", form: formScalar, template: true, about: "The metal that is tapped: gunmetal, copper, steel."},
			{name: "engagement", form: formScalar, template: true, about: "Height of thread the tapping drill should leave, in percent. Without it, the drill of the rule."},
			{name: "hole", form: formScalar, template: true, about: "wet (it breaks through to water or steam), dry, and blind: one or two of these words.", example: `hole = "wet"`},
			{name: "circle", form: formScalar, template: true, about: "Diameter of the circle the fasteners stand on."},
			{name: "start", form: formScalar, template: true, about: "Angle of the first of them on the circle: 0 is to the right, 90 on top, counted anticlockwise. Without it, 0."},
			{name: "lubricant", form: formScalar, template: true, about: "What is on the thread when it is tightened."},
			{name: "joint", form: formScalar, template: true, about: "Name of the seal that these fasteners clamp."},
			{name: "cover", form: formScalar, template: true, about: "Thickness of what the screw goes through."},
			{name: "washer", form: formScalar, template: true, about: "Thickness of the washers under the head."},
			{name: "depth", form: formScalar, template: true, about: "Depth of full thread in the hole, from the joint face."},
			{name: "edge", form: formScalar, template: true, about: "From the centre of the hole to the nearest edge of the tapped part."},
			{name: "spanner", form: formScalar, template: true, about: "Across flats of what is turned, where no standard says it or yours differs."},
			{name: "drill_off", form: formScalar, template: true, about: "Of a broken screw: how far its first drill turned out to be off the middle. Its last drill gets smaller by twice as much."},
			{name: "utilisation", form: formScalar, template: true, about: "Share of the yield stress to tighten to: 0.1 to 0.9."},
			{name: "when", form: formWhen, about: "Only where a setting has this value: elsewhere no rule looks at it."},
			{name: "accept", form: formTables, table: "accept", about: "Why a rule does not apply here; shown to the fitter."},
		}
	case "seal":
		return []key{
			{name: "label", form: formLine, about: "What it is called in headings. Without it, its name."},
			{name: "kind", form: formWord, needed: true, words: SealKinds(), about: "What sort of seal."},
			{name: "material", form: formScalar, template: true, about: "What it is made of."},
			{name: "zone", form: formScalar, template: true, words: zoneWords(), about: "Where it lives."},
			{name: "pressure", form: formScalar, template: true, about: "Working pressure of the boiler, gauge. Its temperature is judged at 1.1 times this."},
			{name: "test", form: formScalar, template: true, about: "Test pressure the joint has to hold, gauge; from the local code."},
			{name: "measured", form: formScalar, template: true, kinds: sealKinds[:], about: "Temperature measured at the seal in service, where it is known."},
			{name: "sheet_limit", form: formScalar, template: true, kinds: sealKinds[:], about: "Temperature limit on the data sheet or container; it replaces the figures of the program."},
			{name: "oil", form: formScalar, template: true, kinds: sealKinds[:], about: "yes where cylinder oil can reach the seal."},
			{name: "spindle", form: formScalar, template: true, kinds: []string{"packing", "o-ring"}, about: "Spindle diameter where the packing bears."},
			{name: "box", form: formScalar, template: true, kinds: []string{"packing", "o-ring"}, about: "Bore of the packing box, or of what an O-ring seals in."},
			{name: "depth", form: formScalar, template: true, kinds: []string{"packing", "o-ring"}, about: "Depth of the box that packing may fill; of an O-ring's groove."},
			{name: "use", form: formScalar, template: true, kinds: []string{"o-ring"}, about: "face, radial, sliding or turning. Without it, sliding on a spindle and face elsewhere."},
			{name: "section", form: formScalar, template: true, kinds: []string{"o-ring"}, about: "Thickness of the ring's cord."},
			{name: "inside", form: formScalar, template: true, kinds: []string{"o-ring"}, about: "Inside diameter of the free ring."},
			{name: "width", form: formScalar, template: true, kinds: []string{"o-ring"}, about: "Width of the groove, along the spindle."},
			{name: "metals", form: formScalar, template: true, kinds: []string{"sealant"}, about: "The two metals it lies between: gunmetal, stainless."},
			{name: "gap", form: formScalar, template: true, kinds: []string{"sealant"}, about: "The widest gap it has to fill, on the radius."},
			{name: "shop", form: formScalar, template: true, kinds: []string{"sealant"}, about: "The lowest temperature until it is cured."},
			{name: "primer", form: formScalar, template: true, kinds: []string{"sealant"}, about: "yes where passive metals (stainless, zinc, chrome) are primed."},
			{name: "sheet_time", form: formScalar, template: true, kinds: []string{"sealant"}, about: "Time to full cure on the container; it replaces the planning figure."},
			{name: "use_by", form: formScalar, template: true, kinds: []string{"sealant"}, about: "Last day of the container: its own date, or that of its opening and what its sheet gives, whichever comes first. A step that seals after it is asked about."},
			{name: "nut", form: formScalar, template: true, kinds: []string{"packing"}, about: "Name of the fastener whose thread presses the follower."},
			{name: "inner", form: formScalar, template: true, kinds: []string{"gasket"}, about: "Inside diameter of the ring."},
			{name: "outer", form: formScalar, template: true, kinds: []string{"gasket"}, about: "Outside diameter of the ring."},
			{name: "bore", form: formScalar, template: true, kinds: []string{"gasket"}, about: "Bore the pressure acts on, where it is not the inside of the gasket."},
			{name: "thickness", form: formScalar, template: true, kinds: []string{"gasket"}, about: "Thickness once clamped."},
			{name: "when", form: formWhen, about: "Only where a setting has this value: elsewhere no rule looks at it."},
			{name: "accept", form: formTables, table: "accept", about: "Why a rule does not apply here; shown to the fitter."},
		}
	case "test":
		return []key{
			{name: "label", form: formLine, about: "What it is called in headings. Without it, its name."},
			{name: "code", form: formScalar, template: true, about: "Name of the local code."},
			{name: "edition", form: formScalar, template: true, about: "Its edition or year."},
			{name: "pressure", form: formScalar, needed: true, template: true, about: "Working pressure of the boiler, gauge.", example: `pressure = "${pressure}"`},
			{name: "multiple", form: formScalar, needed: true, template: true, about: "Multiple of the working pressure, from the code: the program never chooses it.", example: `multiple = "${multiple}"`},
			{name: "target", form: formScalar, template: true, about: "Test pressure, gauge. Without it the product; more than the product is refused."},
			{name: "hold", form: formScalar, template: true, about: "How long it is held, from the code."},
			{name: "drop_allowed", form: formScalar, template: true, about: "Fall of pressure that the code allows over that time; 0 bar where it allows none. Without it, a fall is asked about and judged by nobody here."},
			{name: "operator", form: formScalar, template: true, about: "Who pumps."},
			{name: "inspector", form: formScalar, template: true, about: "Who certifies."},
			{name: "witness", form: formScalar, template: true, about: "Who watches."},
			{name: "preliminary", form: formScalar, template: true, about: "yes for a test that certifies nothing."},
			{name: "gauge", form: formScalar, template: true, about: "Full scale of the test gauge."},
			{name: "when", form: formWhen, about: "Only where a setting has this value: elsewhere no rule looks at it."},
			{name: "accept", form: formTables, table: "accept", about: "Why a rule does not apply here; shown to the fitter."},
		}
	case "stage":
		return []key{
			{name: "title", form: formLine, needed: true, template: true, about: "The heading."},
			{name: "about", form: formText, template: true, about: "A few sentences under the heading."},
			{name: "when", form: formWhen, about: "Only where a setting has this value."},
			{name: "step", form: formTables, needed: true, table: "step", about: "The steps, in the order of working."},
		}
	case "step":
		return []key{
			{name: "id", form: formName, needed: true, about: "Names the step in a job and in needs."},
			{name: "kind", form: formWord, needed: true, words: StepKinds(), about: "What sort of work; strip is taking apart."},
			{name: "title", form: formLine, template: true, about: "A few words for lists. Without it, the start of do."},
			{name: "do", form: formText, needed: true, template: true, about: "What to do, in full sentences."},
			{name: "why", form: formText, template: true, about: "The reason, for whoever asks."},
			{name: "needs", form: formNames, about: "Steps that come first. Without it the step before comes first; [] means none."},
			{name: "uses", form: formNames, about: "Fasteners, seals and tests whose figures are shown with the step."},
			{name: "figures", form: formFigures, about: "Which figures are shown, in this order. Without it all of what it uses; [] shows none.", example: `figures = ["packing.rings", "packing.ring_length"]`},
			{name: "when", form: formWhen, about: "Only where a setting has this value.", example: `when = { sealing = "packing" }`},
			{name: "hold", form: formLine, template: true, about: "Who must release the step before work goes on."},
			{name: "witness", form: formLine, template: true, about: "Who is told and may watch."},
			{name: "wait", form: formScalar, template: true, about: "Time that must pass after the step.", example: `wait = "24 h"`},
			{name: "quadrant", form: formScalar, template: true, about: "A lever that swings between two stops: the angle from shut to open, in degrees, at most 180. It is drawn with the step, and what a reading in ° with a nominal value finds is drawn into it.", example: `quadrant = "${swing}"`},
			{name: "closes", form: formLine, about: "The opening this step closes: what was put into it, by the tally, has to be out again. Without it in the whole file, sealing and testing close everything.", example: `closes = "dome"`},
			{name: "call", form: formName, about: "The id of another procedure that is done here, as a job inside the job. The step is not done before it is; with only_if it is started as often as that is so, and never where it is not.", example: `call = "damaged-hole"`},
			{name: "set", form: formValues, template: true, about: "Settings of the called procedure that are known here. Its other settings are asked when it is started.", example: `set = { old_thread = "${thread}", metal = "copper" }`},
			{name: "only_if", form: formLine, template: true, about: "When the other procedure is called. Without it, always.", example: `only_if = "a hole turns and turns"`},
			{name: "reading", form: formTables, table: "reading", about: "What is measured or observed."},
			{name: "warning", form: formLines, template: true, about: "What can hurt somebody. Stands before the step."},
			{name: "caution", form: formLines, template: true, about: "What can do damage. Stands before the step."},
			{name: "note", form: formLines, template: true, about: "What is worth knowing."},
			{name: "accept", form: formTables, table: "accept", about: "Why a rule does not apply here; shown to the fitter."},
		}
	case "reading":
		return []key{
			{name: "name", form: formName, needed: true, about: "Names the reading. The name of a setting: the reading replaces its value for what follows."},
			{name: "ask", form: formLine, needed: true, template: true, about: "What to read."},
			{name: "unit", form: formWord, needed: true, words: ReadingUnits(), about: "The unit a bare number is in, or a noun for what is counted: rings, nips."},
			{name: "nominal", form: formScalar, template: true, about: "What is wanted."},
			{name: "low", form: formScalar, template: true, about: "Lower limit: with a sign an offset from nominal, -0.1 or -10 %, without one a value."},
			{name: "high", form: formScalar, template: true, about: "Upper limit, likewise."},
			{name: "choices", form: formLines, template: true, kinds: []string{"choice"}, about: "The answers to choose from."},
			{name: "outside", form: formWord, words: []string{"stop", "warn", "ask", "note"}, about: "What a reading outside its limits is. Without it, warn."},
			{name: "danger", form: formLine, template: true, about: "What then stands on this engine: the step stops until somebody decided about it and the inspector has released that, and every later job on the engine shows it.", example: `danger = "Nothing holds this spindle from inside."`},
		}
	case "accept":
		return []key{
			{name: "rule", form: formName, needed: true, about: "The rule, by the name the finding shows in brackets."},
			{name: "because", form: formText, needed: true, about: "Why it does not apply, in words the fitter and the inspector can judge."},
		}
	}
	return nil
}

// describe is the description of one key of a table.
func describe(table, name string) (key, bool) {
	for _, k := range tableKeys(table) {
		if k.name == name {
			return k, true
		}
	}
	return key{}, false
}

func zoneWords() []string {
	return []string{"cold feed", "saturated", "superheated", "smokebox", "cab"}
}
