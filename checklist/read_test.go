package checklist

import (
	"io/fs"
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
		p, ds := Read(file, src)
		require.NotNil(t, p, file)
		require.False(t, ds.HasStop(), "%v", ds)
		filled, ds := p.Fill(nil)
		require.False(t, ds.HasStop(), "%v", ds)
		require.NotEmpty(t, filled.Steps(), file)
	}
}
