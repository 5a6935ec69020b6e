package boiler

import (
	"fmt"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// Metal is a metal, a solder or a kind of screw by its name, as ParseMetal gives it.
type Metal string

const (
	CopperPipe         Metal = "copper pipe"
	AluminiumBrassPipe Metal = "aluminium-brass pipe"
	CopperNickel       Metal = "copper-nickel"
	CastBronze         Metal = "cast bronze"
	BrassHighCopper    Metal = "brass, 70 % copper or more"
	BrassSixtyForty    Metal = "brass, about 60 % copper"
	SolderTinLead      Metal = "tin-lead solder"
	SolderTinSilver    Metal = "tin-silver solder"
	SolderTinAntimony  Metal = "tin-antimony solder"
	SolderHighLead     Metal = "high-lead solder"
	BrazingAg155       Metal = "silver brazing Ag 155"
	BrazingAg145       Metal = "silver brazing Ag 145"
	BrazingAg140       Metal = "silver brazing Ag 140"
	StainlessScrews    Metal = "stainless screws A2 or A4"
)

// MetalKind says what a Metal is used as.
type MetalKind string

const (
	PipeOrFitting MetalKind = "pipe or fitting"
	SoftSolder    MetalKind = "soft solder"
	SilverBrazing MetalKind = "silver brazing"
	Screws        MetalKind = "screws"
)

type metalRow struct {
	metal  Metal
	also   []string
	kind   MetalKind
	limits []Limit
	// Melting range of a filler, solidus to liquidus; equal where only one is known.
	solidus, liquidus quantity.Temperature
	meltSource        string
	remarks, dangers  []string
}

const (
	shipRules      = "ship-classification rules"
	pipingHandbook = "piping handbook extract"
	copperHandbook = "copper industry handbook, table for soldered and brazed tube joints"
	isoSolders     = "from memory: ISO 9453"
	isoBrazing     = "from memory: EN ISO 17672, where melting data are informative"
)

// Steam limits of tube joints in the copper industry's handbook, printed as
// 15 and 120 psi.
const (
	softSolderSteam    quantity.Pressure = 15 * 0.0689476
	silverBrazingSteam quantity.Pressure = 120 * 0.0689476
)

func metalRows() []metalRow {
	solder := []Limit{{Pressure: softSolderSteam, Source: copperHandbook}}
	brazed := []Limit{{Pressure: silverBrazingSteam, Beyond: check.Ask, Source: copperHandbook + ", filler melting above 593 °C"}}
	silver := []string{"Ship-classification rules want at least 49 % silver for pipes and no copper-zinc filler."}
	cadmium := []string{"Fumes of cadmium-bearing silver solder kill: know what the rod holds."}
	return []metalRow{
		{metal: CopperPipe, kind: PipeOrFitting, also: []string{"copper", "copper tube"},
			limits: []Limit{upTo(200, shipRules), upTo(208, pipingHandbook+" (406 °F, steam service)")}},
		{metal: AluminiumBrassPipe, kind: PipeOrFitting, also: []string{"aluminium brass", "aluminum brass"},
			limits: []Limit{upTo(200, shipRules)}},
		{metal: CopperNickel, kind: PipeOrFitting, also: []string{"cupronickel", "cupro nickel"},
			limits: []Limit{upTo(300, shipRules)}},
		{metal: CastBronze, kind: PipeOrFitting, also: []string{"gunmetal", "cast gunmetal", "lg2"},
			limits: []Limit{upTo(260, shipRules)}},
		{metal: BrassHighCopper, kind: PipeOrFitting, also: []string{"70/30 brass", "cartridge brass", "high copper brass"},
			limits: []Limit{upTo(200, pipingHandbook), upTo(208, pipingHandbook+" (406 °F, steam service)")}},
		{metal: BrassSixtyForty, kind: PipeOrFitting, also: []string{"60/40 brass", "free cutting brass", "cz121", "cw614n", "58 % brass", "manganese bronze"},
			limits:  []Limit{upTo(150, pipingHandbook)},
			remarks: []string{"Ordinary free-cutting brass has about 58 % copper.", "One handbook extract alone gives this limit; no second print was found."}},
		{metal: SolderTinLead, kind: SoftSolder, also: []string{"soft solder", "solder", "60/40 solder", "sn60", "sn63"},
			limits: solder, solidus: 183, liquidus: 183, meltSource: "published solidus of Sn60/63-Pb"},
		{metal: SolderTinSilver, kind: SoftSolder, also: []string{"sn ag", "silver bearing soft solder"},
			limits: solder, solidus: 221, liquidus: 221, meltSource: isoSolders},
		{metal: SolderTinAntimony, kind: SoftSolder, also: []string{"sn sb5", "95/5 solder"},
			limits: solder, solidus: 232, liquidus: 240, meltSource: isoSolders},
		{metal: SolderHighLead, kind: SoftSolder, also: []string{"5sn", "5 % tin solder", "high melting point solder"},
			limits: solder, solidus: 300, liquidus: 300, meltSource: isoSolders},
		{metal: BrazingAg155, kind: SilverBrazing, also: []string{"ag155", "ag 155"},
			limits: brazed, solidus: 630, liquidus: 660, meltSource: isoBrazing, remarks: silver, dangers: cadmium},
		{metal: BrazingAg145, kind: SilverBrazing, also: []string{"ag145", "ag 145"},
			limits: brazed, solidus: 640, liquidus: 680, meltSource: isoBrazing, remarks: silver, dangers: cadmium},
		{metal: BrazingAg140, kind: SilverBrazing, also: []string{"ag140", "ag 140"},
			limits: brazed, solidus: 650, liquidus: 710, meltSource: isoBrazing, remarks: silver, dangers: cadmium},
		{metal: StainlessScrews, kind: Screws, also: []string{"a2", "a4", "stainless", "stainless screws"},
			limits: []Limit{
				upTo(300, "ISO 3506-1:2020, scope: used up to 300 °C"),
				{Temperature: 150, Beyond: check.Note, Source: "ISO 3506-1:2020, scope: -20 to 150 °C without restriction"},
			},
			remarks: []string{"The proof stress of A2 and A4 falls to about 85 % at 100, 80 % at 200 and 75 % at 300 °C (from memory: ISO 3506-1, informative)."}},
	}
}

// Metals lists the metals, solders and screws, in the order of the table.
func Metals() []Metal {
	rows := metalRows()
	list := make([]Metal, len(rows))
	for i, r := range rows {
		list[i] = r.metal
	}
	return list
}

// ParseMetal reads the name of a metal, solder or screw as people write it
// ("gunmetal", "60/40 brass", "ag 155", "A2"); its error is a *WordError. A word
// for several metals is refused: the two brasses differ by 50 °C, "silver solder" is
// a brazing rod or a soft solder with silver in it, "bronze" may be a brass with
// manganese.
func ParseMetal(s string) (Metal, error) {
	rows := metalRows()
	words := make([]word[Metal], len(rows))
	for i, r := range rows {
		words[i] = word[Metal]{r.metal, string(r.metal), r.also}
	}
	return parseWord("metal", s, words,
		openWord{[]string{"brass"}, []string{string(BrassHighCopper), string(BrassSixtyForty), string(AluminiumBrassPipe)}},
		openWord{[]string{"bronze"}, []string{string(CastBronze), string(BrassSixtyForty)}},
		openWord{[]string{"silver solder"}, []string{string(BrazingAg155), string(BrazingAg145), string(BrazingAg140), string(SolderTinSilver)}},
	)
}

func (m Metal) row() (metalRow, bool) {
	for _, r := range metalRows() {
		if r.metal == m {
			return r, true
		}
	}
	return metalRow{}, false
}

// Kind says what the metal is used as; empty for an unknown metal.
func (m Metal) Kind() MetalKind {
	r, _ := m.row()
	return r.kind
}

// Limits are the service figures known for the metal, the one to rely on first.
func (m Metal) Limits() []Limit {
	r, _ := m.row()
	return r.limits
}

// Melting is the melting range of a solder or brazing filler and its source;
// ok is false for everything else. It is no service limit.
func (m Metal) Melting() (solidus, liquidus quantity.Temperature, source string, ok bool) {
	r, _ := m.row()
	return r.solidus, r.liquidus, r.meltSource, r.solidus != 0
}

// CheckMetal sets what a metal, solder or screw stands against what it meets
// in a zone of a boiler of working pressure wp. The findings start with the
// figure to rely on. Whether a material is allowed at all (stainless in wet
// holes, soft solder as caulking) is for the local code. Errors as ConditionsIn,
// and a *WordError for an unknown metal.
func CheckMetal(m Metal, zone Zone, wp quantity.Pressure, site Site) ([]check.Result, error) {
	row, ok := m.row()
	if !ok {
		return nil, &WordError{Kind: "metal", Input: string(m), Known: metalNames()}
	}
	c, err := ConditionsIn(zone, wp, site)
	if err != nil {
		return nil, err
	}
	inSteam := c.Medium == Steam
	var list []check.Result

	if row.kind == SoftSolder && inSteam {
		list = append(list, check.Result{
			Rule: "soft-solder", Severity: check.Stop, Source: "common practice; " + copperHandbook,
			Message: fmt.Sprintf("Soft solder must not be the strength or the only seal of a joint in steam. The handbook stops at %s of saturated steam whatever the solder.", softSolderSteam.PSIString()),
		}, check.Result{
			Rule: "soft-solder-caulking", Severity: check.Ask, Source: commonPractice,
			Message: "Codes differ on caulking a sound joint with soft solder: ask the inspector.",
		})
	}
	for _, l := range row.limits {
		if l.Pressure != 0 && !inSteam {
			continue // a limit in saturated steam says nothing about cold water or flue gas
		}
		f := c.judge(string(m), l)
		if c.Zone == Smokebox && site.Measured == 0 && f.Severity.Worse(check.Ask) {
			f.Severity = check.Ask
			f.Message += " Metal with water or steam behind it runs cooler than the gas: measure it."
		}
		list = append(list, f)
	}
	if row.solidus != 0 {
		f := c.judge(string(m), upTo(row.solidus, row.meltSource))
		f.Rule = "melting"
		f.Message = fmt.Sprintf("It begins to melt at %s; here it is %s.", row.solidus, c.Temperature)
		if f.Margin < 0 {
			f.Severity = check.Stop
		}
		list = append(list, f)
	}
	if zone == ColdFeed && row.kind == SoftSolder {
		list = append(list, clackPassing(c, "Soft solder"))
	}
	list = append(list, c.findings(site)...)
	return append(list, remarks(row.dangers, row.remarks)...), nil
}

func metalNames() []string {
	rows := metalRows()
	names := make([]string, len(rows))
	for i, r := range rows {
		names[i] = string(r.metal)
	}
	return names
}
