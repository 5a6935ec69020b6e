package checklist

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"fettle/recipes"
)

const sharing = `format = 2
id = "x"
title = "x"
[settings.proof]
ask = "Another valve"
kind = "text"
default = "whistle valve"
[[stage]]
shared = "make-safe"
[[stage]]
title = "Work"
[[stage.step]]
id = "off"
kind = "strip"
do = "Take it off. ${open}"
after = ["open-zero"]
`

// A shared stage is copied whole into the text that a job keeps; what is wrong in the
// copy is reported at its name, and what is wrong behind it in its own line.
func TestSharedStage(t *testing.T) {
	own := fstest.MapFS{
		"shared/make-safe.toml": {Data: []byte("format = 2\nid = \"make-safe\"\n[[stage]]\ntitle = \"Mine\"\n[[stage.step]]\nid = \"a\"\nkind = \"record\"\ndo = \"x\"\n")},
		"shared/bad.toml":       {Data: []byte("format = 2\nid = \"bad\"\nsettings = [\"rod\"]\nparts = [\"nut\"]\n[[stage]]\ntitle = \"Bad\"\n[[stage.step]]\nid = \"off\"\nkind = \"dance\"\ndo = \"${rodd}\"\n")},
		"shared/nest.toml":      {Data: []byte("format = 2\nid = \"nest\"\n[[stage]]\nshared = \"bad\"\n")},
		"shared/torn.toml":      {Data: []byte("format = 2\nid = \"to")},
	}
	library := NewLibrary(own, recipes.FS())
	p, found := library.Read("x.toml", []byte(sharing))
	require.Empty(t, found)
	var ids []string
	for _, s := range p.allSteps() {
		ids = append(ids, s.ID)
	}
	require.Equal(t, []string{"cold", "gauge-zero", "open-zero", "off"}, ids, "the bundled one is not replaced by a file beside")
	require.NotContains(t, string(p.Source), "shared =")
	again, found := Read("procedure.toml", p.Source)
	require.Empty(t, found, "the copy stands alone")
	require.Equal(t, len(p.allSteps()), len(again.allSteps()))

	for _, c := range []struct{ change, to, want string }{
		{`"make-safe"`, `"make-saf"`, "x.toml:9:10: stop: there is no shared stage \"make-saf\", neither bundled nor in a folder shared beside this file"},
		{`"make-safe"`, `"make-safe"` + "\ntitle = \"x\"", "x.toml:10:1: stop: a shared stage has nothing of its own"},
		{`"make-safe"`, `"nest"`, "x.toml:9:10: stop: the shared stage nest cannot be used: shared stages do not stand in each other"},
		{`"make-safe"`, `"torn"`, "x.toml:9:10: stop: the shared stage torn cannot be used"},
		{"[settings.proof]", "[settings.prof]", "x.toml:9:10: stop: the shared stage make-safe needs the setting \"proof\", which is not there"},
		{`"off"`, `"cold"`, "x.toml:13:6: stop: the step \"cold\" stands twice; the first is in line 9"},
		{"${open}", "${opne}", "x.toml:15:20: stop: there is no setting, reading or figure \"opne\""},
	} {
		require.Contains(t, sharing, c.change)
		_, found := library.Read("x.toml", []byte(strings.Replace(sharing, c.change, c.to, 1)))
		var said []string
		for _, d := range found {
			said = append(said, d.String())
		}
		require.Contains(t, strings.Join(said, "\n"), c.want)
	}
	_, found = library.Read("x.toml", []byte(strings.Replace(sharing, `"make-safe"`, `"bad"`, 1)))
	for _, d := range found {
		if !strings.Contains(d.Message, "open") { // the rest of the file named what is gone
			require.True(t, d.Line == 9 || d.Line >= 12, d.String())
		}
		requirePlaceInside(t, []byte(sharing), d)
	}
	require.Greater(t, len(found), 4)
	_, found = Read("x.toml", []byte(sharing))
	require.True(t, found.HasStop(), "a reader that knows no library finds none")
}
