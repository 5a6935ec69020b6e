package checklist

import (
	"fettle/threads/check"
	"slices"
)

// Rules of the trade that this package asks itself.
const (
	ruleIdleWait       = "idle-wait"
	ruleUnusedSetting  = "unused-setting"
	ruleUnusedPart     = "unused-part"
	ruleNoConditions   = "no-conditions"
	ruleGlandHold      = "gland-hold"
	ruleDryFitFirst    = "seal-before-dry-fit"
	ruleNoDryFit       = "seal-without-dry-fit"
	ruleTestBeforeCure = "test-before-cure"
	ruleTightenCured   = "tighten-cured"
	ruleNoTime         = "wait-without-time"
	ruleFullAtOnce     = "full-torque-at-once"
	ruleScrewShort     = "screw-short"
	ruleScrewBottoms   = "screw-bottoms"
	ruleBlindDepth     = "blind-depth"
	ruleShallowThread  = "shallow-thread"
	ruleHeadsClash     = "heads-clash"
	ruleSqueeze        = "squeeze"
	ruleFill           = "fill"
	ruleGaugeScale     = "gauge-scale"
	ruleOddScrew       = "odd-screw"
	ruleSign           = "limit-sign"
	ruleFlats          = "flats-too-small"
	ruleFigureOutside  = "figure-outside"
)

// Rule is one thing that a check looks for.
type Rule struct {
	ID         string
	Severities []check.Severity // what its findings can be, gravest first
	Looks      string           // what it looks for
	Reason     string           // why
	Source     string
	// Acceptable rules can be answered in the file with
	// accept = [{ rule = "...", because = "..." }], which is shown to the fitter.
	Acceptable bool
}

const practice = "common practice, no source"

