package job

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads"
)

// Two lines about the same screws say that they are the same screws.
func TestMissingScrewsAreInTheOrder(t *testing.T) {
	line := func(j *Job, key string) Need {
		list := j.Needs()
		for _, n := range list.Items {
			if strings.HasPrefix(n.Key, key) {
				return n
			}
		}
		t.Fatalf("no %s on the list: %v", key, list.Items)
		return Need{}
	}
	const twice, inside = "do not order them twice", "reported missing are in this number"
	for _, c := range []struct {
		text    string
		count   int
		amount  string // of the report
		missing int    // said on the order; 0 where the report is about something else
		order   string
	}{
		{"cover screws 4 BA x 12", 2, "2", 2, "8"}, // 6 and two spares
		{"2 cover screws 4 BA x 12", 1, "", 2, "8"},
		{"2 cover screws 4 BA x 12", 0, "", 2, "8"},
		{"4 BA screws", 3, "3", 3, "8"},
		{"4BA screw", 0, "1", 1, "8"},
		{"screws 4 BA, all gone", 20, "20", 20, "20"},
		{"4 BA tap", 1, "1", 0, "8"},
		{"M4 screws", 2, "2", 0, "8"},
		{"rags", 6, "6", 0, "8"},
	} {
		b := newBench(t)
		j := b.refit(nil)
		s, err := j.Shortage(c.text, "", c.count, "")
		saved(t, s, err)
		report, order := line(j, "short-"), line(j, "screw-screw")
		require.Equal(t, c.amount, report.Amount, c.text)
		require.Equal(t, c.order, order.Amount, c.text)
		require.Equal(t, c.missing > 0, strings.Contains(report.Why, twice), "%s: %s", c.text, report.Why)
		require.Equal(t, c.missing > 0, strings.Contains(order.Why, inside), "%s: %s", c.text, order.Why)
		if c.missing > 0 {
			require.Contains(t, order.Why, fmt.Sprintf("the %d %s", c.missing, inside))
			s, err = j.Got(report.Key)
			saved(t, s, err)
			require.NotContains(t, line(j, "screw-screw").Why, inside, "they are there now")
		}
	}
}

func TestCounted(t *testing.T) {
	for text, want := range map[string]int{
		"2 cover screws": 2, "12 M4 x 14 screws": 12, "2 BA screws": 0, "2 x 4 BA": 0, "4": 0, "": 0, "0 rags": 0,
		"screws, 2": 0, "60 mm of yarn": 60, "99999 rags": 0, "2 6 mm drills": 0,
	} {
		require.Equal(t, want, counted(text), text)
	}
}

// Where two groups have the same thread their names decide, and without one nothing
// is said.
func TestOrderOfTheGroupThatIsNamed(t *testing.T) {
	m4, err := threads.Parse("M4")
	require.NoError(t, err)
	b := needs{items: []Need{
		{What: "rags"},
		{What: "Screws M4 x 14", thread: m4, label: "cover screws", number: 10},
		{What: "Screws M4 x 10", thread: m4, label: "flange studs", number: 6},
	}}
	for text, want := range map[string]int{
		"2 cover screws M4 x 14": 1, "M4x14 cover screw": 1, "3 flange studs, M4": 2, "4 M4 screws": -1, "M4 tap for the cover screws": -1, "M4 cover screw washers": -1, "M4 tap": -1,
	} {
		require.Equal(t, want, b.orderOf(text), text)
	}
}
