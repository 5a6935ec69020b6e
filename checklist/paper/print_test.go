package paper

import (
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/checklist/source"
	"fettle/recipes"
)

// Nothing is wider than asked for, no text is lost, and paper defers to those
// who decide.
func TestWriteText(t *testing.T) {
	files, err := fs.Glob(recipes.FS(), "*.toml")
	require.NoError(t, err)
	for _, file := range files {
		src, err := fs.ReadFile(recipes.FS(), file)
		require.NoError(t, err)
		p, _ := checklist.NewLibrary(recipes.FS()).Read(file, src)
		f, _ := p.Fill(nil)
		for _, width := range []int{20, 40, 80, 200} {
			var b strings.Builder
			require.NoError(t, WriteText(&b, f, width))
			for _, line := range strings.Split(b.String(), "\n") {
				require.LessOrEqual(t, source.Cells(line), max(width, 40), "%s: %s", file, line)
				require.Equal(t, strings.TrimRight(line, " "), line)
			}
			words := strings.Join(strings.Fields(b.String()), " ")
			for _, s := range f.Steps() {
				require.Contains(t, words, strings.Join(strings.Fields(s.Do), " "))
				for _, r := range s.Readings {
					require.Contains(t, words, r.Ask)
				}
			}
			require.Contains(t, words, "the boiler inspector decide")
		}
		var b strings.Builder
		require.NoError(t, WriteMarkdown(&b, f))
		require.Contains(t, b.String(), "the boiler inspector decide")
	}
}

func TestWrap(t *testing.T) {
	p := &printer{width: 12}
	p.wrap("- ", "  ", "one two three four-and-a-long-word five\nsix 直径直径直径")
	require.Equal(t, "- one two\n  three\n  four-and-a-long-word\n  five\n  six\n  直径直径直径\n", p.b.String())
}

// The reference names every key, figure, unit and rule.
func TestReference(t *testing.T) {
	var b strings.Builder
	require.NoError(t, WriteReference(&b, 60))
	for _, line := range strings.Split(b.String(), "\n") {
		require.LessOrEqual(t, source.Cells(line), 100, line) // examples are not wrapped
	}
	words := " " + strings.Join(strings.Fields(b.String()), " ") + " "
	for _, table := range []string{"procedure", "before", "entry", "setting", "fastener", "seal", "test", "figure", "stage", "step", "call", "reading", "accept"} {
		for _, k := range checklist.Keys(table) {
			require.Contains(t, words, " "+k.Name, "%s.%s", table, k.Name)
			require.NotEmpty(t, k.About)
		}
	}
	for _, kind := range append([]string{"fastener", "test"}, checklist.SealKinds()...) {
		for _, k := range checklist.FigureKeys(kind) {
			require.Contains(t, words, " "+k.Key+": ")
		}
	}
	for _, r := range checklist.Rules() {
		require.Contains(t, words, " "+r.ID+" ")
	}
	for _, kind := range checklist.Kinds() {
		require.Contains(t, words, " "+kind+": ")
		for _, unit := range checklist.Units(kind) {
			require.Contains(t, words, unit)
		}
	}
}

