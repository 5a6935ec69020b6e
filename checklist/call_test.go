package checklist

import (
	"bytes"
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

// caller is a procedure with one step that calls another; keys are the lines of
// its call.
func caller(id, keys string) string {
	return `format = 2
id     = "` + id + `"
title  = "Cover"

[settings.flange_thread]
ask     = "Thread of the cover's screws"
kind    = "thread"
default = "4 BA"

[settings.count]
ask     = "Screws"
kind    = "count"
default = 6

[settings.side]
ask     = "Which side"
kind    = "choice"
choices = ["left", "right"]
default = "left"

[fasteners.screws]
thread = "${flange_thread}"
count  = "${count}"

[[stage]]
title = "Look"

[[stage.step]]
id      = "look"
kind    = "inspect"
do      = "Turn a good screw in every hole, ${side}. ${screws.thread}"
reading = [{ name = "minor", ask = "Hole", kind = "length", unit = "mm" }]

[[stage.step]]
id   = "repair"
kind = "make"
do   = "Put right what failed."
` + keys + "\n"
}

const hole = `format = 2
id     = "damaged-hole"
title  = "Save a hole"

[settings.thread]
ask     = "Thread as it was"
kind    = "thread"

[settings.metal]
ask     = "Metal"
kind    = "choice"
choices = ["gunmetal", "copper"]

[settings.hole]
ask     = "Hole, as measured"
kind    = "length"
high    = "20 mm"

[[stage]]
title = "Work"

[[stage.step]]
id   = "one"
kind = "make"
do   = "Repair ${thread} in ${metal}, ${hole}."
`

// library is a library of procedures by their text; a name ending in .toml is
// the file's, any other gets the ending.
func library(texts map[string]string) *Library {
	files := fstest.MapFS{}
	for name, text := range texts {
		files[strings.TrimSuffix(name, ".toml")+".toml"] = &fstest.MapFile{Data: []byte(text)}
	}
	return NewLibrary(files)
}

func TestCheckCalls(t *testing.T) {
	beside := map[string]string{"workshop-hole": hole, "broken": strings.Replace(caller("broken", ""), "kind = \"make\"", "kind = \"mend\"", 1)}
	for _, c := range []struct {
		name, keys string
		want       []string // of each: severity, rule and a part of what is said, in the order of the file
	}{
		{"all well", `call = { procedure = "damaged-hole", set = { thread = "${flange_thread}", metal = "gunmetal", hole = "${minor}" }, ask = "a hole fails" }`, nil},
		{"nothing set", `call = { procedure = "damaged-hole" }`, nil},
		{"a number for a text", `call = { procedure = "damaged-hole", set = { hole = 4.5 } }`, nil},
		{"not at hand", `call = { procedure = "blower-gland" }`, []string{"warn unknown-name: 38:22: no procedure \"blower-gland\" is at hand"}},
		{"nearly right", `call = { procedure = "damage-hole" }`, []string{"warn unknown-name: 38:22: no procedure \"damage-hole\" is at hand, neither beside this file nor bundled | did you mean `damaged-hole`?"}},
		{"mistakes of its own", `call = { procedure = "broken" }`, []string{"stop unknown-name: 38:22: the procedure \"broken\" (broken.toml) has mistakes of its own"}},
		{"unknown setting", `call = { procedure = "damaged-hole", set = { thraed = "M4" } }`, []string{"stop unknown-name: 38:46: the procedure \"damaged-hole\" has no setting \"thraed\" | did you mean `thread`?"}},
		{"refused value", `call = { procedure = "damaged-hole", set = { metal = "gun metal" } }`, []string{"stop value: 38:54: the procedure \"damaged-hole\" does not take \"gun metal\" for metal"}},
		{"over the limit", `call = { procedure = "damaged-hole", set = { hole = "25 mm" } }`, []string{"stop value: 38:53: the procedure \"damaged-hole\" does not take \"25 mm\" for hole: 25 mm is more than the upper limit, 20 mm"}},
		{"another kind of setting", `call = { procedure = "damaged-hole", set = { hole = "${flange_thread}" } }`, []string{"stop value: 38:53: the procedure \"damaged-hole\" does not take \"4 BA\" for hole"}},
		{"a figure", `call = { procedure = "damaged-hole", set = { hole = "${screws.thread}" } }`, []string{"stop value: 38:53:"}},
		{"a setting that is not there", `call = { procedure = "damaged-hole", set = { thread = "${thread}" } }`, []string{"stop unknown-name: 38:56: there is no setting, reading or figure \"thread\""}},
		{"a variant that does not apply", `when = ["side = right"]
call = { procedure = "damaged-hole", set = { hole = "${flange_thread}", metal = "tin" } }`, []string{"stop value: 39:81:"}},
		{"itself", `call = { procedure = "cover" }`, []string{"stop circle: 38:22: these procedures always call each other, so none can be finished: cover calls cover"}},
		{"itself at times", `call = { procedure = "cover", ask = "another fails" }`, []string{"warn circle: 38:22: these procedures call each other in a circle: cover calls cover"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, ds := Check("cover.toml", []byte(caller("cover", c.keys)), library(beside))
			var got []string
			for _, d := range ds {
				got = append(got, fmt.Sprintf("%s %s: %d:%d: %s | %s", d.Severity, d.Rule, d.Line, d.Column, d.Message, d.Suggestion))
			}
			require.Len(t, got, len(c.want), "%s", got)
			for i, want := range c.want {
				require.Contains(t, got[i], want)
			}
		})
	}
}

func TestCirclesOfCalls(t *testing.T) {
	for _, c := range []struct {
		name   string
		others map[string]string // what each other calls
		want   string
	}{
		{"two, always", map[string]string{"b": `call = { procedure = "a" }`}, "stop these procedures always call each other, so none can be finished: a calls b calls a"},
		{"two, at times", map[string]string{"b": "call = { procedure = \"a\", ask = \"x\" }"}, "warn these procedures call each other in a circle: a calls b calls a"},
		{"three", map[string]string{"b": `call = { procedure = "c" }`, "c": `call = { procedure = "a" }`}, "stop these procedures always call each other, so none can be finished: a calls b calls c calls a"},
		// A circle that a does not belong to is said about those that do.
		{"farther off", map[string]string{"b": `call = { procedure = "c" }`, "c": `call = { procedure = "b" }`}, ""},
		{"a line", map[string]string{"b": `call = { procedure = "c" }`, "c": ``}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			all := map[string]string{}
			for id, keys := range c.others {
				all[id] = caller(id, keys)
			}
			_, ds := Check("a.toml", []byte(caller("a", `call = { procedure = "b" }`)), library(all))
			if c.want == "" {
				require.Empty(t, ds)
				return
			}
			require.Len(t, ds, 1)
			require.Equal(t, c.want, string(ds[0].Severity)+" "+ds[0].Message)
		})
	}
}

