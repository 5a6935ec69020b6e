package tui

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"fettle/recipes"
)

func TestShelfTellsBundledProceduresByTheirHead(t *testing.T) {
	list := readShelf(recipes.FS(), false)
	require.NotEmpty(t, list)
	for _, s := range list {
		p, bad := s.read()
		require.Nil(t, bad, s.name)
		require.True(t, s.glance(), s.name)
		require.Equal(t, p.Title, s.title)
		require.Equal(t, p.About, s.about)
	}
}

func TestShelfReadsToTheEndWhereTheHeadIsNotEnough(t *testing.T) {
	const tail = "\n[[stage]]\ntitle = \"One\"\n[[stage.step]]\nid = \"a\"\nkind = \"inspect\"\ndo = \"Look.\"\n"
	files := fstest.MapFS{
		"a.toml": {Data: []byte("format = 2\nid = \"a\"\nabout = \"\"\"\nA list:\n[one] and\n[two]\"\"\"\ntitle = \"Brackets\"\n" + tail)},
		"b.toml": {Data: []byte("format = 2\nid = \"b\"\nabout = \"No title.\"\n" + tail)},
		"c.toml": {Data: []byte("not toml at all\n")},
		"d.toml": {Data: []byte("format = 2\nid = \"d\"\ntitle = \"Unknown kind\"\nabout = \"x\"\n[[stage]]\ntitle = \"One\"\n[[stage.step]]\nid = \"a\"\nkind = \"dance\"\ndo = \"Look.\"\n")},
	}
	by := func(own bool) map[string]shelf {
		m := map[string]shelf{}
		for _, s := range readShelf(files, own) {
			m[s.name] = s
		}
		return m
	}
	bundled := by(false)
	require.Equal(t, "Brackets", bundled["a.toml"].title)
	require.NotNil(t, bundled["b.toml"].bad)
	require.NotNil(t, bundled["c.toml"].bad)
	require.Nil(t, bundled["d.toml"].bad, "a glance does not see it")
	_, bad := bundled["d.toml"].read()
	require.NotNil(t, bad, "opening it does")
	own := by(true)
	require.NotContains(t, own, "c.toml", "that is no procedure")
	require.NotNil(t, own["d.toml"].bad, "a person's own is read at once")
}
