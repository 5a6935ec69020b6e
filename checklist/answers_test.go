package checklist

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fettle/checklist/source"
	"fettle/recipes"
	"fettle/threads/check"
)

// variants is a file whose mistakes stand behind other answers than the defaults.
const variants = `format = 2
id = "x"
title = "x"
accept = [{ rule = "no-conditions", because = "There are some." }]

[before]
conditions = ["Cold"]

[settings.sealing]
ask = "Seal"
kind = "choice"
choices = ["packing", "o-ring"]
default = "packing"

[settings.material]
ask = "Material"
kind = "choice"
choices = ["FFKM", "nitrile rubber"]
default = "FFKM"
when = ["sealing = o-ring"]

[settings.grade]
ask = "Grade"
kind = "choice"
choices = ["phosphor bronze", "8.8"]
default = "phosphor bronze"

[settings.release]
ask = "Who"
kind = "choice"
choices = ["owner", "inspector"]
default = "inspector"

[settings.rod]
ask = "Rod"
kind = "length"
default = "4 mm"
low = "3 mm"
high = "6 mm"

[fasteners.screw]
thread = "M4"
grade = "${grade}"
into = "gunmetal"
hole = ["wet"]
depth = "8 mm"
lubricant = "anti-seize"

[seals.ring]
kind = "o-ring"
material = "${material}"
zone = "saturated"
pressure = "90 psi"
when = ["sealing = o-ring"]

[[stage]]
title = "Work"

[[stage.step]]
id = "dry"
kind = "dry-fit"
do = "Try it on ${rod}."
parts = ["ring"]
when = ["sealing = o-ring", "release = inspector"]

[[stage.step]]
id = "seal"
kind = "seal"
do = "Seal it, ${ring.temperature}."
parts = ["screw", "ring"]
accept = [{ rule = "seal-without-dry-fit", because = "The ring is seen." }]

[[stage.step]]
id = "never"
kind = "record"
do = "Nobody comes here."
when = ["sealing = packing", "release = owner", "rod > 7 mm"]

[[stage.step]]
id = "thick"
kind = "record"
do = "A thick one, $rod."
when = ["rod > 5 mm"]
`

func TestAllAnswers(t *testing.T) {
	_, found := Check("x.toml", []byte(variants), nil)
	require.Len(t, found, 2, "the defaults hide the rest: %v", found)
	p, found, cover := CheckAll("x.toml", []byte(variants), nil, nil)
	require.Empty(t, cover.Pairs)
	require.Greater(t, cover.Combinations, 20)
	var said []string
	for _, d := range found {
		said = append(said, fmt.Sprintf("%d %s %s [%s]", d.Line, d.Severity, d.Message, d.Rule))
	}
	text := strings.Join(said, "\n")
	for _, want := range []string{
		"4 warn the rule no-conditions has nothing against this, under any answers [accept-of-nothing]",
		"when grade = 8.8, whatever else is answered: 8.8 in a wet hole rusts in",
		"when material = nitrile rubber, whatever else is answered: nitrile rubber",
		"when sealing = o-ring, material = nitrile rubber the fitter is told as a stop: nitrile rubber",
		"warn no answers reach the step never: what is asked of it never holds together [step-never-reached]",
		`warn "$rod" stands in the text as it is [lost-name]`,
		"warn the step names ring, which is not there: sealing is packing [absent-part]",
	} {
		require.Contains(t, text, want)
	}
	require.NotContains(t, text, "step thick", "the far side of 5 mm lies within the limits")

	// An answer that stands is not varied.
	_, found, _ = CheckAll("x.toml", []byte(variants), nil, map[string]string{"sealing": "packing", "grade": "phosphor bronze"})
	for _, d := range found {
		require.NotContains(t, d.Message, "nitrile")
		require.NotContains(t, d.Message, "8.8")
	}
	_, found, _ = CheckAll("x.toml", []byte(variants), nil, map[string]string{"sealing": "tape"})
	require.Contains(t, fmt.Sprint(found), `sealing: "tape" is none of the choices`)
	require.NotNil(t, p)
}

// Every bundled procedure has nothing to put right under all answers.
func TestBundledUnderAllAnswers(t *testing.T) {
	library := NewLibrary(recipes.FS())
	files, err := fs.Glob(recipes.FS(), "*.toml")
	require.NoError(t, err)
	starters, err := fs.Glob(recipes.Starters(), "*.toml")
	require.NoError(t, err)
	for _, file := range append(files, starters...) {
		src, err := fs.ReadFile(recipes.FS(), file)
		if err != nil {
			src, err = fs.ReadFile(recipes.Starters(), file)
		}
		require.NoError(t, err)
		_, found, _ := CheckAll(file, src, library, nil)
		for _, d := range found {
			require.Equal(t, check.Note, d.Severity, d.String())
		}
	}
}

// For random procedures the judgement over all answers is what filling in each
// combination by itself finds.
func TestAllAnswersAreEachAnswer(t *testing.T) {
	if testing.Short() {
		t.Skip("a few seconds")
	}
	for range 3 {
		rapid.Check(t, eachAnswer)
	}
}

