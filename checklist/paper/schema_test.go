package paper

import (
	"encoding/json"
	"io/fs"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"fettle/recipes"
)

// schema is Schema as a general JSON Schema library reads it.
func schema(t testing.TB) *jsonschema.Schema {
	text, err := json.Marshal(Schema())
	require.NoError(t, err)
	var doc any
	require.NoError(t, json.Unmarshal(text, &doc))
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("procedure.json", doc))
	s, err := c.Compile("procedure.json")
	require.NoError(t, err)
	return s
}

// asJSON is a TOML file as an editor hands it to a schema: by way of JSON.
func asJSON(t testing.TB, src []byte) any {
	var v any
	_, err := toml.Decode(string(src), &v)
	require.NoError(t, err)
	text, err := json.Marshal(v)
	require.NoError(t, err)
	var doc any
	require.NoError(t, json.Unmarshal(text, &doc))
	return doc
}

func TestSchemaTakesBundledProcedures(t *testing.T) {
	s := schema(t)
	files, err := fs.Glob(recipes.FS(), "*.toml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		src, err := fs.ReadFile(recipes.FS(), file)
		require.NoError(t, err)
		require.NoError(t, s.Validate(asJSON(t, src)), file)
	}
}