// Many procedures that all call all others are looked through once each.
func TestCallsOfEverybody(t *testing.T) {
	var keys strings.Builder
	all := map[string]string{}
	for i := range 60 {
		fmt.Fprintf(&keys, "call = { procedure = \"p%d\" }\n\n[[stage.step]]\nid = \"s%d\"\nkind = \"record\"\ndo = \"Next.\"\n", i, i)
	}
	for i := range 60 {
		all[fmt.Sprintf("p%d", i)] = caller(fmt.Sprintf("p%d", i), keys.String())
	}
	_, ds := Check("a.toml", []byte(caller("a", `call = { procedure = "p7" }`)), library(all))
	require.Empty(t, ds)
	_, ds = Check("p7.toml", []byte(all["p7"]), library(all))
	require.Len(t, ds, 60)
}

func TestFilledCall(t *testing.T) {
	p, ds := Read("cover.toml", []byte(caller("cover", `call = { procedure = "damaged-hole", set = { thread = "${flange_thread}", hole = "${minor}", metal = "gunmetal" }, ask = "one of the ${count} fails" }`)))
	require.Empty(t, ds)
	f, ds := p.FillMeasured(map[string]string{"flange_thread": "M4"}, nil)
	require.Empty(t, ds)
	require.Nil(t, f.Step("look").Call)
	call := f.Step("repair").Call
	require.Equal(t, &FilledCall{"damaged-hole", []FilledWith{{"thread", "M4"}, {"hole", ""}, {"metal", "gunmetal"}}, "one of the 6 fails"}, call)
	require.Equal(t, map[string]string{"thread": "M4", "metal": "gunmetal"}, call.Values())

	f, _ = p.FillMeasured(nil, map[string]string{"minor": "3.1"})
	values := f.Step("repair").Call.Values()
	require.Equal(t, map[string]string{"thread": "4 BA", "metal": "gunmetal", "hole": "3.1 mm"}, values)
	called, _ := library(map[string]string{"damaged-hole": hole}).Procedure("damaged-hole")
	_, ds = called.Fill(values)
	require.Empty(t, ds)
}