func eachAnswer(t *rapid.T) {
	src, settings := randomProcedure(t)
	p, base := Read("x.toml", []byte(src))
	if base.HasMistake() {
		t.Fatalf("%v\n%s", base, src)
	}
	key := func(d source.Diagnostic) string { return fmt.Sprint(d.Rule, " ", d.Start) }
	want := map[string]bool{}
	n := 1
	for _, s := range settings {
		n *= s
	}
	for i := range n {
		values := map[string]string{}
		left := i
		for k, s := range settings {
			values[fmt.Sprint("s", k)] = string(rune('a' + left%s))
			left /= s
		}
		_, found := p.Fill(values)
		for _, d := range found {
			if d.Severity != check.Note {
				want[key(d)] = true
			}
		}
	}
	_, found, cover := CheckAll("x.toml", []byte(src), nil, nil)
	if len(cover.Pairs) > 0 {
		t.Fatal("too many for this test")
	}
	got := map[string]bool{}
	for _, d := range found {
		if d.Rule != ruleUnreachable && d.Rule != ruleStaleAccept {
			got[key(d)] = true
		}
	}
	for k := range want {
		if !got[k] {
			t.Fatalf("%s is found by itself and not over all answers\n%s", k, src)
		}
	}
	for k := range got {
		if !want[k] && !slices.ContainsFunc(base, func(d source.Diagnostic) bool { return key(d) == k }) {
			t.Fatalf("%s is found over all answers and by none of them\n%s", k, src)
		}
	}
}

// randomProcedure is a procedure of a few settings, parts and steps that hang on them.
func randomProcedure(t *rapid.T) (string, []int) {
	var b strings.Builder
	b.WriteString("format = 2\nid = \"x\"\ntitle = \"x\"\n[before]\nconditions = [\"Cold\"]\n")
	var settings []int
	for i := range rapid.IntRange(1, 4).Draw(t, "settings") {
		n := rapid.IntRange(2, 3).Draw(t, "choices")
		settings = append(settings, n)
		quoted := make([]string, n)
		for j := range quoted {
			quoted[j] = fmt.Sprintf("%q", string(rune('a'+j)))
		}
		fmt.Fprintf(&b, "[settings.s%d]\nask = \"x\"\nkind = \"choice\"\nchoices = [%s]\ndefault = \"a\"\n", i, strings.Join(quoted, ", "))
	}
	when := func() string {
		if rapid.IntRange(0, 4).Draw(t, "always") == 0 {
			return ""
		}
		s := rapid.IntRange(0, len(settings)-1).Draw(t, "setting")
		return fmt.Sprintf("when = [\"s%d %s %c\"]\n", s, rapid.SampledFrom([]string{"=", "!="}).Draw(t, "is"), 'a'+rapid.IntRange(0, settings[s]-1).Draw(t, "value"))
	}
	parts := []string{}
	for i := range rapid.IntRange(1, 3).Draw(t, "parts") {
		name := fmt.Sprintf("p%d", i)
		parts = append(parts, name)
		fmt.Fprintf(&b, "[seals.%s]\nkind = \"sealant\"\nmaterial = %q\nzone = %q\npressure = \"90 psi\"\nmetals = [\"gunmetal\"]\ngap = \"0.1 mm\"\nshop = \"18\"\n%s", name,
			rapid.SampledFrom([]string{"anaerobic sealant", "high-temperature anaerobic sealant"}).Draw(t, "material"), rapid.SampledFrom([]string{"saturated", "cold feed"}).Draw(t, "zone"), when())
	}
	b.WriteString("[[stage]]\ntitle = \"x\"\n")
	for i := range rapid.IntRange(2, 6).Draw(t, "steps") {
		kind := rapid.SampledFrom([]string{"dry-fit", "seal", "test", "wait", "record"}).Draw(t, "kind")
		fmt.Fprintf(&b, "[[stage.step]]\nid = \"t%d\"\nkind = %q\ndo = \"x\"\n%s", i, kind, when())
		if kind == "wait" {
			fmt.Fprintf(&b, "wait = %q\n", rapid.SampledFrom([]string{"1 min", "400 h"}).Draw(t, "wait"))
		}
		if rapid.Bool().Draw(t, "uses") {
			fmt.Fprintf(&b, "parts = [%q]\n", rapid.SampledFrom(parts).Draw(t, "part"))
		}
		if i > 1 && rapid.Bool().Draw(t, "after") {
			fmt.Fprintf(&b, "after = [\"t%d\"]\n", rapid.IntRange(0, i-1).Draw(t, "which"))
		}
	}
	return b.String(), settings
}

// Every two answers stand together in one row, and every answer alone in another.
func TestPairs(t *testing.T) {
	var group []variable
	for i := range 9 {
		v := variable{name: fmt.Sprint("v", i)}
		for j := range 2 + i%3 {
			v.values = append(v.values, fmt.Sprint(j))
		}
		group = append(group, v)
	}
	rows, all := combinations(group)
	require.False(t, all)
	require.Less(t, len(rows), 60)
	for i, a := range group {
		for _, x := range a.values {
			require.True(t, slices.ContainsFunc(rows, func(r map[string]string) bool { return len(r) == 1 && r[a.name] == x }))
			for _, b := range group[i+1:] {
				for _, y := range b.values {
					require.True(t, slices.ContainsFunc(rows, func(r map[string]string) bool { return r[a.name] == x && r[b.name] == y }), "%s %s %s %s", a.name, x, b.name, y)
				}
			}
		}
	}
	small, all := combinations(group[:3])
	require.True(t, all)
	require.Len(t, small, 3*4*5-1)
}
