package fastening

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads/quantity"
)

func TestParseGrade(t *testing.T) {
	for name, want := range map[string]string{
		"A2-70": "A2-70", "a2-70": "A2-70", "A2 70": "A2-70", "a270": "A2-70", "  A2-70 ": "A2-70", "stainless A2-70": "A2-70",
		"A2-70 stainless": "A2-70", "grade A4-80": "A4-80", "A4": "A4-50", "316": "A4-50",
		"stainless": "A2-50", "Stainless Steel": "A2-50", "18-8": "A2-50", "304": "A2-50",
		"8.8": "8.8", "8,8": "8.8", "grade 8.8": "8.8", "class 8.8": "8.8", "property class 8.8": "8.8", "8.8 steel": "8.8", "12.9": "12.9",
		"high tensile": "8.8", "mild steel": "mild steel", "steel": "mild steel", "BMS": "mild steel", "EN1A": "mild steel",
		"phosphor bronze": "phosphor bronze", "PB102": "phosphor bronze", "PB 102": "phosphor bronze", "phos-bronze": "phosphor bronze",
		"hard phosphor bronze": "phosphor bronze, hard", "phosphor bronze, hard": "phosphor bronze, hard", "cw451k": "phosphor bronze",
		"gunmetal": "gunmetal", "gun metal": "gunmetal", "LG2": "gunmetal", "brass": "brass", "CZ121": "brass", "cw614n": "brass",
		"DZR": "DZR brass", "silicon bronze": "silicon bronze", "Al bronze": "aluminium bronze", "aluminum bronze": "aluminium bronze",
		"CU4": "CU4", "CuSn6": "CU4", "nickel copper": "nickel-copper 400", "303": "303 bar", "1.4301": "304 bar",
		"8.8 zinc plated": "8.8, zinc plated", "zinc-plated 8.8": "8.8, zinc plated", "8.8, zinc plated": "8.8, zinc plated",
		"BZP 8.8": "8.8, zinc plated", "zinc plated": "mild steel, zinc plated", "plated steel": "mild steel, zinc plated",
		"galvanised": "mild steel, zinc plated", "nickel plated brass": "brass, nickel plated", "nickel-plated 4.6": "4.6, nickel plated",
	} {
		g, err := ParseGrade(name)
		require.NoError(t, err, name)
		require.Equal(t, want, g.String(), name)
	}
	// What a loose name left open is said.
	for _, name := range []string{"stainless", "A2", "304", "PB102", "steel", "high tensile", "stainless A2"} {
		g, err := ParseGrade(name)
		require.NoError(t, err)
		require.NotEmpty(t, g.Assumption, name)
	}
	for _, name := range []string{"A2-70", "8.8", "CU4", "mild steel"} {
		require.Empty(t, mustGrade(t, name).Assumption, name)
	}
}

// Every canonical name reads back as itself, and every alias finds one thing.
func TestNamesReadBack(t *testing.T) {
	for _, g := range Grades() {
		require.Equal(t, g.String(), mustGrade(t, g.String()).String())
		for _, a := range g.aliases {
			require.Equal(t, g.Name, mustGrade(t, a).Name, a)
		}
		for _, c := range []Coating{ZincPlated, NickelPlated} {
			coated := g
			coated.Coating = c
			require.Equal(t, coated.String(), mustGrade(t, coated.String()).String())
		}
		require.NotEmpty(t, g.Title)
		require.NotEmpty(t, g.Source)
		require.NotEmpty(t, g.WarmSource())
		require.Positive(t, g.volts)
		for _, b := range g.bands {
			require.Less(t, b.strength.Yield, b.strength.Tensile, g.Name)
		}
	}
	for _, m := range Metals() {
		require.Equal(t, m.Name, mustMetal(t, m.Name).Name)
		for _, a := range m.aliases {
			require.Equal(t, m.Name, mustMetal(t, a).Name, a)
		}
		require.NotEmpty(t, m.Source)
		require.NotEmpty(t, m.EngagementSource)
		require.NotEmpty(t, m.WarmSource())
		require.LessOrEqual(t, m.Shear, m.Tensile, m.Name)
		require.Less(t, m.BandLow, m.BandHigh)
	}
	for _, l := range Lubricants() {
		for _, a := range append([]string{l.Name}, l.aliases...) {
			got, err := ParseLubricant(a)
			require.NoError(t, err)
			require.Equal(t, l.Name, got.String(), a)
		}
	}
	for _, g := range Gaskets() {
		for _, a := range append([]string{g.Name}, g.aliases...) {
			got, err := ParseGasket(a)
			require.NoError(t, err)
			require.Equal(t, g.Name, got.String(), a)
			require.False(t, got.IsZero())
		}
	}
}

func TestParseMetal(t *testing.T) {
	for name, want := range map[string]string{
		"gunmetal": "gunmetal", "LG2": "gunmetal", "lg 2": "gunmetal", "PB102": "phosphor bronze", "PB1": "cast phosphor bronze",
		"copper annealed": "copper, annealed", "annealed copper": "copper, annealed", "copper": "copper, annealed", "hard copper": "copper, hard",
		"brass": "brass", "stainless": "stainless", "cast iron": "cast iron", "steel": "mild steel",
	} {
		m, err := ParseMetal(name)
		require.NoError(t, err, name)
		require.Equal(t, want, m.String(), name)
	}
	for _, name := range []string{"copper", "steel", "phosphor bronze"} {
		require.NotEmpty(t, mustMetal(t, name).Assumption, name)
	}
	require.Empty(t, mustMetal(t, "LG2").Assumption)
}