func TestLibrary(t *testing.T) {
	named := strings.Replace(hole, "Save a hole", "Called as its id", 1)
	l := NewLibrary(nil, fstest.MapFS{
		"a-first.toml":      {Data: []byte("\ufeff" + hole)},
		"damaged-hole.toml": {Data: []byte(named)},
		"gland.toml":        {Data: []byte(strings.Replace(hole, "damaged-hole", "gland", 1))},
		"folder.toml":       {Mode: fs.ModeDir},
		"cut.toml":          {Data: []byte(`id = "cut`)},
		"upper.toml":        {Data: []byte(`id = "Upper"`)},
		"deep.toml":         {Data: []byte("id = \"deep\"\nx = " + strings.Repeat("[", 100_000))},
		"large.toml":        {Data: []byte("id = \"large\"\n" + strings.Repeat("#", maxShelfFile))},
		"notes.txt":         {Data: []byte(`id = "notes"`)},
	}, fstest.MapFS{
		"x.toml":     {Data: []byte(strings.Replace(hole, "damaged-hole", "gland", 1))},
		"same.toml":  {Data: []byte(strings.Replace(hole, "damaged-hole", "sheared", 1))},
		"other.toml": {Data: []byte(strings.Replace(hole, "damaged-hole", "sheared", 1))},
	})
	require.Equal(t, []string{"damaged-hole", "gland", "sheared"}, l.IDs())
	p, ds := l.Procedure("damaged-hole")
	require.Empty(t, ds)
	require.Equal(t, "Called as its id", p.Title)
	p, _ = l.Procedure("gland")
	require.Equal(t, "gland.toml", p.File, "the first folder decides")
	p, _ = l.Procedure("sheared")
	require.Equal(t, "other.toml", p.File)
	for _, id := range []string{"", "..", "../gland", "cut", "large", "deep", "notes", "Upper", "folder"} {
		p, _ = l.Procedure(id)
		require.Nil(t, p, id)
	}
	var none *Library
	require.Empty(t, none.IDs())
	p, _ = none.Procedure("gland")
	require.Nil(t, p)
}

// Whatever stands in the keys of a call, nothing it says can be taken for a
// command, and what is filled in holds what the file does.
func FuzzCheckCalls(f *testing.F) {
	f.Add(`call = { procedure = "damaged-hole", set = { thread = "${flange_thread}" } }`)
	f.Add(`call = { procedure = "damaged-hole", set = { hole = "${minor}", metal = "tin" }, ask = "x" }`)
	f.Add(`call = { procedure = "cover" }`)
	f.Fuzz(func(t *testing.T, keys string) {
		p, ds := Check("cover.toml", []byte(caller("cover", keys)), library(map[string]string{"damaged-hole": hole}))
		var b bytes.Buffer
		require.NoError(t, ds.WriteText(&b))
		requireHarmless(t, b.String())
		for i := 1; i < len(ds); i++ {
			require.LessOrEqual(t, ds[i-1].Offset(), ds[i].Offset())
		}
		if p == nil || ds.HasStop() {
			return
		}
		filled, _ := p.Fill(nil)
		if step := filled.Step("repair"); step != nil && step.Call != nil {
			require.Len(t, step.Call.Set, len(step.Call.Names()))
			for name, value := range step.Call.Values() {
				requireHarmless(t, name+value)
			}
		}
	})
}
