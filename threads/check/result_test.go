package check

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWorst(t *testing.T) {
	require.Equal(t, Good, Worst(nil))
	require.Equal(t, Good, Worst([]Result{{Severity: Note}}))
	require.Equal(t, Ask, Worst([]Result{{Severity: Note}, {Severity: Ask}}))
	require.Equal(t, Warn, Worst([]Result{{Severity: Ask}, {Severity: Warn}, {Severity: Note}}))
	require.Equal(t, Stop, Worst([]Result{{Severity: Warn}, {Severity: Stop}, {Severity: Ask}}))
	require.True(t, Stop.Worse(Warn))
	require.True(t, Warn.Worse(Ask))
	require.True(t, Ask.Worse(Note))
	require.True(t, Note.Worse(Good))
	require.Equal(t, []Result{{Severity: Stop}, {Severity: Ask, Rule: "a"}, {Severity: Ask, Rule: "b"}, {Severity: Note}},
		GravestFirst([]Result{{Severity: Note}, {Severity: Ask, Rule: "a"}, {Severity: Stop}, {Severity: Ask, Rule: "b"}}))
}
