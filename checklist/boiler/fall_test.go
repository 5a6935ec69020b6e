package boiler

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// The worked boiler at 14 bar and 20 °C: by hand 6000 ml x (2.07e-4 - 3 x
// 16.8e-6)/K over 0.560 ml/bar is 1.7 bar/K, so that 0.3 K of cooling takes
// half a bar off the gauge without any leak (expansion of water at 20 °C from
// memory, handbook tables).
func TestHoldFallAgainstTheCode(t *testing.T) {
	warm := example()
	warm.Water = 20
	rise, err := WarmingRise(warm, 14)
	require.NoError(t, err)
	requireDigits(t, "1.7", rise)
	at := func(fell, allowed float64) HoldFall {
		return HoldFall{From: 14, Fell: quantity.Pressure(fell), Unread: 0.05, Allowed: quantity.Pressure(allowed), AllowedKnown: true}
	}
	with := func(h HoldFall, warmed float64) HoldFall {
		h.Warmed, h.RisePerK, h.TemperatureKnown = warmed, rise, true
		return h
	}
	notTyped := at(0.2, 0)
	notTyped.AllowedKnown = false
	unreadable := notTyped
	unreadable.Fell = 0.05
	frost := with(at(0.9, 0.1), 1)
	frost.RisePerK = -0.4
	for name, c := range map[string]struct {
		in   HoldFall
		rule string
		s    check.Severity
		says string
	}{
		"nothing lost, nothing allowed":       {at(0, 0), "", "", ""},
		"less than can be read":               {at(0.05, 0), "", "", ""},
		"as much as is allowed":               {at(0.3, 0.3), "fall-allowed", check.Note, "allows 0.3 bar"},
		"more than is allowed":                {at(0.4, 0.3), "fall-too-much", check.Stop, "0.4 bar was lost in the hold. The code as typed in allows 0.3 bar: this hold has failed."},
		"none is allowed":                     {at(0.1, 0), "fall-too-much", check.Stop, "allows 0 bar"},
		"no figure":                           {notTyped, "fall-not-given", check.Ask, "the code decides"},
		"no figure, nothing to be read":       {unreadable, "", "", ""},
		"cooling explains all of it":          {with(at(0.5, 0), -0.3), "fall-by-temperature", check.Ask, "inspector decides"},
		"cooling explains some of it":         {with(at(0.9, 0.1), -0.3), "fall-too-much", check.Stop, "cooling by 0.3 K accounts for 0.5 bar"},
		"warming is no excuse":                {with(at(0.5, 0), 0.3), "fall-too-much", check.Stop, "0.5 bar was lost in the hold. The"},
		"near freezing warming takes it down": {frost, "fall-too-much", check.Stop, "warming by 1.0 K accounts for 0.4 bar"},
		"warming hides a leak":                {with(at(0, 0), 0.3), "fall-hidden", check.Ask, "raised the gauge by 0.5 bar; it fell 0 bar"},
		"warming and a rise that is short":    {with(at(-0.1, 0), 0.3), "fall-hidden", check.Ask, "may hide"},
		"warming and the rise it makes":       {with(at(-0.5, 0), 0.3), "", "", ""},
		"a tenth of a kelvin is no warming":   {with(at(0, 0), 0.1), "", "", ""},
		"allowed, and temperature known":      {with(at(0.3, 0.3), 0), "fall-allowed", check.Note, ""},
	} {
		found, err := CheckHoldFall(c.in)
		require.NoError(t, err, name)
		if c.rule == "" {
			require.Empty(t, found, name)
			continue
		}
		require.Len(t, found, 1, name)
		require.Equal(t, c.rule, found[0].Rule, name)
		require.Equal(t, c.s, found[0].Severity, name)
		require.Contains(t, found[0].Message, c.says, name)
	}
}

func TestHoldFallThatCannotBe(t *testing.T) {
	good := HoldFall{From: 14, Fell: 0.1, Unread: 0.05, Allowed: 0.2, AllowedKnown: true}
	nan := math.NaN()
	for name, spoil := range map[string]func(*HoldFall){
		"from nought": func(h *HoldFall) { h.From = 0 }, "from nan": func(h *HoldFall) { h.From = quantity.Pressure(nan) },
		"fell more than there was": func(h *HoldFall) { h.Fell = 15 }, "fell nan": func(h *HoldFall) { h.Fell = quantity.Pressure(nan) },
		"unread": func(h *HoldFall) { h.Unread = -1 }, "allowed below nought": func(h *HoldFall) { h.Allowed = -0.1 },
		"allowed nan": func(h *HoldFall) { h.Allowed = quantity.Pressure(nan) }, "allowed all of it": func(h *HoldFall) { h.Allowed = 14 },
		"warmed": func(h *HoldFall) { h.Warmed = 400 }, "rise": func(h *HoldFall) { h.RisePerK = math.Inf(1) },
	} {
		h := good
		spoil(&h)
		_, err := CheckHoldFall(h)
		var wrong *InputError
		require.ErrorAs(t, err, &wrong, name)
	}
}

// The more fell, the worse; the more is allowed, the better. Nothing but a fall
// beyond what the code allows fails a hold.
func TestHoldFallIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := HoldFall{
			From: 14, Unread: 0.05, AllowedKnown: true,
			Fell:    quantity.Pressure(rapid.Float64Range(-2, 5).Draw(t, "fell")),
			Allowed: quantity.Pressure(rapid.Float64Range(0, 5).Draw(t, "allowed")),
			Warmed:  rapid.Float64Range(-3, 3).Draw(t, "warmed"), RisePerK: rapid.Float64Range(-0.5, 3).Draw(t, "rise"),
			TemperatureKnown: rapid.Bool().Draw(t, "known"),
		}
		failed := func(h HoldFall) bool {
			found, err := CheckHoldFall(h)
			require.NoError(t, err)
			return check.Worst(found) == check.Stop
		}
		more := h
		more.Fell += quantity.Pressure(rapid.Float64Range(0, 2).Draw(t, "more"))
		if failed(h) {
			require.Greater(t, float64(h.Fell), float64(h.Allowed))
			require.True(t, failed(more))
		}
		stricter := h
		stricter.Allowed *= 0.5
		if failed(h) {
			require.True(t, failed(stricter))
		}
	})
}
