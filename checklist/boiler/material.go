package boiler

import (
	"slices"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// SealMaterial is a sealing material by its name, as ParseSealMaterial gives it.
type SealMaterial string

const (
	Nitrile             SealMaterial = "nitrile rubber"
	EPDMSulphur         SealMaterial = "EPDM, sulphur cured"
	EPDMPeroxide        SealMaterial = "EPDM, peroxide cured"
	FKM                 SealMaterial = "FKM"
	Silicone            SealMaterial = "silicone rubber"
	FEPM                SealMaterial = "FEPM"
	FFKM                SealMaterial = "FFKM"
	PTFEPacking         SealMaterial = "PTFE packing"
	PTFETape            SealMaterial = "PTFE tape"
	Anaerobic           SealMaterial = "anaerobic sealant"
	AnaerobicHot        SealMaterial = "high-temperature anaerobic sealant"
	JointingPaste       SealMaterial = "jointing paste"
	GraphiteYarn        SealMaterial = "pure graphite yarn"
	GraphitedYarn       SealMaterial = "graphited yarn, fibre not known"
	PTFEYarn            SealMaterial = "PTFE yarn, fibre not known"
	NaturalFibre        SealMaterial = "natural fibre packing"
	AramidSheet         SealMaterial = "aramid sheet"
	GraphiteSheet       SealMaterial = "graphite sheet"
	CopperGasket        SealMaterial = "copper gasket"
	VegetableFibreSheet SealMaterial = "vegetable fibre"
)

// Class groups sealing materials that share a rule.
type Class string

const (
	Elastomer  Class = "elastomer"
	PTFE       Class = "PTFE"
	Anaerobics Class = "anaerobic"
	Paste      Class = "paste"
	Yarn       Class = "yarn"
	Sheet      Class = "sheet"
	MetalSeal  Class = "metal"
)

// Limit is one published or customary figure for what a material stands.
// Either Temperature or Pressure is set, or NotSuitable.
type Limit struct {
	Temperature quantity.Temperature
	// Pressure is a limit of working pressure in saturated steam.
	Pressure quantity.Pressure
	// NotSuitable is set where the source rules the medium out at any temperature.
	NotSuitable bool
	// OrMore is set where the source says "more than" the figure.
	OrMore bool
	// Beyond is how grave it is to go past the figure; empty stands for Stop.
	// A threshold of care or of a standard's scope weighs less than a failure.
	Beyond check.Severity
	Source string
}

// sealRow is what is known about one sealing material. Where sources disagree,
// or give a range, every figure is listed, the one to rely on first.
type sealRow struct {
	material         SealMaterial
	also             []string
	class            Class
	dry, water, wet  []Limit // wet: saturated steam
	remarks, dangers []string
	contested        string // what is disputed and what the user can do about it
	// open is set where the name leaves open what the thing is made of: what is
	// contested is then that, wherever a limit is near.
	open bool
}

const (
	twoTables   = "two published elastomer tables"
	oneTable    = "one published elastomer table"
	packingBook = "a published packing glossary; a navy training manual has over 1000 °F (538 °C)"
	vegetable   = "a valve maker's published guide: vegetable packing for low pressure below 100 °C"
	fibreChars  = "natural fibre chars: " + commonPractice
	sheetMakers = "from memory: gasket makers' data for the classes of EN 1514 and DIN 28091"
	sealantData = "adhesive makers' published notes"
)

func upTo(t quantity.Temperature, source string) Limit {
	return Limit{Temperature: t, Source: source}
}

// sealRows is the table of sealing materials. The figures in steam are for
// steam: dry-heat figures printed on a packet do not hold there.
func sealRows() []sealRow {
	return []sealRow{
		{
			material: Nitrile, class: Elastomer,
			also:  []string{"nbr", "nitrile", "buna n"},
			dry:   []Limit{upTo(100, twoTables), upTo(120, twoTables)},
			water: []Limit{upTo(80, twoTables), upTo(100, twoTables)},
			wet:   []Limit{{NotSuitable: true, Source: twoTables + " agree"}},
		},
		{
			material: EPDMSulphur, class: Elastomer,
			also:    []string{"epdm sulphur", "epdm sulfur", "epdm sulfur cured", "sulphur cured epdm"},
			dry:     []Limit{upTo(130, oneTable)},
			water:   []Limit{upTo(130, oneTable)},
			wet:     []Limit{upTo(130, oneTable)},
			remarks: []string{epdmOil},
		},
		{
			material: EPDMPeroxide, class: Elastomer,
			also:      []string{"epdm peroxide", "peroxide cured epdm"},
			dry:       []Limit{upTo(150, oneTable)},
			water:     []Limit{upTo(150, oneTable), upTo(175, "another published elastomer table")},
			wet:       []Limit{upTo(150, oneTable), upTo(175, "another published elastomer table")},
			contested: "Tables disagree on 150 or 175 °C in steam; better grades stand more. The data sheet of the compound in hand decides.",
			remarks:   []string{epdmOil},
		},
		{
			material: FKM, class: Elastomer,
			also:  []string{"fluoro rubber", "fluoroelastomer", "fluorocarbon rubber"},
			dry:   []Limit{upTo(200, twoTables)},
			water: []Limit{upTo(80, twoTables)},
			wet:   []Limit{{Temperature: 120, Beyond: check.Warn, Source: commonPractice}},
			contested: "Two suppliers' tables do not recommend FKM for steam and give no temperature; its use on models at 160 to 175 °C is widespread and reported as satisfactory. " +
				"Peroxide-cured, high-fluorine kinds are said (from memory) to do better in steam than bisphenol-cured ones. If it is used, renew it every year.",
			dangers: []string{"Burnt fluoro-rubber leaves an acid residue: never touch it with bare hands."},
		},
		{
			material: Silicone, class: Elastomer,
			also:    []string{"vmq", "silicone"},
			dry:     []Limit{upTo(200, oneTable), upTo(230, oneTable)},
			water:   []Limit{upTo(120, oneTable)},
			wet:     []Limit{upTo(120, oneTable)},
			remarks: []string{"Silicone rubber is broken down by water and steam (hydrolysis)."},
		},
		{
			material: FEPM, class: Elastomer,
			also:  []string{"tfe propylene", "tfe/propylene", "tfe/p"},
			dry:   []Limit{upTo(200, oneTable), upTo(230, oneTable)},
			water: []Limit{upTo(165, oneTable), upTo(200, oneTable)},
			wet:   []Limit{upTo(165, oneTable), upTo(200, oneTable)},
		},
		{
			material: FFKM, class: Elastomer,
			also:  []string{"perfluoro rubber", "perfluoroelastomer"},
			dry:   []Limit{{Temperature: 260, OrMore: true, Source: oneTable}},
			water: []Limit{{Temperature: 200, OrMore: true, Source: oneTable}},
			wet:   []Limit{{Temperature: 200, OrMore: true, Source: oneTable}},
		},
		{
			material: PTFEPacking, class: PTFE,
			also:    []string{"ptfe solid", "solid ptfe", "pure ptfe", "pure ptfe packing", "pure ptfe yarn", "ptfe ring"},
			dry:     []Limit{upTo(260, "from memory: handbook")},
			water:   []Limit{upTo(230, "from memory: handbook"), upTo(260, "from memory: handbook")},
			wet:     []Limit{upTo(230, "from memory: handbook"), upTo(260, "from memory: handbook")},
			remarks: []string{"PTFE flows when cold and expands six to eight times as much as brass or copper: do not pack it solid; nip it again cold."},
			dangers: []string{"Overheated PTFE gives off poisonous fumes."},
		},
		{
			material: PTFETape, class: PTFE,
			also:  []string{"tape", "ptfe thread tape", "thread tape"},
			dry:   []Limit{{Temperature: 125, Beyond: check.Warn, Source: ptfeTapeStandard}, upTo(260, ptfeTapePractice)},
			water: []Limit{{Temperature: 125, Beyond: check.Warn, Source: ptfeTapeStandard}, {Pressure: 7, Beyond: check.Warn, Source: ptfeTapeStandard}, upTo(260, ptfeTapePractice)},
			wet:   []Limit{{Temperature: 125, Beyond: check.Warn, Source: ptfeTapeStandard}, upTo(260, ptfeTapePractice)},
			contested: "EN 751-3:2022 covers thread tape from -20 to 125 °C and hot water up to 7 bar; steam is outside it. " +
				"Its use in steam is practice on the strength of the polymer's 260 °C.",
			remarks: []string{
				"Shreds of tape block clacks and injectors: none on stud ends inside the boiler, first thread bare.",
			},
		},
		{
			material: Anaerobic, class: Anaerobics,
			also:  []string{"anaerobic", "anaerobic pipe sealant", "anaerobic thread sealant", "ordinary anaerobic"},
			dry:   []Limit{upTo(150, sealantData)},
			water: []Limit{upTo(150, sealantData)},
			wet:   []Limit{upTo(150, sealantData)},
		},
		{
			material: AnaerobicHot, class: Anaerobics,
			also:      []string{"high temperature anaerobic", "anaerobic high temperature", "hot anaerobic", "anaerobic hot"},
			dry:       []Limit{upTo(200, sealantData), upTo(230, sealantData)},
			water:     []Limit{upTo(180, commonPractice), upTo(200, commonPractice)},
			wet:       []Limit{upTo(180, commonPractice), upTo(200, commonPractice)},
			contested: "180 to 200 °C in steam is custom, not a published figure. Read the container's data sheet and enter its limit.",
		},
		{
			material: JointingPaste, class: Paste,
			also:  []string{"oil graphite paste", "oil and graphite paste", "jointing compound", "graphite jointing paste"},
			dry:   []Limit{upTo(250, commonPractice), upTo(300, commonPractice)},
			water: []Limit{upTo(250, commonPractice), upTo(300, commonPractice)},
			wet:   []Limit{upTo(250, commonPractice), upTo(300, commonPractice)},
		},
		{
			material: GraphiteYarn, class: Yarn,
			also:    []string{"pure graphite", "pure graphite packing", "expanded graphite yarn", "expanded graphite packing", "graphite filament yarn", "graphite foil packing"},
			dry:     []Limit{upTo(450, packingBook)},
			water:   []Limit{upTo(650, packingBook)},
			wet:     []Limit{upTo(650, packingBook)},
			remarks: []string{"In air graphite burns away above 450 °C: that figure governs on the smokebox side."},
		},
		openYarn(GraphitedYarn, "graphite", "graphited yarn", "graphited packing", "graphite yarn", "graphite packing", "graphited"),
		openYarn(PTFEYarn, "PTFE", "PTFE yarn", "PTFE impregnated yarn", "PTFE impregnated packing", "PTFE gland packing", "PTFE flax"),
		{
			material: NaturalFibre, class: Yarn,
			also: []string{"flax", "flax packing", "waxed flax", "tallowed flax", "graphited flax", "cotton packing", "graphited cotton", "hemp", "hemp packing", "graphited hemp", "jute"},
			dry:  []Limit{upTo(100, vegetable), upTo(120, fibreChars)}, water: []Limit{upTo(100, vegetable), upTo(120, fibreChars)}, wet: []Limit{upTo(100, vegetable), upTo(120, fibreChars)},
			remarks: []string{"The wax in flax packing is reported to go from 120 °F (49 °C)."},
		},
		{
			material: AramidSheet, class: Sheet,
			also:    []string{"compressed aramid sheet", "compressed aramid", "aramid nbr sheet"},
			dry:     []Limit{upTo(200, sheetMakers), upTo(250, sheetMakers)},
			water:   []Limit{upTo(180, sheetMakers), upTo(200, sheetMakers)},
			wet:     []Limit{upTo(180, sheetMakers), upTo(200, sheetMakers)},
			remarks: []string{"It hardens in steam: never tighten it again while hot."},
		},
		{
			material: GraphiteSheet, class: Sheet,
			also:  []string{"expanded graphite sheet", "graphite gasket"},
			dry:   []Limit{upTo(450, sheetMakers)},
			water: []Limit{{Temperature: 450, OrMore: true, Source: sheetMakers}},
			wet:   []Limit{{Temperature: 450, OrMore: true, Source: sheetMakers}},
		},
		{
			material: CopperGasket, class: MetalSeal,
			also:      []string{"annealed copper", "copper", "copper washer", "copper ring"},
			dry:       []Limit{{Temperature: 200, Beyond: check.Warn, Source: copperPipeRule}},
			water:     []Limit{{Temperature: 200, Beyond: check.Warn, Source: copperPipeRule}},
			wet:       []Limit{{Temperature: 200, Beyond: check.Warn, Source: copperPipeRule}},
			contested: "200 °C is the rule for copper pipe; as a trapped gasket copper is used higher (" + commonPractice + ").",
			remarks:   []string{"Anneal it before every use."},
		},
		{
			material: VegetableFibreSheet, class: Sheet,
			also:    []string{"oiled paper", "paper", "paper gasket", "vegetable fibre sheet", "vegetable fibre gasket"},
			dry:     []Limit{upTo(120, commonPractice), upTo(140, commonPractice)},
			water:   []Limit{upTo(120, commonPractice), upTo(140, commonPractice)},
			wet:     []Limit{{Pressure: 2, Source: commonPractice}},
			remarks: []string{"Oiled paper and vegetable fibre are for cold water and low pressure."},
		},
	}
}

// openYarn is a packing that is named by what is on it: the fibre below decides.
func openYarn(m SealMaterial, on string, also ...string) sealRow {
	limits := []Limit{{Temperature: 120, Beyond: check.Ask, Source: fibreChars}}
	return sealRow{
		material: m, also: also, class: Yarn, open: true, dry: limits, water: limits, wet: limits,
		contested: "Cotton, flax, acrylic, aramid and glass yarn are sold with " + on + " on them; natural fibre chars from about 120 °C. " +
			"Only the packet or the maker's sheet says which it is: enter its limit, or take packing that is " + on + " throughout.",
	}
}

// openWords are words under which different materials are sold: none of them is
// guessed, for the wrong one is credited with heat that it does not stand.
func openWords() []openWord {
	return []openWord{
		{[]string{"graphite"}, []string{string(GraphiteYarn), string(GraphitedYarn), string(GraphiteSheet)}},
		{[]string{"graphite ring"}, []string{string(GraphiteYarn), string(GraphiteSheet)}},
		{[]string{"ptfe"}, []string{string(PTFEPacking), string(PTFEYarn), string(PTFETape)}},
		{[]string{"yarn", "packing", "gland packing", "braided packing"}, []string{string(GraphiteYarn), string(PTFEPacking), string(GraphitedYarn), string(PTFEYarn), string(NaturalFibre)}},
		{[]string{"epdm"}, []string{string(EPDMSulphur), string(EPDMPeroxide)}},
		{[]string{"rubber", "rubber ring", "o-ring", "elastomer"}, []string{string(Nitrile), string(EPDMSulphur), string(EPDMPeroxide), string(FKM), string(Silicone)}},
		{[]string{"paste", "graphite paste", "sealing paste"}, []string{string(JointingPaste), string(Anaerobic), string(AnaerobicHot)}},
		{[]string{"sealant", "thread sealant", "pipe sealant"}, []string{string(Anaerobic), string(AnaerobicHot), string(JointingPaste), string(PTFETape)}},
		{[]string{"fibre", "fibre sheet", "fibre gasket", "fibre washer", "compressed fibre", "compressed fibre sheet", "compressed sheet", "jointing", "jointing sheet", "aramid"},
			[]string{string(AramidSheet), string(VegetableFibreSheet)}},
	}
}

const (
	epdmOil          = "No mineral oil: cylinder oil swells EPDM by 30 to 80 % (published elastomer table)."
	ptfeTapeStandard = "EN 751-3:2022, scope"
	ptfeTapePractice = commonPractice + ", on the polymer's own 260 °C"
	copperPipeRule   = "ship-classification rules for copper pipe"
)

// SealMaterials lists the sealing materials, in the order of the table.
func SealMaterials() []SealMaterial {
	rows := sealRows()
	list := make([]SealMaterial, len(rows))
	for i, r := range rows {
		list[i] = r.material
	}
	return list
}

// ParseSealMaterial reads the name of a sealing material as people write it
// ("solid PTFE", "nbr", "graphited yarn"); its error is a *WordError. A word under
// which several materials are sold ("EPDM", "graphite", "paste", "compressed
// fibre") is refused, and the error says which they are.
func ParseSealMaterial(s string) (SealMaterial, error) {
	rows := sealRows()
	words := make([]word[SealMaterial], len(rows))
	for i, r := range rows {
		words[i] = word[SealMaterial]{r.material, string(r.material), r.also}
	}
	return parseWord("sealing material", s, words, openWords()...)
}

func (m SealMaterial) row() (sealRow, bool) {
	for _, r := range sealRows() {
		if r.material == m {
			return r, true
		}
	}
	return sealRow{}, false
}

// Class is the group the material belongs to; empty for an unknown material.
func (m SealMaterial) Class() Class {
	r, _ := m.row()
	return r.class
}

// Limits are the figures known for the material in a medium, the one to rely
// on first; more than one where sources disagree or give a range.
func (m SealMaterial) Limits(in Medium) []Limit {
	r, _ := m.row()
	switch in {
	case Steam:
		return r.wet
	case HotWater:
		return r.water
	case Dry:
		return r.dry
	}
	return nil
}

// Remarks are what a fitter should know about the material whatever its place;
// what could hurt comes first.
func (m SealMaterial) Remarks() []string {
	r, _ := m.row()
	return append(slices.Clone(r.dangers), r.remarks...)
}

// Contested says what sources dispute about the material; empty where they agree.
func (m SealMaterial) Contested() string {
	r, _ := m.row()
	return r.contested
}
