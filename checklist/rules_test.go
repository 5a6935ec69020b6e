package checklist

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist/boiler"
	"fettle/checklist/source"
	"fettle/threads/check"
	"fettle/threads/fastening"
)

func TestRulesAreComplete(t *testing.T) {
	met := map[string]bool{}
	for _, r := range Rules() {
		require.False(t, met[r.ID], "%s stands twice", r.ID)
		met[r.ID] = true
		require.NotEmpty(t, r.Looks)
		require.True(t, strings.HasSuffix(r.Reason, "."), r.ID)
		require.NotEmpty(t, r.Severities)
		require.True(t, slices.IsSortedFunc(r.Severities, func(a, b check.Severity) int { return b.Gravity() - a.Gravity() }), r.ID)
		require.NotContains(t, fileRules(), r.ID)
		if r.Acceptable {
			require.Contains(t, acceptableRules(), r.ID)
		}
	}
	for _, id := range ownRules() {
		require.True(t, met[id], id)
	}
}

// Whatever the packages below find for any material, zone, grade and metal, the
// rule that found it is listed, at that severity, and can be accepted by name.
func TestEveryFindingHasItsRule(t *testing.T) {
	known := map[string][]check.Severity{}
	for _, r := range Rules() {
		known[r.ID] = r.Severities
	}
	found := map[string]bool{}
	check := func(where string, ds source.Diagnostics) {
		for _, d := range ds {
			if slices.Contains(fileRules(), d.Rule) {
				continue
			}
			require.Contains(t, known, d.Rule, "%s: %s", where, d)
			require.Contains(t, known[d.Rule], d.Severity, "%s: %s", where, d)
			found[d.Rule] = true
		}
	}
	read := func(where, body string) {
		src := "format = 2\nid = \"x\"\ntitle = \"x\"\n[before]\nconditions = [\"Cold\"]\n" + body +
			"[[stage]]\ntitle = \"x\"\n[[stage.step]]\nid = \"a\"\nkind = \"inspect\"\nhold = \"owner\"\ndo = \"x\"\nparts = [\"x\", \"y\"]\n"
		p, ds := Read("x.toml", []byte(src))
		require.NotNil(t, p, where)
		check(where, ds)
	}
	const nothing = "[fasteners.y]\nthread = \"M4\"\n"
	for _, m := range boiler.SealMaterials() {
		for _, z := range boiler.Zones() {
			for _, p := range []string{"0.5 bar", "7 bar", "20 bar"} {
				for _, more := range []string{"", "oil = \"yes\"\n", "measured = \"120\"\n", "sheet_limit = \"200\"\n"} {
					read(fmt.Sprint(m, z, p), nothing+fmt.Sprintf("[seals.x]\nkind = \"tape\"\nmaterial = %q\nzone = %q\npressure = %q\n%s", m, z, p, more))
				}
			}
		}
	}
	gasket := func(stuff, inner, outer, zone, test string) string {
		return fmt.Sprintf("[seals.y]\nkind = \"gasket\"\nmaterial = %q\nzone = %q\npressure = \"7 bar\"\ntest = %q\ninner = %q\nouter = %q\nthickness = \"0.5 mm\"\n", stuff, zone, test, inner, outer)
	}
	for _, g := range fastening.Grades() {
		for _, m := range fastening.Metals() {
			for i, hole := range []string{"wet", "dry", "blind", ""} {
				key := ""
				if hole != "" {
					key = "hole = \"" + hole + "\"\n"
				}
				lubricant := []string{"lubricant = \"anti-seize\"\n", "lubricant = \"dry\"\n", "", "lubricant = \"wax\"\n"}[i]
				more := []string{"", "utilisation = 0.9\n", "edge = \"2.5 mm\"\n", "head = \"cheese\"\n"}[(i+len(g.Name))%4]
				read(fmt.Sprint(g, m, hole), fmt.Sprintf("[fasteners.x]\nthread = \"M4\"\ncount = 6\ncircle = \"52 mm\"\nlength = \"16 mm\"\ncover = \"6 mm\"\ndepth = \"%d mm\"\ngrade = %q\ninto = %q\njoint = \"y\"\n", []int{2, 6, 9, 12}[i], g.Name, m.Name)+
					key+lubricant+more+gasket([]string{"graphite sheet", "aramid sheet", "copper gasket", "vegetable fibre"}[i], []string{"40 mm", "38 mm", "40 mm", "20 mm"}[i], []string{"47 mm", "48 mm", "46.9 mm", "60 mm"}[i], []string{"saturated", "smokebox", "superheated", "cold feed"}[i], []string{"14 bar", "60 bar", "10 bar", "3 bar"}[i]))
			}
		}
	}
	for _, count := range []int{2, 3, 5, 12, 20, 24} {
		for _, circle := range []string{"14 mm", "30 mm", "52 mm", "90 mm"} {
			read("circle", fmt.Sprintf("[fasteners.x]\nthread = \"M4\"\ncount = %d\ncircle = %q\ngrade = \"A2-70\"\ninto = \"gunmetal\"\ndepth = \"6 mm\"\nhole = [\"dry\"]\nlubricant = \"oil\"\njoint = \"y\"\n[seals.y]\nkind = \"gasket\"\nmaterial = \"graphite sheet\"\nbore = \"11 mm\"\npressure = \"7 bar\"\ninner = \"9 mm\"\nouter = \"11.4 mm\"\n", count, circle))
			read("circle without grade", fmt.Sprintf("[fasteners.x]\nthread = \"M4\"\nhead = \"hex\"\ncount = %d\ncircle = %q\njoint = \"y\"\n[seals.y]\nkind = \"gasket\"\nbore = \"11 mm\"\ninner = \"9 mm\"\nouter = \"11.4 mm\"\n", count, circle))
		}
	}
	for _, depth := range []string{"3 mm", "8 mm", "40 mm"} {
		read("packing", nothing+fmt.Sprintf("[seals.x]\nkind = \"packing\"\nspindle = \"3/16 in\"\nbox = \"3/8 in\"\ndepth = %q\n", depth))
	}
	for _, nut := range []string{"3/8 x 32 ME", "1/2 x 26 brass"} {
		read("nut", fmt.Sprintf("[fasteners.n]\nthread = %q\n[seals.x]\nkind = \"packing\"\nnut = \"n\"\nspindle = \"3/16 in\"\nbox = \"3/8 in\"\ndepth = \"8 mm\"\n", nut))
	}
	for _, use := range []string{"face", "radial", "sliding", "turning"} {
		for _, box := range []string{"6.5 mm", "7.2 mm", "7.6 mm", "8.3 mm", "9 mm"} {
			for _, inside := range []string{"3 mm", "4.47 mm", "5 mm"} {
				read("ring", nothing+fmt.Sprintf("[seals.x]\nkind = \"o-ring\"\nuse = %q\nsection = \"1.78 mm\"\ninside = %q\nspindle = \"4.76 mm\"\nbox = %q\nwidth = \"2.4 mm\"\n", use, inside, box))
			}
		}
	}
	for _, shop := range []string{"8", "18", "30"} {
		for _, metals := range []string{"gunmetal", "gunmetal, stainless", "stainless"} {
			for _, more := range []string{"", "primer = \"yes\"\n", "sheet_time = \"36 h\"\n"} {
				read("sealant", nothing+fmt.Sprintf("[seals.x]\nkind = \"sealant\"\nmetals = %q\ngap = \"0.2 mm\"\nshop = %q\n%s", metals, shop, more))
			}
		}
	}
	for _, body := range []string{"", "code = \"C\"\nedition = \"1\"\nhold = \"10 min\"\n", "operator = \"Tom\"\nwitness = \"Tom\"\ninspector = \"Tom\"\n", "preliminary = \"yes\"\noperator = \"Tom\"\ninspector = \"Tom\"\n", "gauge = \"400 bar\"\n", "target = \"30 bar\"\n"} {
		read("test", nothing+"[tests.x]\npressure = \"7 bar\"\nmultiple = 1.5\n"+body)
	}
	// And most of the listed rules were really met here or in the broken files.
	for _, id := range []string{"temperature-limit", "pressure-limit", "not-suitable", "seal-superheat", "seal-oil", "seal-contested", "clack-passing",
		"superheat-assumed", "measured-too-cool", "wet-steel", "wet-brass", "wet-stainless", "galvanic", "galling", "metal-hot", "hole-unknown",
		"engagement-short", "few-threads", "thin-wall", "friction-assumed", "reserve", "pitch-wide", "heads-clash", "web-thin", "ring-in-bore",
		"holes-cut-ring", "narrow-land", "seating-practice", "few-rings", "nut-and-box", "squeeze", "fill", "stretch", "cure-planning", "gasket-overhang",
		"code-missing", "own-inspector", "own-witness", "gauge-scale", "target-too-high"} {
		require.True(t, found[id], "%s was never found", id)
	}
}
