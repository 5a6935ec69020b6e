package lookup

import (
	"fettle/checklist/workshop"
	"math"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// A material further over its limit never looks milder than one less over, and
// none that is over stands before one that is not.
func TestSideBySideIsOneScale(t *testing.T) {
	words := []string{"good", "ask", "warn", "stop"}
	for _, sheet := range []string{"seals", "metals"} {
		for _, zone := range []string{"cold feed", "saturated", "superheated", "smokebox", "cab"} {
			for bar := 1; bar <= 20; bar++ {
				s, _ := Find(sheet)
				a, err := s.Work(map[string]string{"pressure": strconv.Itoa(bar) + " bar", "zone": zone}, workshop.Tools{})
				require.NoError(t, err)
				gravest, over, before := 0, false, math.Inf(1)
				for _, item := range a.Lists[0].Items {
					rank, margin, known := -1, 0.0, false
					for _, r := range item.Rows {
						switch r.Key {
						case "verdict":
							rank = slices.Index(words, r.Value.(string))
						case "margin_k":
							margin, known = r.Value.(float64), true
						}
					}
					at := []any{sheet, zone, bar, item.Text}
					require.GreaterOrEqual(t, rank, gravest, at...)
					if rank > gravest {
						before = math.Inf(1)
					}
					gravest = rank
					if known {
						require.LessOrEqual(t, margin, before, at...)
						before = margin
					}
					if known && margin < 0 {
						require.Equal(t, "stop", words[rank], at...)
						require.Contains(t, item.Text, "too hot", at...)
						over = true
					}
					require.NotContains(t, item.Text, ", -", at...) // no minus to be read over
				}
				// By itself each says what is disputed; the table sends there.
				if sheet == "seals" && zone == "saturated" && bar >= 2 {
					require.True(t, over)
				}
			}
		}
	}
}

// The three figures of a target say one thing: nothing above the target is
// allowed, the product is the code's, the alarm is no leave.
func TestTargetProductAlarm(t *testing.T) {
	s, _ := Find("target")
	a, err := s.Work(map[string]string{"pressure": "90 psi", "multiple": "2"}, workshop.Tools{})
	require.NoError(t, err)
	shown := map[string]string{}
	for _, r := range a.Rows {
		shown[r.Key] = r.Label + ": " + r.Text
	}
	require.Equal(t, "The most the code allows: 180 psi (12.41 bar)", shown["product_bar"])
	require.Equal(t, "Target, never above: 180 psi (12.41 bar)", shown["target_bar"])
	require.Equal(t, "Alarm, not allowed: 189 psi (13.03 bar)", shown["alarm_bar"])
	require.Equal(t, "Working pressure: 90 psi (6.21 bar)", shown["pressure_bar"])
	require.Condition(t, func() bool {
		for _, f := range a.Findings {
			if f.Rule == "alarm" {
				require.Contains(t, f.Message, "no leave to pass the target")
				require.Contains(t, f.Message, "not the code's")
				return true
			}
		}
		return false
	})
	// Typed in bar, bar stands first.
	a, err = s.Work(map[string]string{"pressure": "6.2 bar", "multiple": "2"}, workshop.Tools{})
	require.NoError(t, err)
	for _, r := range a.Rows {
		if r.Key == "alarm_bar" {
			require.Equal(t, "13.02 bar (189 psi)", r.Text)
		}
	}
}
