package cli

import (
	"bytes"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
	"github.com/stretchr/testify/require"
)

// What is no terminal is as narrow as the bench's narrowest screen.
func TestPageOfAPipe(t *testing.T) {
	p := pageOn(&bytes.Buffer{}, func(string) string { return "" })
	require.Equal(t, benchWidth, columnsOf(p))
	require.Equal(t, "stop: no", strong(p, "stop: no"))
	require.Equal(t, benchWidth, columnsOf(&bytes.Buffer{}))
}

func TestStrongWords(t *testing.T) {
	p := page{bold: true}
	require.Equal(t, "\x1b[1mstop:\x1b[0m the thread strips", strong(p, "stop: the thread strips"))
	require.Equal(t, "nothing", strong(p, "nothing"))
}

// Where there is room figures stand in two columns, whole and in their order.
func TestFiguresBeside(t *testing.T) {
	var parts []string
	for _, word := range strings.Fields("a b c d e f g h i j k l m n") {
		parts = append(parts, word+"\n")
	}
	parts[0] = "a\n  goes on\n"
	var narrow, wide bytes.Buffer
	beside(page{Writer: &narrow, columns: benchWidth}, parts)
	require.Equal(t, strings.Join(parts, ""), narrow.String())
	beside(page{Writer: &wide, columns: pageWidth, wide: true}, parts)
	lines := strings.Split(strings.TrimSuffix(wide.String(), "\n"), "\n")
	require.Len(t, lines, 8)
	require.Equal(t, "a"+strings.Repeat(" ", 41)+"h", lines[0])
	require.Equal(t, "  goes on"+strings.Repeat(" ", 33)+"i", lines[1])
	require.Equal(t, "g", strings.TrimSpace(lines[7]))
	for _, part := range parts {
		require.Contains(t, wide.String(), strings.TrimSpace(strings.Split(part, "\n")[0]))
	}
}

// The help of every command keeps within a narrow terminal, but for what is copied.
func TestHelpIsWrapped(t *testing.T) {
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
	}
	for _, columns := range []int{40, 60, 96} {
		for _, cmd := range family(rootCommand(Env{}, &bytes.Buffer{}, names)) {
			cmd.InitDefaultHelpFlag()
			var out bytes.Buffer
			writeHelp(page{Writer: &out, help: columns}, cmd)
			text := strings.Replace(out.String(), cmd.Example, "", 1)
			for _, line := range strings.Split(text, "\n") {
				if len(strings.Fields(line)) > 2 { // a long word has no place to break
					require.LessOrEqual(t, runewidth.StringWidth(line), columns, "%s: %q", cmd.CommandPath(), line)
				}
			}
			require.NotContains(t, out.String(), "%!")
		}
	}
}