// A near miss is answered with what comes near; a far one with all there is.
func TestUnknownNames(t *testing.T) {
	suggestions := func(err error) []string {
		var u *UnknownError
		require.True(t, errors.As(err, &u))
		require.NotEmpty(t, u.Known)
		return u.Suggestions
	}
	_, err := ParseGrade("A2-7O") // a letter for a nought
	require.Contains(t, suggestions(err), "A2-70")
	require.ErrorContains(t, err, `"A2-7O" is no grade known here; did you mean`)
	_, err = ParseGrade("bronze")
	require.Subset(t, suggestions(err), []string{"phosphor bronze", "silicon bronze", "aluminium bronze"})
	_, err = ParseGrade("8.9 zinc plated")
	require.ErrorContains(t, err, `"8.9 zinc plated"`)
	_, err = ParseMetal("gunmetl")
	require.Equal(t, "gunmetal", suggestions(err)[0])
	_, err = ParseMetal("bornze") // two neighbours swapped
	require.NotEmpty(t, suggestions(err))
	_, err = ParseLubricant("anti seez")
	require.Equal(t, "anti-seize", suggestions(err)[0])
	_, err = ParseMetal("wood")
	require.Empty(t, suggestions(err))
	require.ErrorContains(t, err, "known are gunmetal")
	for _, empty := range []string{"", "  ", "---"} {
		_, err = ParseMetal(empty)
		require.Error(t, err)
	}
	require.ErrorContains(t, errorOf(ParseMetal("")), "no metal is named")
	long := strings.Repeat("gunmetal", 100)
	require.Less(t, len(errorOf(ParseMetal(long)).Error()), 400)
	// Control characters come out escaped.
	require.NotContains(t, errorOf(ParseGrade("\x1b[31mA2")).Error(), "\x1b")
}

// A word that the trade uses for things of different friction, load or strength is
// not guessed.
func TestOneWordSeveralThings(t *testing.T) {
	parse := map[string]func(string) error{
		"lubricant": func(s string) error { return errorOf(ParseLubricant(s)) },
		"gasket":    func(s string) error { return errorOf(ParseGasket(s)) },
		"metal":     func(s string) error { return errorOf(ParseMetal(s)) },
	}
	for kind, names := range map[string][]string{
		"lubricant": {"paste", "lubricated"},
		"gasket":    {"rubber", "elastomer", "fibre", "fibre gasket", "jointing", "copper and fibre"},
		"metal":     {"bronze", "cast bronze"},
	} {
		for _, name := range names {
			var u *UnknownError
			require.ErrorAs(t, parse[kind](name), &u, name)
			require.True(t, u.Open, name)
			require.ErrorContains(t, u, "used for several things", name)
			for _, s := range u.Suggestions {
				require.NoError(t, parse[kind](s), name)
			}
		}
	}
	// Grease on stainless is not the anti-seize paste that it was once taken for.
	greased, err := ParseLubricant("greased")
	require.NoError(t, err)
	require.Equal(t, "grease", greased.Name)
}

func errorOf[T any](_ T, err error) error { return err }

func TestGradeRanges(t *testing.T) {
	g := mustGrade(t, "CU6") // more than 6 to 39 mm
	_, err := g.Strength(6)
	var r *RangeError
	require.True(t, errors.As(err, &r))
	require.Equal(t, "6 to 39 mm", r.Range)
	_, err = g.Strength(6.01)
	require.NoError(t, err)
	_, err = g.Strength(40)
	require.Error(t, err)
	_, err = mustGrade(t, "AL1").Strength(21)
	require.Error(t, err)
	// Below M1.6 the smallest size's strength is used, and said.
	small := mustGrade(t, "A2-70")
	s, err := small.Strength(1)
	require.NoError(t, err)
	require.EqualValues(t, 450, s.Yield)
	require.True(t, small.BelowRange(1))
	require.False(t, small.BelowRange(1.6))
	for _, d := range []float64{0, -4} {
		_, err := small.Strength(quantity.Length(d))
		require.Error(t, err)
	}
	_, err = mustGrade(t, "8.8").Shear(4)
	require.NoError(t, err)
}

func FuzzNames(f *testing.F) {
	for _, s := range []string{"A2-70", "a2 70", "8,8", "zinc plated", "PB102", "copper annealed", "oil", "", "\x00", "é", "nickel plated nickel", "grade grade 8.8", "8.8, zinc plated", "gunmetl"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if g, err := ParseGrade(s); err == nil {
			again, err := ParseGrade(g.String())
			if err != nil || again.String() != g.String() {
				t.Fatalf("%q reads as %q, which reads as %q (%v)", s, g, again, err)
			}
		} else if err.Error() == "" || len(err.Error()) > 1000 {
			t.Fatalf("%q: %q", s, err)
		}
		if m, err := ParseMetal(s); err == nil && m.IsZero() {
			t.Fatalf("%q is a metal without a name", s)
		}
		if l, err := ParseLubricant(s); err == nil && l.IsZero() {
			t.Fatalf("%q is a lubricant without a name", s)
		}
		if g, err := ParseGasket(s); err == nil && g.IsZero() {
			t.Fatalf("%q is a gasket without a name", s)
		}
	})
}

func BenchmarkParseGrade(b *testing.B) {
	for b.Loop() {
		if _, err := ParseGrade("phosphor bronze"); err != nil {
			b.Fatal(err)
		}
	}
}
