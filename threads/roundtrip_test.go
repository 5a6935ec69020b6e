package threads

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestEveryDesignationReadsBack(t *testing.T) {
	seen := map[string]bool{}
	for _, want := range All() {
		require.False(t, seen[want.String()], "%s stands twice", want)
		seen[want.String()] = true
		got, err := Parse(want.String())
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
}

func TestParseAsPeopleWrite(t *testing.T) {
	for in, want := range map[string]string{
		"M4": "M4", "m4x0.7": "M4", "m4 x 0,7": "M4", "M 4": "M4", "M4-6g": "M4", "m4×0.7 6H": "M4", "4x0.7": "M4", "M4*.7": "M4",
		"M8 fine": "", "m5.5": "M5.5x0.5", "M6 fine": "M6x0.75", "MF6": "M6x0.75", "M5x0.6": "M5x0.6",
		"2BA": "2 BA", "2 ba": "2 BA", "ba2": "2 BA", "BA 2": "2 BA", "0 B.A.": "0 BA", "No 2 BA": "2 BA", "no. 4 ba": "4 BA",
		"1/4x40": "1/4 x 40 ME", "1/4 x 40 ME": "1/4 x 40 ME", `1/4" x 40 tpi`: "1/4 x 40 ME", "0.25x40": "1/4 x 40 ME", "¼×40": "1/4 x 40 ME",
		"5/16 26": "5/16 x 26 brass", "5/16 x 26 brass": "5/16 x 26 brass", "3/8 brass": "3/8 x 26 brass",
		"1/4 26": "", "3/16x32": "", "1/4 bsf": "1/4 BSF", "1/4 B.S.F.": "1/4 BSF", "1/4 whit": "1/4 BSW", "1/4 whitworth": "1/4 BSW",
		"7/32 x 36 whit": "7/32 x 36 Whit", "G1/8": "G 1/8", "1/8 bsp": "G 1/8", "bsp 1/8": "G 1/8", "G 1 1/4": "G 1 1/4", "G1 1/4 A": "G 1 1/4", "1 1/4 bsp": "G 1 1/4",
		"R1/8": "R 1/8", "Rp 1/8": "Rp 1/8", "1/8 BSPT": "R 1/8",
		"1/4-20": "1/4-20 UNC", "1/4-20 UNC-2A": "1/4-20 UNC", "#10-32": "10-32 UNF", "10-32": "10-32 UNF", "no 6 unc": "6-32 UNC", "4-40": "4-40 UNC",
		"No.10 UNF": "10-32 UNF", "no.8-32": "8-32 UNC", "M4 bolt": "M4", "2 BA nut": "2 BA", "1/4 BSF stud": "1/4 BSF", "M4 x .7": "M4", "3/16 whit": "3/16 BSW",
		"1/4 20": "", "1/4": "", "4": "", "3/8-32 unef": "3/8-32 UNEF", "3/8x32": "3/8 x 32 ME", "1-8": "1-8 UNC", "1-64": "1-64 UNC",
		"1/4 in. x 26 t.p.i. BSF": "1/4 BSF", "3/8\" BSP": "G 3/8", "BSP 3/8 in": "G 3/8", "ME 1/4x32": "1/4 x 32 ME", "1/4x32tpi": "1/4 x 32 ME", `5/16"x26`: "5/16 x 26 brass",
		"m6 coarse": "M6", "UNF 10-32": "10-32 UNF", "1/4 x 26 t.p.i. Whit. form": "1/4 x 26 Whit", "M8 x 1 fine": "M8x1", "2 in-20 uns": "2 in-20 UNS", "#8-100 UNS": "#8-100 UNS",
		"1/4-24 uns": "1/4-24 UNS", "3.3x0.6 BA form": "3.3 x 0.6 BA form",
		// A hyphen is Unified, and another series has the size: it asks.
		"9/16-16": "", "3/4-12": "", "1/2-14": "", "9/16 x 16": "9/16 BSF", "9/16-16 UN": "9/16-16 UNS",
		// Pipe threads by their threads per inch alone.
		"1/8-27": "1/8-27 NPT", "1/4-18": "1/4-18 NPT", "1/8 x 28": "", "1/4 x 19": "",
		"6.35 x 40": "1/4 x 40 ME", "6.35mm x 40 tpi": "1/4 x 40 ME",
		"1/4 x 26 cycle": "1/4 x 26 cycle", "1/4 BSCy": "1/4 x 26 cycle", "cei 5/16": "5/16 x 26 cycle", "1.37 x 24 cycle": "1.37 x 24 cycle",
		"1/8 NPT": "1/8-27 NPT", "NPT 1/2": "1/2-14 NPT", "1/2-14 NPT": "1/2-14 NPT", "1 1/4-11.5 NPT": "1 1/4-11.5 NPT",
		"Tr10x2": "Tr10x2", "tr 10 x 2": "Tr10x2", "TR10": "", "1/2 acme": "1/2-10 Acme", "1/2-10 ACME": "1/2-10 Acme",
		"M0.8": "M0.8", "S 0.8": "M0.8", "M1.7": "M1.7", "m2.6x0.45": "M2.6", "G 3": "G 3", "3/32 x 60": "3/32 x 60 ME",
	} {
		got, err := Parse(in)
		if want == "" {
			var a *AmbiguousError
			require.ErrorAs(t, err, &a, in)
			t.Log(err)
			continue
		}
		require.NoError(t, err, in)
		require.Equal(t, want, got.String(), in)
		again, err := Parse(got.String())
		require.NoError(t, err)
		require.Equal(t, got, again)
	}
	for _, in := range []string{"", "m", "M4x", "17 BA", "1/4 bfs", "M4 BA", "1/0 BSF", "M0", "M4x9", "1/4 x 28 brass", "2 AB", "M99", "M4 lh", "NPTF 1/8", "1/8-28 NPT", "Tr10x4", "Tr 3/8", "3/8-10 acme", "1/4 x 20 cycle", "M0.5", "1/4 BSF x 20", "hello", "M4x0.7x3", "M1e9x1", "2 gg"} {
		_, err := Parse(in)
		require.Error(t, err, in)
		t.Log(err)
	}
}

// A hand is no part of a name but where it is asked for.
func TestParseHand(t *testing.T) {
	for in, want := range map[string]string{"M4 LH": "M4", "2BA LH": "2 BA", "left hand 1/4 BSF": "1/4 BSF", "M5x0.6 lh": "M5x0.6", "LH M6": "M6"} {
		_, err := Parse(in)
		require.ErrorContains(t, err, "left-hand", in)
		th, left, err := ParseHand(in)
		require.NoError(t, err, in)
		require.True(t, left, in)
		require.Equal(t, want, th.String())
	}
	th, left, err := ParseHand("M4 RH")
	require.NoError(t, err)
	require.False(t, left)
	require.Equal(t, "M4", th.String())
	for _, in := range []string{"", "LH", "M4.3 LH", "1/4 LH"} {
		_, _, err := ParseHand(in)
		require.Error(t, err, in)
	}
}

// A near miss gets a suggestion; a decimal inch must be the size it names.
func TestSuggestions(t *testing.T) {
	for typed, want := range map[string]string{
		"1/4 bfs": "1/4 BSF", "1/4 fbs": "1/4 BSF", "2 AB": "2 BA", "M44": "M4", "G 1/88": "G 1/8", "m4,55": "M4.5", "1/4-20 UNCC": "1/4-20 UNC",
	} {
		_, err := Parse(typed)
		var u *UnknownError
		require.ErrorAs(t, err, &u, typed)
		require.Contains(t, u.Suggestions, want, "%s: %v", typed, u.Suggestions)
	}
	for _, typed := range []string{"0.2x40", "0.2 ME", "0.2 brass", "0.26 BSF"} {
		_, err := Parse(typed)
		require.Error(t, err, typed)
	}
	th, err := Parse("0.25x40")
	require.NoError(t, err)
	require.Equal(t, "1/4 x 40 ME", th.String())
}
