package boiler

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// readReference reads a published table of testdata/reference as one map per
// row; every row names its source.
func readReference(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "reference", name))
	require.NoError(t, err)
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(records), 1, "an empty table checks nothing")
	var rows []map[string]string
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, column := range records[0] {
			row[column] = record[i]
		}
		require.NotEmpty(t, row["source"])
		rows = append(rows, row)
	}
	return rows
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// requireDigits requires that got, rounded as printed, is the printed figure.
func requireDigits(t *testing.T, printed string, got float64, msg ...any) {
	t.Helper()
	mantissa := printed
	if i := strings.IndexAny(mantissa, "eE"); i >= 0 {
		mantissa = mantissa[:i]
		digits := strings.TrimLeft(strings.NewReplacer(".", "", "-", "").Replace(mantissa), "0")
		require.Equal(t, number(t, printed), number(t, strconv.FormatFloat(got, 'g', len(digits), 64)), msg...)
		return
	}
	places := 0
	if i := strings.IndexByte(mantissa, '.'); i >= 0 {
		places = len(mantissa) - i - 1
	}
	require.Equal(t, number(t, printed), number(t, strconv.FormatFloat(got, 'f', places, 64)), msg...)
}