// Every key of the description is read by the reader, and the other way round:
// a file with all of them has no unknown key.
func TestDescriptionIsTheReader(t *testing.T) {
	const src = `format = 2
id = "all"
title = "x"
about = "x"
accept = [{ rule = "no-conditions", because = "x" }]
[before]
conditions = ["x"]
persons = ["x"]
equipment = ["x"]
supplies = ["x", { text = "x", when = ["s = a"] }]
spares = ["x"]
warnings = ["x"]
cautions = ["x"]
notes = ["x"]
[settings.s]
ask = "x"
why = "x"
kind = "choice"
choices = ["a", "b"]
default = "a"
[settings.n]
ask = "x"
kind = "count"
default = "1"
low = "0"
high = "9"
[fasteners.f]
label = "x"
thread = "M4"
head = "hex"
length = "15 mm"
count = 6
grade = "phosphor bronze"
into = "gunmetal"
engagement = "75 %"
hole = ["wet"]
circle = "60 mm"
start = "90"
lubricant = "anti-seize"
joint = "gasket"
cover = "8 mm"
washer = "0.5 mm"
depth = "9 mm"
edge = "8 mm"
spanner = "7 mm"
drill_off = "0.1 mm"
utilisation = "0.5"
when = ["s = a"]
accept = [{ rule = "reserve", because = "x" }]
STAGE`
	all := map[string]map[string]string{
		"gasket":  {"inner": "20 mm", "outer": "24 mm", "bore": "20 mm", "thickness": "0.5 mm"},
		"packing": {"spindle": "3/16 in", "box": "3/8 in", "depth": "10 mm", "nut": "f"},
		"o-ring":  {"use": "sliding", "section": "1.78 mm", "inside": "4.47 mm", "spindle": "4.76 mm", "box": "7.6 mm", "width": "2.4 mm", "depth": "1.3 mm"},
		"sealant": {"metals": "gunmetal", "gap": "0.1 mm", "shop": "18", "primer": "no", "sheet_time": "24 h", "use_by": "2026-08-31"},
		"tape":    {}, "cone": {},
	}
	var b strings.Builder
	for _, kind := range checklist.SealKinds() {
		b.WriteString("[seals." + strings.ReplaceAll(kind, "-", "") + "]\nkind = \"" + kind + "\"\nlabel = \"x\"\nmaterial = \"graphite sheet\"\nzone = \"saturated\"\npressure = \"7 bar\"\ntest = \"10 bar\"\nmeasured = \"100\"\nsheet_limit = \"300\"\noil = \"no\"\nwhen = [\"s = a\"]\naccept = [{ rule = \"squeeze\", because = \"x\" }]\n")
		for key, value := range all[kind] {
			if key == "metals" {
				b.WriteString(key + " = [\"" + value + "\"]\n")
				continue
			}
			b.WriteString(key + " = \"" + value + "\"\n")
		}
	}
	b.WriteString("[tests.t]\nlabel = \"x\"\ncode = \"x\"\nedition = \"x\"\npressure = \"7 bar\"\nmultiple = 1.5\ntarget = \"10 bar\"\nhold = \"10 min\"\ndrop_allowed = \"0 bar\"\noperator = \"Tom\"\ninspector = \"Ruth\"\nwitness = \"Ana\"\npreliminary = \"no\"\ngauge = \"25 bar\"\nwhen = [\"s = a\"]\naccept = [{ rule = \"own-witness\", because = \"x\" }]\n")
	b.WriteString(`[figures.both]
label = "x"
is = "r + 2 mm"
unit = "mm"
low = "1 mm"
high = "9 mm"
outside = "ask"
when = ["s = a"]
accept = [{ rule = "figure-outside", because = "x" }]
[[stage]]
title = "x"
about = "x"
when = ["s = a or b"]
[[stage.step]]
id = "a"
kind = "measure"
title = "x"
do = "x ${n}"
why = "x"
after = []
parts = ["f", "t"]
figures = ["f.tap_drill"]
when = ["s = a", "n >= 0"]
hold = "x"
witness = "x"
wait = "1 h"
closes = "dome"
quadrant = 90
call = { procedure = "y", set = { s = "a", n = 2 }, ask = "x" }
warnings = ["x"]
cautions = ["x"]
notes = ["x"]
accept = [{ rule = "idle-wait", because = "x" }]
reading = [
  { name = "r", ask = "x", kind = "length", unit = "mm", nominal = "1", within = "±1", outside = "stop", danger = "x", when = ["s = a"] },
  { name = "q", ask = "x", kind = "length", nominal = "1", minus = "1", plus = "1", times = 3, takes = "mean" },
  { name = "e", ask = "x", kind = "length", low = "1", high = "1", each = "f" },
  { name = "n_now", ask = "x", kind = "count", sets = "n" },
  { name = "c", ask = "x", kind = "choice", choices = ["a"] },
]
`)
	p, ds := checklist.Read("x.toml", []byte(strings.Replace(src, "STAGE", b.String(), 1)))
	require.NotNil(t, p)
	for _, d := range ds {
		require.NotContains(t, []string{source.RuleUnknownKey, source.RuleMissingKey, source.RuleWrongType, source.RuleUnknownWord}, d.Rule, "%s", d)
	}
	// Every described key stands in the file above, so none of them is unknown.
	text := "\n" + strings.Replace(src, "STAGE", b.String(), 1)
	for _, table := range []string{"procedure", "before", "setting", "fastener", "seal", "test", "figure", "stage", "step", "call", "reading", "accept"} {
		for _, k := range checklist.Keys(table) {
			if k.Name == "shared" {
				continue // stands alone in a stage
			}
			found := strings.Contains(text, "\n"+k.Name+" = ") || strings.Contains(text, " "+k.Name+" = ") ||
				strings.Contains(text, "["+k.Name) || strings.Contains(text, "."+k.Name+"]")
			require.True(t, found, "%s.%s is not in the file", table, k.Name)
		}
	}
	require.NoError(t, schema(t).Validate(asJSON(t, []byte(text))))
}