// Rules lists the rules of the trade, those about the order of work first, and
// then the rules about the file itself.
func Rules() []Rule {
	return []Rule{
		{ruleDryFitFirst, []check.Severity{check.Stop}, "a step that seals a part before the step that fits it dry", "A misfit found with sealant on costs the seal and often the part.", practice, true},
		{ruleNoDryFit, []check.Severity{check.Warn}, "a step that seals without any dry fit before it", "A misfit found with sealant on costs the seal and often the part.", practice, true},
		{ruleTestBeforeCure, []check.Severity{check.Stop}, "a test that can begin before a sealant has had its wait", "An uncured sealant is blown out by the test.", "makers' cure times; " + practice, true},
		{ruleTightenCured, []check.Severity{check.Stop}, "a fastener tightened after its sealant has cured", "Turning it breaks the film, and a broken film does not cure again.", practice, true},
		{ruleFullAtOnce, []check.Severity{check.Stop, check.Warn}, "three screws or more that come to their whole torque before their first and second pass", "The part is drawn down on one side, and its seal pressed into a wedge.", practice, true},
		{ruleIdleWait, []check.Severity{check.Warn}, "a wait that no step waits for", "The work goes on at once, and the wait is only written down.", practice, true},
		{ruleNoConditions, []check.Severity{check.Warn}, "seals opened with no conditions under [before]", "Cold, drained and at zero pressure come before every spanner.", practice, true},
		{ruleGlandHold, []check.Severity{check.Warn}, "a packed gland with no hold point in the whole procedure", "A spindle that nothing holds inside leaves when the gland is slackened under pressure.", practice, true},
		{ruleNoTime, []check.Severity{check.Stop}, "a step of kind wait without a `wait`", "Nobody knows when it is over.", "", true},
		{ruleSign, []check.Severity{check.Warn}, "a limit that what is wanted does not go with, as if an offset were meant", "low and high are values: a wrong part passes, or a right one does not.", "", false},
		{ruleFigureOutside, []check.Severity{check.Stop, check.Warn, check.Ask}, "a figure of [figures] that the answers alone put outside its limits", "The work begins with what its author does not want.", "the procedure", true},
		{ruleUnusedSetting, []check.Severity{check.Warn}, "a setting that nothing uses", "The fitter answers a question that changes nothing.", "", false},
		{ruleUnusedPart, []check.Severity{check.Warn}, "a fastener or seal that nothing names", "Its figures are shown nowhere and its rules are asked for nothing.", "", true},

		{ruleScrewShort, []check.Severity{check.Stop}, "a screw that does not reach through cover, washer and gasket", "It holds nothing.", "calculated", true},
		{ruleScrewBottoms, []check.Severity{check.Stop}, "a screw that reaches the end of the thread in a blind hole", "It feels tight and clamps nothing; forced, it bursts the wall.", "least room of one pitch: " + practice, true},
		{ruleBlindDepth, []check.Severity{check.Ask}, "a screw in a blind hole whose depth of thread is not given", "Nobody can say whether it bottoms.", practice, true},
		{ruleShallowThread, []check.Severity{check.Stop, check.Warn}, "a tapping drill that leaves too little thread", "A shallow thread strips and leaks.", practice, true},
		{"engagement-short", []check.Severity{check.Warn}, "less thread in the metal than it wants", "The thread strips before the screw is tight.", "handbooks; " + practice, true},
		{"few-threads", []check.Severity{check.Warn}, "fewer than four threads engaged", "The first threads carry nearly everything.", practice, true},
		{"thin-wall", []check.Severity{check.Stop}, "a tapped hole too near an edge", "The wall bursts before the thread holds.", "VDI 2230-1, from memory", true},
		{"friction-assumed", []check.Severity{check.Ask}, "a torque with nothing said of what is on the thread", "The same torque gives twice the preload on a greased thread.", practice, true},
		{"spread-yield", []check.Severity{check.Warn}, "a torque that passes yield where the friction is at its least", "The screw stretches for good.", "VDI 2230-1", true},
		{"spread-strip", []check.Severity{check.Warn}, "a torque that may strip the tapped metal where the friction is at its least", "The thread comes out with the screw.", "NASA RP-1228", true},
		{"breaking-torque", []check.Severity{check.Warn}, "a torque that could shear a screw which binds", "A screw that binds gets all of the torque and is wrung off.", "ISO 898-7, ISO 3506-1, ISO 8839; else estimated", true},

		{"wet-steel", []check.Severity{check.Stop}, "plain steel in a wet hole", "It rusts in, swells and shears when it is taken out.", practice, true},
		{"wet-plated", []check.Severity{check.Stop}, "plated steel in a wet hole", "The plating goes first, then the steel.", practice, true},
		{"wet-aluminium", []check.Severity{check.Stop}, "aluminium in a wet hole", "Water and copper eat it.", practice, true},
		{"wet-brass", []check.Severity{check.Warn}, "brass in a wet hole", "It loses its zinc over the years and is weak.", "alloys above 15 % zinc; practice and codes differ", true},
		{"wet-stainless", []check.Severity{check.Ask}, "stainless in a wet hole", "Chloride in crevices can crack it, and some codes restrict it.", "a regulator's review of 2011; local code", true},
		{"wet-free-stainless", []check.Severity{check.Warn}, "free-machining stainless in a wet hole", "Its sulphides corrode.", "stainless references", true},
		{"galvanic", []check.Severity{check.Warn}, "metals far apart in a wet place", "The baser one is eaten.", "MIL-STD-1250A anodic index", true},
		{"galling", []check.Severity{check.Warn}, "stainless in stainless without a lubricant", "It seizes and shears.", "ISO 3506-1:2020", true},
		{"metal-hot", []check.Severity{check.Stop, check.Warn}, "a fastener or tapped metal hotter than it stands", "It creeps, anneals or breaks.", "with each metal", true},
		{"hole-unknown", []check.Severity{check.Ask}, "a joint whose holes are not said to be wet or dry", "It decides what the screws may be made of.", practice, true},

		{"reserve", []check.Severity{check.Stop, check.Warn}, "a joint whose screws cannot hold its test pressure", "It opens and leaks, or worse.", "ASME VIII-1 Appendix 2", true},
		{"one-lost", []check.Severity{check.Warn}, "a joint that does not hold with one screw lost", "One screw is easily lost.", "calculated", true},
		{"pitch-wide", []check.Severity{check.Warn}, "screws more than six diameters apart", "A thin cover lifts between them.", practice, true},
		{ruleHeadsClash, []check.Severity{check.Stop, check.Warn}, "heads wider than the screws are apart", "They cannot be fitted or turned.", "calculated; the head's standard", true},
		{"web-thin", []check.Severity{check.Warn}, "less than a diameter of metal between tapped holes", "They break into each other.", practice, true},
		{"ring-in-bore", []check.Severity{check.Warn}, "a gasket that reaches into the bore", "It breaks off and travels.", "calculated", true},
		{"holes-cut-ring", []check.Severity{check.Stop}, "screw holes that cut into the gasket", "Pressure leaves by the screw hole.", "calculated", true},
		{"narrow-land", []check.Severity{check.Warn}, "too little left between gasket and screw holes", "The holes tear into the gasket.", practice, true},
		{"full-face", []check.Severity{check.Stop}, "the gasket reaches past the screws", "Its load is not the sum of Appendix 2, and nobody has worked out whether the screws hold it.", "ASME VIII-1 Appendix 2", true},
		{"thread-height", []check.Severity{check.Stop, check.Warn}, "the tapping drill leaves too little thread", "The thread strips below the torque.", practice, true},
		{"gasket-land", []check.Severity{check.Stop, check.Warn}, "screw holes that cut into the gasket, or nearly", "Pressure leaves by the screw hole.", practice, true},
		{"gasket-overhang", []check.Severity{check.Stop}, "a gasket that hangs over the opening", "It breaks off and travels.", practice, true},
		{"gasket-width", []check.Severity{check.Warn}, "a gasket ring too narrow to cut", "It does not seat.", practice, true},
		{"seating-practice", []check.Severity{check.Warn}, "a gasket pressed less than fitters aim at", "It weeps although the code's figure is met.", "gasket makers' notes", true},
		{"gasket-crushed", []check.Severity{check.Warn}, "a gasket pressed more than it is used at", "It flows out of the joint.", "gasket makers' notes", true},

		{"temperature-limit", []check.Severity{check.Stop, check.Warn, check.Ask}, "a seal hotter than its material stands, or nearly", "It hardens, melts or flows away in service.", "with each material; steam by IAPWS R7-97(2012)", true},
		{ruleOddScrew, []check.Severity{check.Warn}, "a screw that a job put in the place of another, and that stands less torque than the rest of its circle", "The torque of a circle is that of its weakest screw.", practice, true},
		{"pressure-limit", []check.Severity{check.Stop, check.Warn}, "a seal above the pressure its material is for", "It is blown out.", "with each material", true},
		{"not-suitable", []check.Severity{check.Stop}, "a material that its sources rule out there", "It fails at any temperature.", "with each material", true},
		{"seal-superheat", []check.Severity{check.Stop}, "rubber, PTFE or anaerobic sealant in superheated steam", "None of them stands it.", practice, true},
		{"seal-oil", []check.Severity{check.Stop}, "EPDM where cylinder oil can reach it", "Mineral oil swells it by 30 to 80 %.", "published elastomer table", true},
		{"seal-fibre", []check.Severity{check.Ask}, "a packing named by what is on its yarn", "Cotton or flax under the graphite chars.", "with the material", true},
		{"seal-contested", []check.Severity{check.Ask}, "a material whose sources disagree", "The data sheet of what is in hand decides.", "with each material", true},
		{"clack-passing", []check.Severity{check.Warn}, "a seal of the cold feed that does not stand steam", "A clack that passes lets steam reach it.", "IAPWS R7-97(2012)", true},
		{"superheat-assumed", []check.Severity{check.Ask}, "superheat that was not measured", "350 °C is assumed.", practice, true},
		{"measured-too-cool", []check.Severity{check.Ask}, "a measured temperature below that of the steam", "It was measured elsewhere, or at another pressure.", "IAPWS R7-97(2012)", true},
		{ruleFlats, []check.Severity{check.Stop}, "a nut or a head that is no wider across its flats than the thread in it", "There is no metal left round the thread.", "calculated", true},
		{"nut-and-box", []check.Severity{check.Ask}, "a gland nut whose thread has a core no wider than the box is bored", "One of the two was measured or typed wrong: such a gland cannot be made.", "calculated", true},
		{"few-rings", []check.Severity{check.Warn}, "a gland that takes fewer than three rings", "Fewer do not seal for long.", "published packing guides", true},
		{ruleSqueeze, []check.Severity{check.Stop, check.Warn}, "an O-ring squeezed too little or too much", "It weeps, or takes a set.", "published O-ring groove guides", true},
		{ruleFill, []check.Severity{check.Stop, check.Warn}, "an O-ring that fills its groove too much or too little", "It locks solid when it swells, or rolls.", "published O-ring groove guides", true},
		{"stretch", []check.Severity{check.Warn}, "an O-ring stretched too far, or loose", "It thins and ages.", "published O-ring groove guides", true},
		{"cure-planning", []check.Severity{check.Ask}, "a cure time that does not come from the container", "It is a planning figure only.", practice, true},

		{"multiple-missing", []check.Severity{check.Stop}, "a pressure test without a multiple", "The local code gives it; the program never chooses it.", "the local boiler code and the inspector", false},
		{"target-too-high", []check.Severity{check.Stop}, "a test pressure above working pressure times the multiple", "It is more than the code allows.", "the local boiler code and the inspector", false},
		{"own-inspector", []check.Severity{check.Stop}, "a certifying test inspected by the one who pumps", "Nobody certifies their own work.", "the local boiler code and the inspector", false},
		{"own-witness", []check.Severity{check.Ask}, "a witness who is the operator", "The code may not allow it.", "the local boiler code and the inspector", true},
		{"code-missing", []check.Severity{check.Ask}, "a pressure test that names no code", "The figures come from it.", "the local boiler code and the inspector", true},
		{"edition-missing", []check.Severity{check.Ask}, "a pressure test that names no edition of its code", "Editions differ.", "the local boiler code and the inspector", true},
		{"hold-missing", []check.Severity{check.Ask}, "a pressure test without a hold time", "The code gives it.", "the local boiler code and the inspector", true},
		{"inspector-missing", []check.Severity{check.Ask}, "a certifying test that names no inspector", "The code says who it is.", "the local boiler code and the inspector", true},
		{ruleGaugeScale, []check.Severity{check.Warn}, "a gauge whose scale does not suit the test", "Too small it hits its stop, too large it cannot be read.", "long-standing ASME practice", true},
	}
}

// acceptable says whether a file may answer a rule.
func acceptable(id string) bool {
	for _, r := range Rules() {
		if r.ID == id {
			return r.Acceptable
		}
	}
	return false
}

// acceptableRules lists the rules that a file may answer.
func acceptableRules() []string {
	var ids []string
	for _, r := range Rules() {
		if r.Acceptable {
			ids = append(ids, r.ID)
		}
	}
	slices.Sort(ids)
	return ids
}
