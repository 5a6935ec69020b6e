package checklist

import (
	"io/fs"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/recipes"
)

func TestBundledProceduresHaveNoMistakes(t *testing.T) {
	files, err := fs.Glob(recipes.FS(), "*.toml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		src, err := fs.ReadFile(recipes.FS(), file)
		require.NoError(t, err)
		p, ds := NewLibrary(recipes.FS()).Read(file, src)
		require.NotNil(t, p, file)
		require.False(t, ds.HasStop(), "%v", ds)
		if slices.ContainsFunc(p.Settings, func(s Setting) bool { return !s.HasDefault }) {
			continue // cannot be filled without answers; the tests of recipes give some
		}
		filled, ds := p.Fill(nil)
		require.False(t, ds.HasStop(), "%v", ds)
		require.NotEmpty(t, filled.Steps(), file)
	}
}
